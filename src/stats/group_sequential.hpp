// SPDX-License-Identifier: MIT
/// \file group_sequential.hpp
/// Looking at an estimate several times as it grows, by plan: how far each look must reach so that all looks
/// together err as seldom as one.
///
/// In       information shares t_1 < … < t_K = 1 of the planned looks, equal steps or not; joint confidence
/// Out      constant, boundaries of |Z_j|, nominal two-sided levels; probabilities of crossing under a drift
/// Maths    METHOD.md (M92); [OBRIENFLEM], [JENNTURN] chapters 2, 8 and 19
/// Assumes  Z_j sqrt(t_j) is Brownian motion at t_j: cov(Z_i, Z_j) = sqrt(t_i / t_j), variance one
/// Range    steps of a millionth of the whole or more; 60 nodes a look for equal steps, more for small ones
/// Accuracy 1e-8 of probabilities against Simpson's rule; constants 1e-4 against published ones, which have
///          no more digits (tests/stats/group_sequential_test.cpp)
#pragma once

#include <span>
#include <vector>

namespace quarterturn::stats {

/// Of |Z_j|: C / sqrt(t_j), strict at first and nearly as one look at last; or C throughout.
enum class BoundaryShape { obrien_fleming, pocock };

struct GroupSequential {
  double constant = 0;           ///< C
  std::vector<double> boundary;  ///< of |Z_j|, one a look
  std::vector<double> level;     ///< 2 Phi(-boundary_j): what an interval at look j leaves outside
};

/// \param shares      information of each planned look over that of the last
/// \param confidence  that no |Z_j| exceeds its boundary while nothing is there; above 0, below 1
/// \throws std::domain_error on shares that do not rise to 1, or a confidence outside (0, 1)
/// Example: group_sequential({0.5, 1}, 0.95).constant is 1.9774.
GroupSequential group_sequential(std::span<const double> shares, double confidence,
                                 BoundaryShape shape = BoundaryShape::obrien_fleming);

/// Probability that look j is the first beyond its boundary, on either side.
struct FirstCrossing {
  double above = 0, below = 0;
};

/// \param boundary  of |Z_j|, above 0, one a look; infinite where a look cannot stop
/// \param drift     expectation of Z at the last look: effect times the root of its information
/// \returns one a look; their sum is the power against that effect, or with drift 0 the error rate
/// \throws std::domain_error on shapes that do not fit
std::vector<FirstCrossing> first_crossings(std::span<const double> shares, std::span<const double> boundary,
                                           double drift = 0);

/// Sum of first_crossings over looks and sides.
double crossing_probability(std::span<const double> shares, std::span<const double> boundary,
                            double drift = 0);

}  // namespace quarterturn::stats
