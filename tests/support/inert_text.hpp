// SPDX-License-Identifier: MIT
/// \file inert_text.hpp
/// Whether text that came from outside is dead on a screen: its own reading of UTF-8 (RFC 3629) and its own
/// list of what acts on a terminal or on the direction of text, apart from those of src/units.
#pragma once

#include <string>
#include <string_view>

namespace quarterturn::test {

/// What is alive in the text, with its place: `U+202E at byte 12`, `byte 0xff at byte 3`; empty: nothing.
/// Line ends may stand in it, whatever else is a control may not.
std::string alive_in(std::string_view text);

/// Whether `nan`, `inf` or `infinity` stands in it as a word of its own, as a number that is none is printed.
bool has_no_number(std::string_view text);

}  // namespace quarterturn::test
