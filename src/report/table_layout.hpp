// SPDX-License-Identifier: MIT
/// \file table_layout.hpp
/// Where things of a table stand in its drawing: which holes are shown, how far apart, and how many times
/// larger the error is drawn.
///
/// In       station, setup, squareness error, columns of the screen
/// Out      text columns and lines, counted from the left and from the top
/// Assumes  the rail runs along a column of holes, the fence along a row
#pragma once

#include <optional>

#include "station/station.hpp"

namespace quarterturn::report {

struct TableLayout {
  station::Hole low, high;  ///< corners of the part that is shown
  int hole_columns = 0;     ///< text columns from hole to hole
  int hole_lines = 0;       ///< lines from hole to hole
  int first_column = 0;     ///< text column of the leftmost holes
  int width = 0, height = 0;
  bool turns_about_far = false;  ///< the near rail dog is the one that is drawn out of place
  double lean = 0;               ///< text columns that the dog out of place lies off, positive to the right
  int times = 0;                 ///< larger than it is; 0: too small to be drawn, or not to scale
  bool to_scale = true;

  [[nodiscard]] int column_of(station::Hole hole) const {
    return first_column + hole_columns * (hole.column - low.column);
  }
  [[nodiscard]] int line_of(station::Hole hole) const { return hole_lines * (high.row - hole.row); }
};

/// \param eps_rad  squareness error
/// \param width  columns of the screen
/// \param turns_about_far  the near rail dog is drawn out of place, else the far one
/// Empty for slanting lines, and where the dogs with their surroundings do not fit.
std::optional<TableLayout> table_layout(const station::Station& station, const station::Setup& setup,
                                        double eps_rad, bool turns_about_far, int width);

}  // namespace quarterturn::report
