// SPDX-License-Identifier: MIT
/// \file corners.hpp
/// Which corners each strip sums: theta = t eta + T e (M7), (M8).
#pragma once

#include <string>
#include <vector>

#include "check/check.hpp"

namespace quarterturn::check {

/// Corner counts of the strips of one check.
struct Corners {
  struct Name {
    int panel, cut;  ///< the corner before cut `cut` is made: between edge cut-1 and edge cut
    auto operator<=>(const Name&) const = default;
  };
  int strips = 0;
  std::vector<Name> names;  ///< one a column
  std::vector<double> T;    ///< strips x names, row-major
  std::vector<double> t;    ///< row sums

  [[nodiscard]] int columns() const { return static_cast<int>(names.size()); }
  [[nodiscard]] double at(int strip, int corner) const {
    return T[static_cast<std::size_t>(strip) * names.size() + static_cast<std::size_t>(corner)];
  }
  /// No two strips share a corner.
  [[nodiscard]] bool independent() const;
  /// Corners that the strips cannot tell apart: T_i +- T_k a multiple of t, or T_i alone one (untestable).
  struct Group {
    std::vector<int> members;  ///< column numbers
    std::vector<int> sign;     ///< +1 same way as the first, -1 the other way
    bool testable = true;
  };
  [[nodiscard]] std::vector<Group> groups() const;
};

Corners corners_of(const Check& check);

}  // namespace quarterturn::check
