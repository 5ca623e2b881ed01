// SPDX-License-Identifier: MIT
/// \file charts.hpp
/// Control charts that follow small lasting shifts: the exponentially weighted moving average (EWMA), plain,
/// and self-starting, which needs no history to set its limits from.
///
/// In       values in the order of their time; self-starting: with their variances u^2 > 0
/// Out      the average after each value, its limits, where it is beyond them
/// Maths    METHOD.md (M60)–(M62); [ROBERTS], [HAWKINS], [NIST-HB] 6.3.2.4
/// Assumes  independent normal values; self-starting: of variance u^2 + tau^2 up to one common factor
/// Range    z from the third value on, alarms from the ninth; O(n)
/// Accuracy 1e-10 on the handbook's example; false alarms in the next 20 values at most 6 %
/// (tests/stats/charts_test.cpp)
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace quarterturn::stats {

inline constexpr double kEwmaLambda = 0.2;
inline constexpr double kEwmaWidth = 3.0;        ///< limits in standard deviations of the average
inline constexpr std::size_t kFirstAlarmAt = 9;  ///< the ninth value is the first that may alarm
inline constexpr std::size_t kFirstScoreAt = 3;  ///< the third is the first with a z

/// z_i = lambda x_i + (1 - lambda) z_{i-1} from z_0 = `start`.
std::vector<double> ewma(std::span<const double> x, double start, double lambda);

/// Half-width of the limits after i values of standard deviation sigma; i = infinity: the final ones.
double ewma_limit(double sigma, double lambda, double width, double i);

struct ChartPoint {
  std::optional<double> z;  ///< the value's own score, standard normal while nothing changes
  double average = 0;       ///< EWMA of the scores so far
  double limit = 0;         ///< ± of the average; 0 before the first score
  bool alarm = false;       ///< beyond the limit, from the ninth value on
};

/// \returns one point a value. A value whose predecessors are all exactly alike has no score.
/// \throws std::domain_error on shapes that do not fit, a value not finite, a variance not above 0
/// Example: the first alarm is the first point with `alarm`.
std::vector<ChartPoint> self_starting_ewma(std::span<const double> y, std::span<const double> v);

}  // namespace quarterturn::stats
