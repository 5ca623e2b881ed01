// SPDX-License-Identifier: MIT
/// \file canvas.hpp
/// Characters in rows and columns, for drawings in the terminal.
#pragma once

#include <cmath>
#include <string>
#include <vector>

namespace quarterturn::report {

/// A rectangle of characters, one code point a cell.
class Canvas {
 public:
  Canvas(int width, int height)
      : width_(width),
        cells_(static_cast<std::size_t>(height),
               std::vector<std::string>(static_cast<std::size_t>(width), " ")) {}
  void put(int column, int row, const char* mark) {
    if (column < 0 || column >= width_ || row < 0 || row >= static_cast<int>(cells_.size())) return;
    cells_[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)] = mark;
  }
  void put_text(int column, int row, const std::string& ascii_text) {
    for (const char c : ascii_text) put(column++, row, std::string(1, c).c_str());
  }
  [[nodiscard]] std::string row(int at) const {
    std::string text;
    for (const auto& cell : cells_[static_cast<std::size_t>(at)]) text += cell;
    text.erase(text.find_last_not_of(' ') + 1);
    return text;
  }

 private:
  int width_;
  std::vector<std::vector<std::string>> cells_;
};

/// The step, 0 to steps - 1, at which a value stands between two others; the middle when they are one.
inline int scaled(double value, double low, double high, int steps) {
  return high > low ? static_cast<int>(std::lround((value - low) / (high - low) * (steps - 1)))
                    : (steps - 1) / 2;
}

}  // namespace quarterturn::report
