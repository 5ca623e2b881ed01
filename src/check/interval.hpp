// SPDX-License-Identifier: MIT
/// \file interval.hpp
/// The two special rules for the interval of eta, beside Satterthwaite.
///
/// In       variances [mm^2, rad^2] with their degrees of freedom
/// Out      half-width [rad]; probability that |eta| lies within a tolerance
/// Maths    METHOD.md (M25)–(M29); generalised intervals [WEER]
/// Assumes  the variances are independent and each s^2 nu / sigma^2 is chi-square on nu
/// Accuracy coverage in tests/check/coverage_test.cpp; quadrature 1e-5 relative against integration written
///          out (tests/check/interval_test.cpp)
#pragma once

#include <memory>
#include <span>
#include <vector>

namespace quarterturn::check {

/// Rule of independent panels (M27).
struct PanelsInterval {
  double mean = 0;  ///< unweighted mean of tapers over turns
  double half_width = 0;
  double dof = 0;       ///< of the larger branch
  double s2_taper = 0;  ///< sample variance of the tapers, n - 1 df
};
/// \param variance      of each taper from readings and saw marks
/// \param variance_dof  nu_v; infinite when known
PanelsInterval panels_interval(std::span<const double> taper, std::span<const double> variance,
                               double variance_dof, double turns, double confidence);

/// Rule of few degrees of freedom (M28): eta given the variances is normal with variance
/// Q = c_r nu_r s_r^2 / chi2 + c_b max(nu_l s_l^2 / chi2, nu_e s_e^2 / (k chi2), fixed).
struct FewDfTerms {
  double c_r = 0, s2_r = 0, nu_r = 0;
  double c_b = 0, s2_l = 0, nu_l = 0;  ///< spot means about their lines
  double s2_e_over_k = 0, nu_e = 0;    ///< repeats and caliper
  double fixed = 0;                    ///< rounding, known
};
class FewDf {
 public:
  /// \param coarse  steps of 0.6 instead of 0.2: an eighth of the time; half-widths to 1 % on one degree
  ///                of freedom, 1e-3 from two on (tests/check/interval_test.cpp)
  explicit FewDf(const FewDfTerms& terms, bool coarse = false);
  [[nodiscard]] double half_width(double confidence) const;
  /// P(|eta| <= tolerance) with eta at `x`.
  [[nodiscard]] double probability_within(double x, double tolerance) const;

 private:
  std::vector<double> root_q_, weight_;
};

}  // namespace quarterturn::check
