// SPDX-License-Identifier: MIT
/// \file scatter.hpp
/// From a Check to the likelihood: spot means, pure error, what each variance is informed by; and its
/// maximum.
///
/// In       a Check, evidence, earlier checks, options
/// Out      the three variances with their information, the tapers, the estimate before any interval
/// Maths    METHOD.md (M9)–(M24)
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "check/fit.hpp"
#include "check/reml_strips.hpp"

namespace quarterturn::check {

/// What the readings of one check say before any fit.
struct Summary {
  double ss_pure = 0, nu_pure = 0;  ///< (M10)
  double ss_line = 0, nu_line = 0;  ///< spot means about their unweighted lines, (M12)
  double harmonic_repeats = 1;      ///< harmonic mean of readings a spot
  std::vector<double> sxx;          ///< of each strip, unweighted [mm^2]
};
Summary summarise(const Check& check);

/// Contact span of each corner column [mm] (M14): the fence dogs' distance, or on a bar the panel's edge.
std::vector<double> corner_spans(const Check& check, const Corners& corners, const FitOptions& options);

struct ScatterFit {
  std::unique_ptr<StripLikelihood> likelihood;
  std::array<double, 3> theta{};    ///< [mm^2]
  std::array<bool, 3> is_free{};    ///< fitted, against known or absent
  std::array<bool, 3> informed{};   ///< anything at all says what it is
  std::vector<double> information;  ///< 3 x 3 at theta; rows of variances that are not free are zero
  TaperFit tapers;
  double s2_reading = 0, nu_reading = 0;  ///< readings and caliper pooled
  double fixed = 0;                       ///< mean rounding variance of a spot mean where it is in force
  double resolution = 0;
  double evidence_nu[3] = {0, 0, 0};
  double log_nu = 0;  ///< nu_J of the earlier checks, discounted
  bool assumed = false, log = false;

  [[nodiscard]] double variance() const { return tapers.covariance.empty() ? 0.0 : tapers.covariance[0]; }
  /// Variance of theta_k by the inverse information; 0 when not free.
  [[nodiscard]] double theta_variance(Component component) const;
};

/// \throws NoInterval when nothing informs the scatter of the measurement
ScatterFit fit_scatter(const Check& check, const Corners& corners, std::span<const Evidence> evidence,
                       std::span<const ScatterEvidence> earlier, const FitOptions& options);

/// The same fit with one further regressor on the tapers (M32).
ScatterFit refit_with(const ScatterFit& base, std::span<const double> column);

}  // namespace quarterturn::check
