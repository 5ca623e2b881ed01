// SPDX-License-Identifier: MIT
/// \file dock_table.hpp
/// The table that examples/surveys/dock.csv was measured on: an invented one, out of square, its holes off by
/// chance, its dogs not of the size they are sold as.
#pragma once

#include <cstdint>
#include <map>
#include <random>
#include <string>

#include "support/oracle.hpp"
#include "support/simulate.hpp"

namespace quarterturn::test {

inline constexpr std::uint64_t kDockSeed = 603;
inline constexpr double kDockShear = 2e-4, kDockPitchY = -1e-4, kDockHoleSd = 0.09;

/// Half of what a dog is thicker than stated [mm].
inline double dock_oversize(const std::string& dog) {
  static const std::map<std::string, double> sizes{
      {"low-1", 0.015}, {"low-2", 0.005}, {"tall-1", -0.01}, {"tall-2", 0.02}};
  return sizes.at(dog);
}

/// How far each hole is off, all told, and by its own chance alone [mm].
struct DockTable {
  std::map<station::Hole, Point> off, by_chance;
};

inline DockTable dock_table(const station::Grid& grid, std::mt19937_64& random) {
  DockTable table;
  for (int c = 1; c <= grid.columns; ++c) {
    for (int r = 1; r <= grid.rows; ++r) {
      const double x = grid.pitch.mm() * (c - 5), y = grid.pitch.mm() * (r - 6);
      const double off_x = kDockHoleSd * normal(random), off_y = kDockHoleSd * normal(random);
      table.by_chance[{c, r}] = {off_x, off_y};
      table.off[{c, r}] = {off_x - kDockShear * y / 2, off_y + kDockPitchY * y - kDockShear * x / 2};
    }
  }
  return table;
}

/// That setup, with these dogs in its holes, on that table: for exact tangents.
inline Table dock_setup(const station::Station& dock, const station::Setup& setup, const DockTable& at) {
  Table table = table_of(dock, setup);
  const auto put = [&](OracleDog& peg, const station::Post& post) {
    peg.shift = at.off.at(post.hole);
    peg.diameter_mm += 2 * dock_oversize(post.dog);
  };
  put(table.rail_near, setup.rail.first);
  put(table.rail_far, setup.rail.second);
  put(table.fence_left, setup.fence.first);
  put(table.fence_right, setup.fence.second);
  return table;
}

}  // namespace quarterturn::test
