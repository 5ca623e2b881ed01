// SPDX-License-Identifier: MIT
/// \file number.hpp
/// Numbers as people type them: `14.83`, `14,83`, `14.83 mm`, `0.584 in`, `37/64 in`, `1-3/16 in`, `1 3/16"`,
/// `1½ in`. Never depends on the locale.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "units/length.hpp"

namespace quarterturn::units {

enum class Unit { mm, inch };

/// One number as it was typed.
struct Number {
  double value = 0.0;        ///< in the unit below
  std::optional<Unit> unit;  ///< the unit typed with it, if any
  double digits_step = 1.0;  ///< step of the last typed digit, in the same unit: 14.80 -> 0.01, 37/64 -> 1/64
  bool fraction = false;     ///< typed as a fraction: 37/64, 1-3/16
  std::string as_typed;

  /// The length; a bare number carries `bare`.
  [[nodiscard]] Length length(Unit bare) const;
  /// Step of the last typed digit as a length.
  [[nodiscard]] Length step(Unit bare) const;
};

/// Parses the whole of `text` (surrounding blanks allowed) as one finite number.
/// \param what      names the thing in the error: `width`
/// \param comma     whether `14,83` may stand for 14.83
/// \throws InputError on anything else: text, two numbers, NaN, infinity, hexadecimal, a zero denominator
Number parse_number(std::string_view text, std::string_view what, bool comma = true);

/// One number of several in a line.
struct Piece {
  std::string_view text;   ///< a part of the line given
  std::size_t offset = 0;  ///< of its first character, in characters from the start of the line
};

/// Parts `22.74 22.73 1 3/16" 14.83 mm` into its four numbers: at blanks and line ends, but not before a unit
/// nor inside a mixed fraction; a comma or semicolon at a number's end is taken off. What a part holds is not
/// looked at.
std::vector<Piece> split_numbers(std::string_view line);

/// parse_number, as a length; bare numbers carry `bare`.
Length parse_length(std::string_view text, std::string_view what, Unit bare = Unit::mm);

/// A whole number in [lowest, highest]. \throws InputError
int parse_whole(std::string_view text, std::string_view what, int lowest, int highest);

/// `mm` or `in`. \throws InputError
Unit parse_unit(std::string_view text);

}  // namespace quarterturn::units
