// SPDX-License-Identifier: MIT
/// \file distributions.hpp
/// Normal, Student t, chi-square and F: probabilities and quantiles. The only door to Boost.Math.
///
/// Assumes  degrees of freedom > 0; infinity is allowed where it says so
/// Accuracy 1e-9 relative against GSL and the tables of data/reference/tables
/// (tests/stats/distributions_test.cpp)
#pragma once

#include <utility>

namespace quarterturn::stats {

double normal_density(double z);
double normal_probability(double z);  ///< P(Z <= z)
double normal_quantile(double p);     ///< 0 < p < 1

/// The normal quantile at 0.975, as METHOD.md writes it.
inline constexpr double kTwoSided95 = 1.96;

double t_probability(double t, double dof);  ///< P(T <= t); dof may be infinite
double t_quantile(double p, double dof);     ///< dof may be infinite

/// P(T <= t), T = (Z + shift)/sqrt(chi2_dof/dof): what a t statistic is when the mean is not the one tested.
double noncentral_t_probability(double t, double dof, double shift);

double chi2_probability(double x, double dof);  ///< P(X <= x)
double chi2_quantile(double p, double dof);

double f_upper(double f, double dof1, double dof2);     ///< P(F > f); dof2 may be infinite
double f_quantile(double p, double dof1, double dof2);  ///< P(F <= f) = p

/// Interval of a share after `hits` of `trials`, exact (Clopper and Pearson; [NIST-HB] 7.2.4.1): low, high.
/// \throws std::domain_error unless 0 <= hits <= trials and trials > 0
std::pair<double, double> share_interval(int hits, int trials, double confidence);

}  // namespace quarterturn::stats
