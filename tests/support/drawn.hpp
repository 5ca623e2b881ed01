// SPDX-License-Identifier: MIT
/// \file drawn.hpp
/// Drawings read back: their cells, and what every drawing keeps to.
#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

namespace quarterturn::test {

using Cells = std::vector<std::vector<std::string>>;  ///< by line and column, a code point each

inline std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

inline std::vector<std::string> cells_of_line(const std::string& line) {
  std::vector<std::string> cells;
  for (const char c : line) {
    if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) cells.emplace_back();
    cells.back() += c;
  }
  return cells;
}

inline Cells cells_of_text(const std::string& text) {
  Cells cells;
  for (const auto& line : lines_of(text)) cells.push_back(cells_of_line(line));
  return cells;
}

inline std::string cell_at(const Cells& cells, int column, int line) {
  if (line < 0 || line >= static_cast<int>(cells.size())) return " ";
  const auto& row = cells[static_cast<std::size_t>(line)];
  return column < 0 || column >= static_cast<int>(row.size()) ? " " : row[static_cast<std::size_t>(column)];
}

/// Columns at which a mark stands on a line.
inline std::vector<int> columns_with(const Cells& cells, int line, const std::string& mark) {
  std::vector<int> found;
  for (int column = 0; column < static_cast<int>(cells[static_cast<std::size_t>(line)].size()); ++column) {
    if (cell_at(cells, column, line) == mark) found.push_back(column);
  }
  return found;
}

inline std::string without_color(const std::string& text) {
  std::string out;
  bool escape = false;
  for (const char c : text) {
    if (c == '\x1b') escape = true;
    if (!escape) out += c;
    if (c == 'm') escape = false;
  }
  return out;
}

/// No line too wide, no tab, no blank at an end, ASCII where Unicode is not wanted.
inline void check_form(const std::string& text, int width, bool unicode) {
  for (const auto& line : lines_of(text)) {
    CAPTURE(line);
    CAPTURE(width);
    CHECK(static_cast<int>(cells_of_line(line).size()) <= width);
    CHECK(line.find('\t') == std::string::npos);
    CHECK((line.empty() || line.back() != ' '));
    const bool ascii =
        std::all_of(line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
    CHECK((unicode || ascii));
  }
}

/// And no mark was without a spelling.
inline void check_drawing(const std::string& drawn, int width, bool unicode) {
  check_form(drawn, width, unicode);
  CHECK(drawn.find('?') == std::string::npos);
}

}  // namespace quarterturn::test
