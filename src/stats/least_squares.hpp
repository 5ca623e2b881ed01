// SPDX-License-Identifier: MIT
/// \file least_squares.hpp
/// Linear least squares by Householder QR in extended precision; never by normal equations. One-way analysis
/// of variance and a robust slope, which need no matrix.
///
/// In       design X (n x p, row-major) or one regressor, y (n)
/// Out      estimates, standard errors, covariance, residual sum of squares, residual sd on n - p
/// Maths    METHOD.md (M51)–(M53); [GOLUB], [THEIL], [SEN], [NIST-HB] 4.1.4, 7.4.3; certified data [StRD]
/// Assumes  equal variances: whoever has weights multiplies rows of X and y by their square roots
/// Range    p <= n; full column rank (throws std::domain_error otherwise)
/// Accuracy digits on [StRD]: Norris, NoInt, Longley, Filip 14; Wampler1 to 4 13; Wampler5 11
///          (tests/stats/least_squares_test.cpp); analysis of variance: tests/stats/anova_test.cpp
#pragma once

#include <span>
#include <vector>

namespace quarterturn::stats {

struct LinearFit {
  std::vector<double> beta, standard_error;
  std::vector<double> covariance;           ///< p x p row-major, residual variance included
  double residual_ss = 0, residual_sd = 0;  ///< residual_sd is 0 when dof is 0
  int dof = 0;
};

/// \param x  n x p, row-major; \param y n values
/// \throws std::domain_error on shapes that do not fit, a value that is not finite, or columns that depend on
/// each
///         other
/// Example: fit_linear({{1, 0, 1, 1, 1, 2}}, {{1, 3, 5}}, 2).beta is {1, 2}.
LinearFit fit_linear(std::span<const long double> x, std::span<const long double> y, int p);

/// Columns 1, x, x^2 … x^degree of one regressor, centred and scaled inside; beta[k] belongs to x^k.
/// \throws std::domain_error as fit_linear, and with fewer than degree + 1 distinct x
LinearFit fit_polynomial(std::span<const long double> x, std::span<const long double> y, int degree);

struct OneWayAnova {
  double ss_between = 0, ss_within = 0, ms_between = 0, ms_within = 0, f = 0, r_squared = 0, residual_sd = 0;
  int dof_between = 0, dof_within = 0;
};
/// \param group  a label for each value; \param value in extended precision, since certified sets need it
/// \throws std::domain_error with fewer than two groups, or no group of two
OneWayAnova one_way_anova(std::span<const int> group, std::span<const long double> value);

/// Median of all pairwise slopes (Theil-Sen). \throws std::domain_error with fewer than two distinct x
double theil_sen_slope(std::span<const double> x, std::span<const double> y);

}  // namespace quarterturn::stats
