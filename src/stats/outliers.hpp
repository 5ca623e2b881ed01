// SPDX-License-Identifier: MIT
/// \file outliers.hpp
/// Several outliers at once: the generalised extreme studentized deviate test. Its first step is Grubbs'
/// test.
///
/// In       values of one unit; the most outliers looked for; alpha
/// Out      statistic and critical value of each step, and how many values stand out
/// Maths    METHOD.md (M35); [ROSNER], [NIST-HB] 1.3.5.17.3, 1.3.5.17.1
/// Assumes  apart from the outliers, one normal distribution
/// Range    three values or more; the critical values are good from 25 on, fair from 15
/// Accuracy 1e-10 relative on the handbook's two examples (tests/stats/outliers_test.cpp)
#pragma once

#include <span>
#include <vector>

namespace quarterturn::stats {

struct Gesd {
  std::vector<double> r;         ///< statistic of each step
  std::vector<double> critical;  ///< lambda of each step at `alpha`, two-sided
  std::vector<int> order;        ///< index taken out at each step
  int outliers = 0;              ///< the largest i with r_i > lambda_i
};

/// Values that share a mean: a group of repeats. Without groups all values share one.
/// \param x       at least three values; the approximation holds from 25 on
/// \param group   empty, or the group of each value; a value alone in its group has no residual and is passed
/// over Grubbs' statistic is r[0] with `most` 1 and alpha doubled for a one-sided test. \throws
/// std::domain_error on fewer than three values, a value that is not finite, or `most` out of range
Gesd gesd(std::span<const double> x, int most, double alpha = 0.05, std::span<const int> group = {});

/// The indices that gesd takes for outliers, in its order, in less time: a step whose statistic stays below
/// what the normal distribution allows needs no critical value, as that of Student's is larger.
std::vector<int> gesd_outliers(std::span<const double> x, int most, double alpha = 0.05,
                               std::span<const int> group = {});

}  // namespace quarterturn::stats
