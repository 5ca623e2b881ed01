// SPDX-License-Identifier: MIT
/// \file terminal.hpp
/// What the place of the text can show: width, UTF-8, colour; and writing to it with its faults seen.
#pragma once

#include <string_view>

namespace quarterturn::cli {

struct Terminal {
  int width = 80;            ///< for lines of text
  int window = 80;           ///< all its columns, up to 200
  bool is_terminal = false;  ///< standard output
  bool unicode = false;      ///< the locale's encoding is UTF-8
  bool color = false;        ///< a terminal that is not dumb, and NO_COLOR not set
};
/// Of standard output, from the system and the environment.
Terminal look_at_terminal();

/// Whether the environment asks for UTF-8: LC_ALL, else LC_CTYPE, else LANG.
bool environment_is_utf8();

/// Writes all of it to a descriptor. False when it cannot be written (closed, full, a reader gone).
bool write_all(int descriptor, std::string_view text);

}  // namespace quarterturn::cli
