// SPDX-License-Identifier: MIT
/// \file adjust.hpp
/// Where the holes are: every function of holes and dogs that the observations determine, with its ±.
///
/// In       a station and observations, each with its standard uncertainty
/// Out      pitch, shear, oversizes, single holes with ellipses, eps of any pair of lines; or `Undetermined`
/// Maths    METHOD.md (M105)–(M110)
/// Assumes  as MixedModel; holes scatter alike, apart from what rows and columns do
/// Range    displacements to 0.5 mm; a grid of 80 x 40 takes about a second a fit (METHOD.md, Survey)
/// Accuracy 1e-9 against the dense form (tests/survey/adjust_test.cpp); standardised errors of simulated
///          tables have variance 1 (tests/survey/coverage_test.cpp)
///
/// A function is determined when its share in fixed effects and oversizes lies in what the observations feel.
/// What is not is said, never shown as a number. A caliper's scale error is the same column as a common
/// stretch of both pitches: of it, two pitches and shear only three are determined.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "check/fit.hpp"
#include "survey/components.hpp"

namespace quarterturn::survey {

/// Why there is no number: fixed effects and dogs in a combination that no observation feels.
struct Undetermined {
  std::vector<std::string> because;
};
/// Lengths in mm, angles in rad.
using Answer = std::variant<check::Estimate, Undetermined>;

/// Covariance of a hole's displacement [mm^2] and its ellipse [mm].
struct Ellipse {
  double xx = 0, xy = 0, yy = 0;
  [[nodiscard]] double major_mm() const;
  [[nodiscard]] double minor_mm() const;
  [[nodiscard]] double direction_rad()
      const;  ///< of the major axis, counter-clockwise from +x, -pi/2 to pi/2
};

/// A hole apart from pitch, shear, rows and columns.
struct HoleResult {
  Hole hole;
  Vec deviation;        ///< [mm]
  Ellipse covariance;   ///< of the deviation
  double informed = 0;  ///< share of its prior variance that the observations took away, 0 to 1
};

class Adjustment {
 public:
  /// \throws units::InputError from validate(), and when there is no observation
  Adjustment(station::Station station, std::vector<Observation> observations, AdjustOptions options = {});

  [[nodiscard]] Answer estimate(const Functional& functional) const;
  [[nodiscard]] Answer eps(const Lines& lines) const;
  [[nodiscard]] Answer effect(Effect effect) const;
  /// Pitch x minus pitch y: what a caliper's scale error does not touch.
  [[nodiscard]] Answer pitch_difference() const;
  /// Oversize of `second` minus that of `first`, (diameter - stated)/2 [mm].
  [[nodiscard]] Answer oversize_difference(const std::string& first, const std::string& second) const;
  [[nodiscard]] Answer oversize_sum(const std::string& first, const std::string& second) const;

  [[nodiscard]] HoleResult hole(Hole hole) const;
  [[nodiscard]] std::vector<HoleResult> holes() const;  ///< all that observations touch

  [[nodiscard]] const station::Station& station() const { return station_; }
  [[nodiscard]] const std::vector<Observation>& observations() const { return observations_; }
  [[nodiscard]] const AdjustOptions& options() const { return options_; }
  [[nodiscard]] const Components& components() const { return components_; }
  [[nodiscard]] const MixedModel& model() const { return *components_.model; }
  [[nodiscard]] const Factored& factored() const { return factored_; }
  /// Elements of the inverse of the scaled equations; computed when first asked for, not for two threads.
  [[nodiscard]] const stats::BorderedInverse& inverse() const;
  /// Observed minus computed, random terms included [mm or rad].
  [[nodiscard]] double residual(std::size_t observation) const;

  /// Estimate of a row of the model with its solved right-hand side N^-1 c, for callers with many.
  [[nodiscard]] std::vector<double> solve(const Row& row) const;
  [[nodiscard]] check::Estimate estimate_from(const Row& row, std::span<const double> solved) const;
  [[nodiscard]] double dot(const Row& row, std::span<const double> solved) const;

 private:
  /// Satterthwaite's degrees of freedom of a variance with that gradient by each theta.
  [[nodiscard]] double dof_of(double variance, std::span<const double> gradient) const;
  /// What fitting the scatter adds to a variance.
  [[nodiscard]] double from_scatter(std::span<const double> solved) const;
  [[nodiscard]] Answer answer(const Row& row) const;
  [[nodiscard]] HoleResult aside(Hole hole, int scatter, int own) const;
  [[nodiscard]] Answer fixed(const std::vector<std::pair<std::size_t, double>>& shares) const;
  [[nodiscard]] Answer dogs(const std::string& first, double share, const std::string& second) const;
  [[nodiscard]] std::vector<double> second_order_y() const;

  station::Station station_;
  std::vector<Observation> observations_;
  AdjustOptions options_;
  Components components_;
  Factored factored_;
  mutable std::shared_ptr<const stats::BorderedInverse> inverse_;
};

}  // namespace quarterturn::survey
