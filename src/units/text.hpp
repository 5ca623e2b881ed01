// SPDX-License-Identifier: MIT
/// \file text.hpp
/// Small things about typed text, the same in every locale.
#pragma once

#include <array>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <string_view>

namespace quarterturn::units {

/// Neither a blank nor a part of one: what most text consists of, told without a closer look.
constexpr bool is_no_blank(char c) {
  return c > ' ' && c < '\x7F';
}

/// Bytes of the blank that `text` begins with, 0 when it begins with none. Space, tab, and the no-break and
/// thin spaces that spreadsheets and phones put beside numbers.
std::size_t blank_length(std::string_view text);

/// `text` without blanks at either end.
std::string_view trimmed(std::string_view text);

/// ASCII letters made small; all other bytes kept.
std::string lowered(std::string_view text);

/// Characters (code points) of UTF-8 text: what an editor counts as columns.
std::size_t characters(std::string_view text);

/// Bytes of the well-formed UTF-8 character that `text` begins with, 0 when it begins with none.
/// Overlong forms, surrogates and code points above U+10FFFF are not well-formed (Unicode 15, table 3-7).
std::size_t utf8_length(std::string_view text);

/// The shortest decimal digits that read back as exactly `value`: `0.1`, `600`, `1.27e-05`.
std::string shortest(double value);

/// The number with the fewest digits near `value` for which `reads_back` holds, else the nearest one within
/// four units of its last place: what was computed from a stated number may not lead back to it. None when
/// none of these does.
template <typename ReadsBack>
std::optional<double> fewest_digits(double value, ReadsBack reads_back) {
  std::array<char, 40> buffer{};
  for (int digits = 1; digits <= 17; ++digits) {
    const auto end =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::general, digits)
            .ptr;
    double tried = 0;
    std::from_chars(buffer.data(), end, tried);
    if (reads_back(tried)) return tried;
  }
  double above = value, below = value;
  for (int step = 0; step < 4; ++step) {
    above = std::nextafter(above, std::numeric_limits<double>::infinity());
    below = std::nextafter(below, -std::numeric_limits<double>::infinity());
    if (reads_back(above)) return above;
    if (reads_back(below)) return below;
  }
  return std::nullopt;
}

}  // namespace quarterturn::units
