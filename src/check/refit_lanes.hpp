// SPDX-License-Identifier: MIT
/// \file refit_lanes.hpp
/// Checks of one design drawn and fitted a register's width at a time.
///
/// In       the design with the sizes it is drawn with; random deviates
/// Out      of each drawn check its corner error, half-width and variances
/// Maths    METHOD.md (M122) for even designs: (M20)–(M27) in the eigenbasis of the corners' common scatter;
///          (M123) for the others: the same with a class of spots for each number of readings
/// Assumes  what LaneDesign says; a lane whose check asks for something else is marked, not guessed
/// Accuracy the fit of one check by fit_interval: corner error and half-width 1e-12; the same bits with each
///          machine code (tests/check/replicates_test.cpp)
/// Gain     some 50 times fit_interval, nine times where a design is not even
///          (tests/bench/bootstrap_bench.cpp)
#pragma once

#include <array>

#include "check/lane_design.hpp"
#include "stats/isa.hpp"

namespace quarterturn::check {

inline constexpr int kMostLanes = 8;

/// Of so many checks as a register has lanes.
struct LaneDraws {
  std::array<const double*, kMostLanes> uniforms{}, normals{};
  std::array<std::array<double, kMostLanes>, 3> outside{};  ///< s2 by Component
};
struct LaneFits {
  std::array<double, kMostLanes> eta{}, half_width{};
  std::array<std::array<double, kMostLanes>, 3> theta{};
  std::array<bool, kMostLanes> told{};  ///< false: this check has to be fitted by itself
};

int lanes_of(stats::Isa isa);
void fit_lanes(const LaneDesign& design, const LaneDraws& draws, LaneFits& fits, stats::Isa isa);

}  // namespace quarterturn::check
