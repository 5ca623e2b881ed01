// SPDX-License-Identifier: MIT
/// \file bowed_bench.hpp
/// Readings files of a setup whose rail is bowed: strips, a turn-over pair and the rail test, each read off
/// exact geometry. No formula of the bow is used here but the side on which the rail lies.
#pragma once

#include <string>

#include "support/oracle_gap.hpp"
#include "support/tables.hpp"

namespace quarterturn::test {

struct BowedBench {
  Case setup;
  Table table;
  double h_edge_mm = 0;  ///< of the guiding edge over kRailMm; > 0: crowned
  static constexpr double kRailMm = 1200, kWidthMm = 620, kDepthMm = 600;

  /// What stands above the readings; the station is `bench`, its setup `crosscut`.
  [[nodiscard]] std::string head(const std::string& test, const std::string& date) const;
  [[nodiscard]] std::string rail(const std::string& date) const;
  /// A five-cut. \param panels  so many alike
  [[nodiscard]] std::string strips(const std::string& date, int panels = 3) const;
  /// Pairs as long as the strips' panel is deep. \param displaced_rad  one piece of each lies so far askew
  /// while it is read \param places  2 or more, evenly along the joint
  [[nodiscard]] std::string pair(const std::string& date, double displaced_rad = 0, int places = 5) const;
  /// A quarter of a strip's taper, and the corner beside a straight edge: at the strips' mean length of cut,
  /// and of a pair's piece [rad].
  [[nodiscard]] double strips_rad() const;
  [[nodiscard]] double corner_rad() const;
  [[nodiscard]] double pairs_corner_rad() const;
};

BowedBench bowed_bench(const Case& setup, double h_edge_mm);

}  // namespace quarterturn::test
