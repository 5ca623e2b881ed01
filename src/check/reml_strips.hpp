// SPDX-License-Identifier: MIT
/// \file reml_strips.hpp
/// The split restricted likelihood of one check, or of several that share their variances.
///
/// In       strips as spot means [mm] with readings a spot; corner counts; contact spans [mm]; variances
///          theta = (sigma_m^2, sigma_f^2, s^2) [mm^2]
/// Out      -log likelihood, gradient, expected information; tapers, their variances, the estimate of eta
/// Maths    METHOD.md (M9)–(M14), (M17)–(M22); [PATT]
/// Assumes  the branch of (M16) has been chosen; every spot mean keeps a variance above zero
/// Accuracy of the dense likelihood: a constant apart to 1e-12, gradient to 1e-6 of a central difference,
///          information to 1e-9 of the dense one (tests/check/reml_strips_test.cpp)
/// Gain     the dense form costs (spots)^3 a step, this one (strips)^3; strips whose spot means have one
///          variance cost nothing a spot
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "check/corners.hpp"
#include "check/fit.hpp"
#include "check/strip_line.hpp"
#include "stats/reml.hpp"

namespace quarterturn::check {

/// One check in the likelihood, with its own eta.
struct GroupData {
  double ss_pure = 0, nu_pure = 0;  ///< (M10)
  std::vector<StripData> strips;
  int regressors = 1;           ///< columns of x: t, and a corner column in the test of (M32)
  std::vector<double> x;        ///< strips x regressors, row-major
  std::vector<double> seating;  ///< T D T', strips x strips [1/mm^2]
  double discount = 1;          ///< on the taper terms; 0 leaves the tapers' scatter out
  /// So many checks of one design stand behind it: what does not depend on the widths counts so often (M20).
  double checks = 1;
};

struct LogTerms;

/// T D T' with D = diag(2 / span_i^2) (M14). \param span_mm one a corner column
std::vector<double> seating_matrix(const Corners& corners, std::span<const double> span_mm);

/// Tapers of one group at one theta.
struct TaperFit {
  std::vector<double> taper, variance;         ///< (M11); variance from readings and saw marks
  std::vector<double> reading_part, saw_part;  ///< d variance / d theta_m, d theta_f
  std::vector<double> beta, covariance;        ///< (M13): eta first; row-major
  std::vector<double> weights;  ///< a = V^-1 t / (t' V^-1 t): eta = a' taper (or of the row asked for)
  double residual_ss = 0;       ///< weighted, of the spot means about their lines
};

/// Scatter of the tapers about their own eta, against what theta lets expect (M18).
struct TaperScatter {
  double f = 0;  ///< z' V^-1 z / contrasts
  int contrasts = 0;
  std::vector<double> gradient;  ///< of the expectation of f: tr(P V_a) / contrasts
};

class StripLikelihood {
 public:
  /// \param groups        the check itself first
  /// \param evidence      knowledge from outside; components as in fit.hpp
  /// \param log           earlier checks in few numbers, or none
  /// \param log_discount  lambda of (M18) on their taper terms; 0 leaves their tapers' scatter out
  StripLikelihood(std::vector<GroupData> groups, std::vector<Evidence> evidence,
                  std::shared_ptr<const LogTerms> log = nullptr, double log_discount = 1);

  void evaluate(std::span<const double> theta, stats::RemlPoint& out) const;
  /// The tapers and GLS estimate of group 0. \param row  the regressor whose weights are wanted; 0 is eta
  [[nodiscard]] TaperFit tapers(std::span<const double> theta, int row = 0) const;
  /// d var(weights' taper) / d theta of group 0: (a' V_m a, a' V_f a, a' V_r a).
  [[nodiscard]] std::vector<double> variance_gradient(const TaperFit& fit) const;
  /// Of group 0, two strips or more; nothing where V is singular.
  [[nodiscard]] std::optional<TaperScatter> taper_scatter(std::span<const double> theta) const;
  /// Of group 0: what a further regressor's coefficient comes to over its standard error at this theta, one a
  /// column; empty where V is singular. \param columns  strips long each
  [[nodiscard]] std::vector<double> further_ratios(std::span<const double> theta,
                                                   std::span<const std::vector<double>> columns) const;
  [[nodiscard]] const std::vector<GroupData>& groups() const { return groups_; }
  [[nodiscard]] const std::vector<Evidence>& evidence() const { return evidence_; }
  [[nodiscard]] const std::shared_ptr<const LogTerms>& log() const { return log_; }
  [[nodiscard]] double log_discount() const { return log_discount_; }

 private:
  using Lines = std::vector<LineMoments>;
  void add_group(const GroupData& group, const Lines& moments, double discount, std::span<const double> theta,
                 stats::RemlPoint& out) const;
  void add_evidence(std::span<const double> theta, stats::RemlPoint& out) const;

  std::vector<GroupData> groups_;
  std::vector<Lines> lines_, log_lines_;  ///< of groups_, of the log's unequal groups
  std::vector<Evidence> evidence_;
  std::shared_ptr<const LogTerms> log_;
  double log_discount_ = 1;
  bool reading_known_ = false;  ///< something keeps theta_m above zero: repeats that all agree then count too
};

}  // namespace quarterturn::check
