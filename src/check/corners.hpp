// SPDX-License-Identifier: MIT
/// \file corners.hpp
/// Which corners each strip or joint sums: theta = t eta + T e + K kappa (M7), (M8), (M95)–(M97).
#pragma once

#include <string>
#include <vector>

#include "check/check.hpp"

namespace quarterturn::check {

/// Corner counts of the strips or joints of one check.
struct Corners {
  /// One seating: of a panel in a cut, or of a piece while the gap at its joint is read.
  struct Name {
    int panel, cut;      ///< the corner before cut `cut` is made: between edge cut-1 and edge cut
    int piece_read = 0;  ///< 1 or 2: not a cut, but this piece of the pair lying at the fence to be read
    auto operator<=>(const Name&) const = default;
  };
  int strips = 0;
  std::vector<Name> names;  ///< one a column
  std::vector<double> T;    ///< strips x names, row-major
  std::vector<double> t;    ///< what eta counts for in each; row sums of T but for seatings while read
  int boards = 0;           ///< columns of K: boards whose own taper is told from eta (M96)
  std::vector<double> K;    ///< strips x boards, row-major
  bool board_taper_unseen = false;  ///< halves, and no board was cut from both its ends

  /// Columns of the regression, eta first: strips x (1 + boards), row-major.
  [[nodiscard]] std::vector<double> regressors() const;
  /// What of the tapers tells seating apart from eta: strips - 1 - boards.
  [[nodiscard]] int contrasts() const { return strips - 1 - boards; }
  /// Sum of squares of the counts of one strip: its variance in units of one seating's.
  [[nodiscard]] double squares(int strip) const;

  [[nodiscard]] int columns() const { return static_cast<int>(names.size()); }
  [[nodiscard]] double at(int strip, int corner) const {
    return T[static_cast<std::size_t>(strip) * names.size() + static_cast<std::size_t>(corner)];
  }
  /// No two strips share a corner.
  [[nodiscard]] bool independent() const;
  /// Corners that the strips cannot tell apart: T_i +- T_k, each to a largest count of one, a sum of the
  /// regressors, or T_i alone one (untestable).
  struct Group {
    std::vector<int> members;  ///< column numbers
    std::vector<int> sign;     ///< +1 same way as the first, -1 the other way
    bool testable = true;
  };
  [[nodiscard]] std::vector<Group> groups() const;
};

Corners corners_of(const Check& check);

}  // namespace quarterturn::check
