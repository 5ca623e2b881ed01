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
#include "check/summary.hpp"

namespace quarterturn::check {

/// Where seating starts from while nothing tells of it.
inline constexpr double kUsualSeatingMm2 = 4e-4;

/// Whether today's tapers scatter as the seating of the earlier checks lets expect (M18).
struct SeatingTest {
  double f = 0, dof1 = 0, dof2 = 0, p = 1;
};

/// What the earlier checks were to a fit (M18).
struct LogPart {
  int checks = 0, strips = 0;
  int of_several_strips = 0;        ///< checks of two strips or more
  int of_halves = 0;                ///< whose boards' own tapers stand between
  double ss_line = 0, nu_line = 0;  ///< (M12)
  double nu_pure = 0;
  double nu_seating = 0;            ///< nu_J of those that hand their seating on
  std::optional<SeatingTest> test;  ///< from two strips today on
};

/// Earlier checks on their way into the likelihood (M18): the same for every check of one design.
struct EarlierChecks {
  LogPart part;
  double ss_pure = 0;  ///< (M10)
  std::shared_ptr<const LogTerms> terms;
};
/// \param today     degrees of freedom, spots and readings of the check that they inform
EarlierChecks read_earlier(std::span<const ScatterEvidence> earlier, const Summary& today,
                           std::span<const Evidence> evidence, const FitOptions& options);

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
  LogPart earlier;
  double log_nu = 0;     ///< nu_J of the earlier checks, discounted
  double minus_log = 0;  ///< at theta
  bool assumed = false;  ///< seating is assumed (M19)
  bool log = false;      ///< the seating of earlier checks is part of the fit

  [[nodiscard]] double variance() const { return tapers.covariance.empty() ? 0.0 : tapers.covariance[0]; }
  /// Variance of theta_k by the inverse information; 0 when not free.
  [[nodiscard]] double theta_variance(Component component) const;
};

/// \throws NoInterval when nothing informs the scatter of the measurement
ScatterFit fit_scatter_given(const Check& check, const Corners& corners, std::span<const Evidence> evidence,
                             const EarlierChecks& earlier, const FitOptions& options);
ScatterFit fit_scatter(const Check& check, const Corners& corners, std::span<const Evidence> evidence,
                       std::span<const ScatterEvidence> earlier, const FitOptions& options);

/// The same fit with one further regressor on the tapers (M32).
ScatterFit refit_with(const ScatterFit& base, std::span<const double> column);

}  // namespace quarterturn::check
