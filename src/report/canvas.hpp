// SPDX-License-Identifier: MIT
/// \file canvas.hpp
/// Characters in rows and columns, for drawings in the terminal.
#pragma once

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "report/ink.hpp"

namespace quarterturn::report {

/// A rectangle of characters, one code point a cell.
class Canvas {
 public:
  Canvas(int width, int height)
      : width_(width),
        cells_(static_cast<std::size_t>(height), std::vector<Cell>(static_cast<std::size_t>(width))) {}
  [[nodiscard]] int width() const { return width_; }
  [[nodiscard]] int height() const { return static_cast<int>(cells_.size()); }
  [[nodiscard]] bool holds(int column, int row) const {
    return column >= 0 && column < width_ && row >= 0 && row < height();
  }
  void put(int column, int row, std::string_view mark, Ink ink = Ink::none) {
    if (holds(column, row)) cell(column, row) = {std::string(mark), ink};
  }
  void put_text(int column, int row, std::string_view ascii_text, Ink ink = Ink::none) {
    for (const char c : ascii_text) put(column++, row, std::string_view(&c, 1), ink);
  }
  /// A blank outside.
  [[nodiscard]] std::string_view at(int column, int row) const {
    if (!holds(column, row)) return " ";
    return cells_[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)].mark;
  }
  /// Without blanks at its end. \param color  with escape sequences for the inks
  [[nodiscard]] std::string row(int at, bool color = false) const {
    const auto& cells = cells_[static_cast<std::size_t>(at)];
    std::size_t end = cells.size();
    while (end > 0 && cells[end - 1].mark == " ") --end;
    std::string text;
    for (std::size_t from = 0; from < end;) {  // a run of one ink is inked once
      std::string run;
      std::size_t to = from;
      for (; to < end && cells[to].ink == cells[from].ink; ++to) run += cells[to].mark;
      text += inked(run, cells[from].ink, color);
      from = to;
    }
    return text;
  }

 private:
  struct Cell {
    std::string mark = " ";
    Ink ink = Ink::none;
  };
  Cell& cell(int column, int row) {
    return cells_[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)];
  }

  int width_;
  std::vector<std::vector<Cell>> cells_;
};

/// The step, 0 to steps - 1, at which a value stands between two others; the middle when they are one.
inline int scaled(double value, double low, double high, int steps) {
  return high > low ? static_cast<int>(std::lround((value - low) / (high - low) * (steps - 1)))
                    : (steps - 1) / 2;
}

}  // namespace quarterturn::report
