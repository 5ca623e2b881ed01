// SPDX-License-Identifier: MIT
/// \file refit_lanes.hpp
/// Checks of one even design drawn and fitted a register's width at a time.
///
/// In       the design: as many readings at each place of each strip; the sizes it is drawn with;
///          random deviates
/// Out      of each drawn check its corner error, half-width and variances
/// Maths    METHOD.md (M122): (M20)–(M27) in the eigenbasis of the corners' common scatter
/// Assumes  what EvenDesign says; a lane whose check asks for something else is marked, not guessed
/// Accuracy the fit of one check by fit_interval: corner error and half-width 1e-12; the same bits with each
///          machine code (tests/check/replicates_test.cpp)
/// Gain     some 250 times fit_interval (tests/bench/bootstrap_bench.cpp)
#pragma once

#include <array>
#include <vector>

#include "stats/isa.hpp"

namespace quarterturn::check {

/// As many readings at each place of each strip; strips may differ in their places and share corners.
struct EvenDesign {
  static constexpr int kMostStrips = 64, kMostSpots = 64, kMostRepeats = 16;

  int strips = 0, repeats = 0, corners = 0;
  std::vector<int> first;                     ///< spot of each strip, and one past the last
  std::vector<double> position, from_middle;  ///< of the spots [mm]
  std::vector<double> turns;                  ///< t of (M7), by strip
  std::vector<double> corner;                 ///< T times what a corner scatters by [rad], strips x corners
  std::vector<double> wide, middle;           ///< by strip: what an edge starts from; a gap's middle place
  bool gaps = false;
  double eta = 0, reading = 0, saw = 0;  ///< what is drawn [rad], [mm]
  double resolution = 0;

  std::vector<double> sxx;  ///< by strip
  double nu_pure = 0, nu_line = 0;
  std::vector<double> rotation, eigenvalue, regressor;  ///< (M122); an eigenvector a row, times sqrt(S_xx)
  std::array<double, 3> nu_outside{};                   ///< by Component
  bool saw_free = false, seating_free = false, panels = false;
  bool assumed = false;          ///< seating from outside is the assumed one (M19)
  double per_mm2 = 0;            ///< of one strip's seating for one turn (start value)
  std::vector<double> quantile;  ///< q(1/x), Chebyshev coefficients on x from 0 to 1
  double quantile_panels = 0;    ///< on strips - 1

  /// How many of each a check is drawn from; uniform ones made even.
  [[nodiscard]] int uniforms() const { return strips + strips % 2; }
  [[nodiscard]] int normals() const { return corners + first.back() * (1 + repeats); }
};

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
void fit_lanes(const EvenDesign& design, const LaneDraws& draws, LaneFits& fits, stats::Isa isa);

}  // namespace quarterturn::check
