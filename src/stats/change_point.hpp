// SPDX-License-Identifier: MIT
/// \file change_point.hpp
/// One lasting step in a series of unequal variances: where it is most likely, how large, and how often
/// chance alone would show one as large somewhere.
///
/// In       values in the order of their time, variances v_i = u_i^2, the variance tau^2 between them; places
///          where something happened
/// Out      the largest standardised step over all places, and over the given ones, each with a p that counts
///          all the places that were tried
/// Maths    METHOD.md (M63)–(M67); [WORSLEY], [BESAG], [COBB]
/// Assumes  before and after the step: independent normal values of variance v_i + tau^2, up to one factor
/// Range    three values or more; at most `most_splits` places take part in the simulation
/// Accuracy 1e-9 against R on the Nile series; false alarms 5 % ± 1 % (tests/stats/change_point_test.cpp)
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace quarterturn::stats {

/// A step between value index - 1 and value `index`.
struct Step {
  std::size_t index = 0;
  double size = 0;      ///< mean after minus mean before
  double variance = 0;  ///< of the size, the scale of the residuals included; on n - 2 degrees of freedom
  double t = 0;         ///< |size| / sqrt(variance); infinite when nothing is left over
};

struct StepOptions {
  double tau2 = 0;                          ///< between the values, beyond v
  std::span<const std::size_t> candidates;  ///< indices, 1 to n - 1; the last `most_splits` of them count
  std::span<const double> dof = {};         ///< of each v; empty, or infinite: v is known
  int trials = 1999;              ///< for p below 0.05; fewer far above it, up to three times near it
  std::uint64_t seed = 20260301;  ///< fixed: the same series gives the same p
  std::size_t most_splits = 400;  ///< a longer series is simulated at so many places of it
};

struct StepSearch {
  Step largest;
  double p = 1;                      ///< chance alone shows such a step somewhere
  std::size_t first = 0, last = 0;   ///< `index` lies between these with 95 % (M66)
  std::optional<Step> at_candidate;  ///< the largest at one of the candidates
  double candidate_p = 1;            ///< chance alone shows such a step at one of them
  double dof = 0;                    ///< n - 2
  int trials = 0;                    ///< that were simulated
};

/// \throws std::domain_error on fewer than three values, shapes that do not fit, v not above 0, a candidate
/// out
///         of range
/// Example: largest_step(y, v).largest.index is the first value after the step.
StepSearch largest_step(std::span<const double> y, std::span<const double> v,
                        const StepOptions& options = {});

/// Odds of a step against a trend, or the reverse, from which on one of them is named (M67): wrong names then
/// stay below 5 % of the series (tests/stats/change_point_test.cpp).
inline constexpr double kToldApart = 5.0;
inline constexpr std::size_t kFewestToldApart = 6;

/// How one of two descriptions fits against the other, a step or a straight line over `x`: log of the odds of
/// a step (M67). Far above 0: a step; far below: a trend.
/// \param v  variances with what lies between the values added
double step_against_trend(std::span<const double> y, std::span<const double> v, std::span<const double> x);

}  // namespace quarterturn::stats
