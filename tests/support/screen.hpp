// SPDX-License-Identifier: MIT
/// \file screen.hpp
/// As much of a terminal as a line editor needs: what was written, as it stands on the screen.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::test {

class Screen {
 public:
  explicit Screen(int columns, int rows = 24) : columns_(columns), rows_(rows), lines_(1) {}

  void take(std::string_view bytes);
  /// The next lines are so wide; lines that stand stay as they are.
  void resize(int columns) { columns_ = columns; }

  /// All lines, those that have left the window too, without the blanks at their ends.
  [[nodiscard]] std::string text() const;
  /// The line that the cursor stands on.
  [[nodiscard]] std::string line() const;
  [[nodiscard]] std::size_t column() const { return column_; }
  [[nodiscard]] int bells() const { return bells_; }
  [[nodiscard]] int colours() const { return colours_; }
  [[nodiscard]] int escapes() const { return escapes_; }
  /// How often the window, not the program, has broken a line.
  [[nodiscard]] int wraps() const { return wraps_; }
  /// Sequences that this terminal does not know: a test that sees any proves nothing.
  [[nodiscard]] const std::string& unknown() const { return unknown_; }

 private:
  using Line = std::vector<std::string>;  ///< a character each

  void put(const std::string& character);
  void line_feed();
  std::size_t escape(std::size_t at);
  void one(const std::string& character);
  void obey(const std::string& numbers, char letter);
  Line& here();
  [[nodiscard]] std::size_t top() const;

  int columns_, rows_;
  std::vector<Line> lines_;
  std::size_t row_ = 0, column_ = 0;
  bool at_margin_ = false;  ///< the last column was written: the next character goes on a new line
  int bells_ = 0, colours_ = 0, escapes_ = 0, wraps_ = 0;
  std::string waiting_, unknown_;
};

}  // namespace quarterturn::test
