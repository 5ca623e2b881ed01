// SPDX-License-Identifier: MIT
/// \file meta_analysis.hpp
/// Estimates whose standard uncertainties are known, put together: are they alike, how much do they differ
/// beyond their own uncertainty, what is their mean, do they follow one covariate.
///
/// In       estimates y_i, their variances v_i = u_i^2 > 0, for the regression a covariate x_i
/// Out      Q with its probability; tau^2 between them with its interval; mean; straight line
/// Maths    METHOD.md (M54)–(M59), (M23), (M24); [COCHRAN], [WELCH], [DERSIM], [VIECH], [KNAPP], [PATT]
/// Assumes  y_i independent and normal about their mean or line, with variance v_i + tau^2
/// Range    two estimates or more, for the line three; O(n) a step
/// Accuracy 1e-6 relative against R (metafor) on four published data sets
/// (tests/stats/meta_analysis_test.cpp)
#pragma once

#include <span>
#include <vector>

namespace quarterturn::stats {

/// Are the estimates alike?
struct Homogeneity {
  double q = 0;    ///< sum of squares about the weighted mean, weights 1/v
  double p = 1;    ///< P(chi-square on dof > q)
  double dof = 0;  ///< n - 1
};
/// \throws std::domain_error on fewer than two estimates, shapes that do not fit, v not above 0
Homogeneity cochran_q(std::span<const double> y, std::span<const double> v);

/// The same where the v_i were themselves estimated on `dof_i` (infinite allowed): an F test that holds
/// its level, equal to cochran_q where all are infinite.
struct WelchTest {
  double f = 0, dof1 = 0, dof2 = 0, p = 1;
};
WelchTest welch_test(std::span<const double> y, std::span<const double> v, std::span<const double> dof);

enum class Between { reml, dersimonian_laird };

/// tau^2 >= 0 of estimates about their common mean, or, with a covariate, about their line.
/// \param x  empty, or one value for each estimate
double between_variance(std::span<const double> y, std::span<const double> v, std::span<const double> x = {},
                        Between how = Between::reml);

/// tau^2 (restricted maximum likelihood) of groups that have each their own mean: `group` names it, in
/// ascending order. Groups of one tell nothing. dof = sum of (members - 1).
struct GroupedVariance {
  double tau2 = 0;
  double dof = 0;
};
GroupedVariance between_variance_grouped(std::span<const double> y, std::span<const double> v,
                                         std::span<const int> group);

/// Interval for tau^2 by the generalised Q statistic; `high` is infinite where the data allow any size.
struct VarianceInterval {
  double low = 0, high = 0;
};
/// \param group  as above, or empty for one common mean
VarianceInterval between_variance_interval(std::span<const double> y, std::span<const double> v,
                                           double confidence = 0.95, std::span<const int> group = {});

/// Mean or line with Knapp and Hartung's t interval.
struct MetaLine {
  double intercept = 0, slope = 0;  ///< of y = intercept + slope (x - centre); slope is 0 for a mean
  double centre = 0;                ///< weighted mean of x
  double intercept_variance = 0, slope_variance = 0;  ///< scale included; uncorrelated about the centre
  double scale = 1;                                   ///< sum of w r^2 / dof
  double dof = 0;                                     ///< n - 1 or n - 2
  double tau2 = 0;
  double q = 0, q_p = 1;  ///< what is left beyond v alone, weights 1/v, and its probability

  [[nodiscard]] double at(double x) const { return intercept + slope * (x - centre); }
  /// Variance of at(x), that of the line itself.
  [[nodiscard]] double variance_at(double x) const {
    return intercept_variance + slope_variance * (x - centre) * (x - centre);
  }
  /// Two-sided p of the slope, and the factor of its interval.
  [[nodiscard]] double slope_p() const;
  [[nodiscard]] double factor(double confidence = 0.95) const;
};

/// Example: weighted_mean(y, v).intercept, ± factor() sqrt(intercept_variance).
MetaLine weighted_mean(std::span<const double> y, std::span<const double> v, Between how = Between::reml);

/// \param informs  empty, or 0 for an estimate that takes part in the line and in no variance: tau^2, scale
///                 and degrees of freedom come from the others, of which there must be three
/// \throws std::domain_error on fewer than three estimates or on x that are all alike
MetaLine meta_regression(std::span<const double> y, std::span<const double> v, std::span<const double> x,
                         Between how = Between::reml, std::span<const char> informs = {});

}  // namespace quarterturn::stats
