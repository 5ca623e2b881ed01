// SPDX-License-Identifier: MIT
/// \file ink.hpp
/// Colour in the terminal, where it helps and never alone: each inked thing has its own word or mark as well.
///
/// A verdict carries its own ground, so that it reads on a dark screen and on a light one alike; a mark in a
/// drawing has magenta, of the eight basic colours the one that stands off black and white about equally.
/// Contrast by the usual formula (L1 + 0.05)/(L2 + 0.05) for the palette most terminals start from:
///
///     ground of its own   black on green 9.7, black on yellow 12.3, white on red 4.6
///     on black / white    magenta 4.5 / 4.7; red 3.6 / 5.8, green 9.7 / 2.2, yellow 12.3 / 1.7, blue 2.2
///     / 9.4
///
/// tests/report/ink_test.cpp computes them.
#pragma once

#include <string>

namespace quarterturn::report {

enum class Ink { none, within, doubt, outside, mark };

/// The sequence that begins an ink; empty for none.
inline const char* ink_code(Ink ink) {
  switch (ink) {
    case Ink::within:
      return "\x1b[30;42m";
    case Ink::doubt:
      return "\x1b[30;43m";
    case Ink::outside:
      return "\x1b[1;37;41m";
    case Ink::mark:
      return "\x1b[35m";
    case Ink::none:
      break;
  }
  return "";
}

inline std::string inked(const std::string& text, Ink ink, bool color) {
  if (!color || ink == Ink::none || text.empty()) return text;
  return ink_code(ink) + text + "\x1b[0m";
}

}  // namespace quarterturn::report
