// SPDX-License-Identifier: MIT
/// \file coverage_interval.hpp
/// Coverage intervals from trials of a quantity: the probabilistically symmetric and the shortest.
///
/// In       trials, in any order; a coverage between 0 and 1
/// Out      both intervals, ends in the unit of the trials; each end is one of the trials
/// Maths    METHOD.md (M86); [JCGM101] 5.3, 7.7
/// Assumes  independent trials of one distribution; for the shortest: one peak
/// Range    more than 1/(1 - coverage) trials; O(n), since only the tails are put in order
/// Accuracy equal to sorting everything (tests/stats/coverage_interval_test.cpp)
#pragma once

#include <span>
#include <vector>

namespace quarterturn::stats {

struct CoverageInterval {
  double low = 0, high = 0;
};

struct CoverageIntervals {
  CoverageInterval symmetric, shortest;
};

/// The order of `trials` is changed. Of several shortest intervals the lowest.
/// \throws std::domain_error unless 0 < coverage < 1 and the trials are enough and finite
/// Example: of 1, 2, …, 100 with 0.9: symmetric from 5 to 95, shortest from 1 to 91.
CoverageIntervals coverage_intervals(std::span<double> trials, double coverage);

/// Of the trials of all blocks together.
/// \param blocks  of one size, each left as coverage_intervals with the same coverage left it
/// \param threads  that may look at once; 0: as many as the machine runs
CoverageIntervals coverage_intervals_together(std::span<const std::vector<double>> blocks, double coverage,
                                              int threads = 1);

}  // namespace quarterturn::stats
