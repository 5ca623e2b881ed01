// SPDX-License-Identifier: MIT
/// \file log_terms.hpp
/// Earlier checks in a few numbers: what their readings are to the joint likelihood, whatever the variances.
///
/// In       LogTerms as log_builder.hpp makes them; variances [mm^2]
/// Out      -log likelihood, gradient, expected information of all of them together, exactly
/// Maths    METHOD.md (M18), (M20)–(M22)
/// Assumes  the branch of (M16) has been chosen
/// Accuracy 1e-9 against the checks one by one (tests/check/log_terms_test.cpp)
/// Gain     a step costs a logarithm a design and contrast, not a factorisation a check
#pragma once

#include <span>
#include <vector>

#include "check/reml_strips.hpp"
#include "stats/reml.hpp"

namespace quarterturn::check {

/// Strips whose spot means all have the variance theta_f + share theta_m + fixed: (M12) in two numbers.
struct LineClass {
  double share = 0, fixed = 0;
  double ss_line = 0, nu_line = 0;
};

/// One contrast of the tapers, orthogonal to t, of all checks of one design: variance
/// ratio s^2 + (theta_f + share theta_m + fixed).
struct TaperTerm {
  std::size_t line_class = 0;
  double ratio = 0, checks = 0, squares = 0;
};

/// One contrast of tapers of three spots a strip read unequally often, given their residuals r: the taper b
/// of the unweighted line and r are correlated through the variance of a reading alone.
struct SkewTerm {
  std::size_t line_class = 0;  ///< that of r, orthonormal to level and taper
  double ratio = 0, checks = 0;
  double bb = 0, br = 0, rr = 0;                             ///< sums of products over the checks
  double taper_saw = 0, taper_reading = 0, taper_fixed = 0;  ///< variance of b by theta_f, theta_m, known
  double cross_reading = 0, cross_fixed = 0;                 ///< covariance of b and r by theta_m, known
};

struct LogTerms {
  double ss_pure = 0, nu_pure = 0;
  std::vector<LineClass> classes;
  std::vector<TaperTerm> tapers;
  std::vector<SkewTerm> skew;
  /// Other checks with unequal readings: at most as many of one design as its widths have degrees of freedom.
  std::vector<GroupData> unequal;

  /// Anything in it moves with the variance of a reading.
  [[nodiscard]] bool shares_reading() const;
  /// Moment estimate of s^2 [mm^2] from the pooled contrasts; 0 when they tell none. \param spot  variance of
  /// a spot mean
  [[nodiscard]] double seating_by_moments(double spot) const;
};

/// (M10) in the likelihood; nothing without degrees of freedom.
void add_pure_error(double ss, double nu, std::span<const double> theta, stats::RemlPoint& out);

/// Classes and taper terms. \param discount  lambda of (M18)
void add_pooled(const LogTerms& log, double discount, std::span<const double> theta, stats::RemlPoint& out);

}  // namespace quarterturn::check
