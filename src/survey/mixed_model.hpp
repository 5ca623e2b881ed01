// SPDX-License-Identifier: MIT
/// \file mixed_model.hpp
/// The survey as a linear mixed model: scatter of holes, rows and columns at random; pitch, shear and dogs
/// fixed. Dogs standing in their holes are random with a variance that is known.
///
/// In       a station, observations, which random terms; variances theta [mm^2]
/// Out      restricted likelihood with gradient and information; the factored equations
/// Maths    METHOD.md (M108), (M109), (M115), (M117); (M101), (M102) for the sparse factor; [PATT], [HARV]
/// Assumes  sigma of each observation given; fixed effects and oversizes flat
/// Accuracy against a dense form written out in tests/survey/dense_survey.hpp
///
/// Unknowns are scaled: a random one has variance 1 beforehand, so a variance of zero needs no special case.
/// Fixed ones are reduced to a basis of what the observations feel; what lies outside is not determined.
#pragma once

#include <Eigen/Core>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stats/bordered.hpp"
#include "stats/reml.hpp"
#include "survey/design.hpp"

namespace quarterturn::survey {

/// What scatters at random. Rows and columns as a drilling template leaves them: each placed with an error of
/// its own along x and y, and turned; a turn counts in mm at the table's edge, half its size from the middle.
enum class Term { holes = 0, row_shift, row_tilt, column_shift, column_tilt };
inline constexpr std::size_t kTerms = 5;
/// Name of the fixed effect of a caliper's scale error.
inline constexpr std::string_view kCaliperScale = "caliper-scale";

/// sd a direction of a hole that was set aside, wide enough to be no knowledge (M117) [mm].
inline constexpr double kAnywhereMm = 2;

/// A function of the unknowns: random ones by index (unscaled), fixed ones in their own scaled columns.
struct Row {
  std::vector<stats::Entry> random;
  Eigen::VectorXd fixed;
  double fresh = 0;  ///< sum of squares over holes no observation touches: their prior adds to its variance
  double newly_put = 0;  ///< variance by dogs that stand in no observation as they do here [mm^2 or rad^2]
  std::vector<std::string> unseen_dogs;  ///< that no observation names: nothing is known of them
  double size = 0;                       ///< largest share any fixed effect could have in it
};

/// The equations at one theta.
struct Factored {
  std::optional<stats::BorderedCholesky> equations;
  std::vector<double> solution;  ///< scaled random unknowns, then the fixed basis
  double minus_log = 0;          ///< restricted likelihood without its constant
};

class MixedModel {
 public:
  /// \param terms  random terms, `holes` first
  /// \param set_aside  holes with a displacement of their own besides, sd kAnywhereMm
  /// \param also   observations not made, whose holes and dogs are to have a place among the unknowns
  MixedModel(const station::Station& station, std::span<const Observation> observations,
             std::vector<Term> terms, bool caliper_scale = false, std::span<const Observation> also = {},
             std::span<const Hole> set_aside = {});

  [[nodiscard]] int observations() const { return static_cast<int>(y_.size()); }
  [[nodiscard]] int rank_fixed() const { return static_cast<int>(basis_.cols()); }
  [[nodiscard]] int random() const { return random_; }
  [[nodiscard]] const std::vector<Term>& terms() const { return terms_; }
  [[nodiscard]] const std::vector<Hole>& holes() const { return holes_; }
  [[nodiscard]] const std::vector<std::string>& fixed_names() const { return names_; }
  /// Column of a dog; empty: no observation names it. A row counts a fixed effect in 1/scale of its unit.
  [[nodiscard]] std::optional<std::size_t> index_of_dog(const std::string& dog) const;
  [[nodiscard]] double fixed_scale(std::size_t fixed) const { return column_scale_[fixed]; }
  [[nodiscard]] const Row& row(int i) const { return rows_[static_cast<std::size_t>(i)]; }
  [[nodiscard]] double y(int i) const { return y_[static_cast<std::size_t>(i)]; }
  [[nodiscard]] double u(int i) const { return u_[static_cast<std::size_t>(i)]; }
  /// Index of a hole's x unknown (y is the next); empty where no observation touches it.
  [[nodiscard]] std::optional<int> index_of(Hole hole) const;
  /// Index of the x unknown of a hole that was set aside, beside its scatter; empty: it was not.
  [[nodiscard]] std::optional<int> index_aside(Hole hole) const;
  /// Its term; terms().size() where its variance is known.
  [[nodiscard]] std::size_t component_of(int random) const {
    return component_[static_cast<std::size_t>(random)];
  }
  /// Standard deviation beforehand: that of its term, or the one that is known.
  [[nodiscard]] double sd(int random, std::span<const double> theta) const;
  /// What a row's variance has besides that of the unknowns.
  [[nodiscard]] static double besides(const Row& row, std::span<const double> theta) {
    return row.fresh * theta.front() + row.newly_put;
  }
  /// What two functions have in common besides the unknowns: holes no observation touches, dogs left where
  /// they stand.
  [[nodiscard]] double besides(const Functional& a, const Functional& b, std::span<const double> theta) const;

  [[nodiscard]] Row row_of(const Functional& functional) const;
  [[nodiscard]] Row row_of(Effect effect) const;
  /// The largest fixed effects in what of the row is not determined; empty: determined.
  [[nodiscard]] std::vector<std::string> undetermined(const Row& row) const;
  /// The row in scaled unknowns at theta: random ones, then the basis.
  [[nodiscard]] std::vector<stats::Entry> scaled(const Row& row, std::span<const double> theta) const;

  /// Replaces the right-hand sides (value minus nominal).
  void set_y(std::vector<double> y) { y_ = std::move(y); }

  [[nodiscard]] Factored factor(std::span<const double> theta) const;
  /// -log likelihood, gradient and average information; a theta under kSmallest counts as that.
  void evaluate(std::span<const double> theta, stats::RemlPoint& out) const;
  /// How a predictor changes with each theta: G_ab = (dw/dtheta_a)' V (dw/dtheta_b), w its weights, from its
  /// solved right-hand side N^-1 c. Row-major.
  [[nodiscard]] std::vector<double> sensitivity(const Factored& at, std::span<const double> theta,
                                                std::span<const double> solved) const;
  /// tr(P V_a) of each term: the expected information is minus half its derivative.
  [[nodiscard]] std::vector<double> traces(std::span<const double> theta) const;

  static constexpr double kSmallest = 1e-10;  ///< mm^2

 private:
  void lay_out(const station::Station& station, std::span<const Observation> observations,
               std::span<const Observation> also);
  void reduce_fixed();
  void add_random(Hole hole, Vec g, std::map<int, double>& random, Row& row) const;
  [[nodiscard]] std::vector<double> traces(const Factored& at, std::span<const double> theta) const;
  /// Z_a times the part of scaled unknowns that belongs to term a, over sqrt(theta_a): a column a term.
  [[nodiscard]] std::vector<std::vector<double>> spread(std::span<const double> theta,
                                                        std::span<const double> scaled) const;
  /// P f of an n-vector.
  [[nodiscard]] std::vector<double> project(const Factored& at, std::span<const double> theta,
                                            std::span<const double> f) const;
  [[nodiscard]] std::vector<double> right_side(std::span<const double> theta,
                                               std::span<const double> f) const;

  station::Grid grid_;
  std::vector<Term> terms_;
  bool caliper_scale_;
  std::vector<Hole> holes_;
  std::map<Hole, int> hole_index_;
  std::map<std::string, int> dog_index_;
  std::vector<std::string> names_;
  std::vector<double> column_scale_;
  std::vector<int> term_begin_;
  std::vector<std::size_t> component_;
  std::map<std::string, double> standing_sd_;  ///< of each dog of the station that has play [mm]
  std::map<Standing, int> standing_index_;
  std::map<Hole, int> aside_index_;
  std::vector<double> known_sd_;  ///< of the unknowns behind the terms
  int random_ = 0;
  std::vector<Row> rows_;
  std::vector<double> y_, u_;
  Eigen::MatrixXd basis_, outside_;           ///< fixed columns: what is felt, scaled; the rest, orthonormal
  std::vector<std::vector<double>> reduced_;  ///< rows of X in the basis
};

}  // namespace quarterturn::survey
