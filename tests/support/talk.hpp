// SPDX-License-Identifier: MIT
/// \file talk.hpp
/// What a conversation at the prompt said.
#pragma once

#include <string>

namespace quarterturn::test {

inline bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

inline std::size_t count_of(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

/// The text with its line ends and indents as single blanks: where a line was broken does not matter here.
inline std::string flat(const std::string& text) {
  std::string one;
  for (const char c : text) {
    const char shown = c == '\n' ? ' ' : c;
    if (shown != ' ' || one.empty() || one.back() != ' ') one += shown;
  }
  return one;
}

}  // namespace quarterturn::test
