// SPDX-License-Identifier: MIT
/// \file hold.hpp
/// What the fuzz targets share: stopping with a word, and what must hold of every fault and of all that is
/// shown.
#pragma once

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "support/inert_text.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::fuzz {

/// Stops the run: the input that led here is kept.
[[noreturn]] inline void broken(const std::string& what) {
  std::fprintf(stderr, "does not hold: %s\n", what.c_str());
  std::abort();
}

inline void hold(bool holds, const char* what) {
  if (!holds) broken(what);
}

/// Text for people: dead on a screen, of a size that one reads, without a number that is none.
/// \param most  bytes
inline void hold_text(std::string_view text, std::size_t most, const char* what) {
  if (const std::string alive = test::alive_in(text); !alive.empty())
    broken(std::string(what) + " holds " + alive + ":\n" + std::string(text));
  if (text.size() > most) broken(std::string(what) + " is " + std::to_string(text.size()) + " bytes long");
}

/// What is told are numbers, unless such a word was given: that one is told again.
inline void hold_numbers(std::string_view told, std::string_view given) {
  const std::string small = units::lowered(given);
  if (small.find("nan") != std::string::npos || small.find("inf") != std::string::npos) return;
  if (test::has_no_number(told)) broken("what is told are numbers:\n" + std::string(told));
}

/// A fault tells what it was about, what it must be, and of which file; a place is in the text or unknown.
inline void hold_fault(const units::InputError& fault, const char* source, std::string_view text) {
  constexpr std::size_t kMostOfFault = 3000;
  hold_text(fault.what(), kMostOfFault, "a fault");
  hold(!fault.subject().empty(), "a fault tells what it is about");
  hold(!fault.must_be().empty(), "a fault tells what must be");
  const auto& where = fault.where();
  hold(where.source == source, "a fault tells where");
  hold(where.line >= 0 && where.column >= 0, "a place counts from 1");
  hold(where.line > 0 || where.column == 0, "a column has its line");
  // CR alone ends a line, too.
  std::size_t lines = 1;
  for (const char c : text) lines += c == '\n' || c == '\r';
  hold(static_cast<std::size_t>(where.line) <= lines, "a line is one of the text");
  hold(static_cast<std::size_t>(where.column) <= text.size() + 1, "a column is one of the text");
}

}  // namespace quarterturn::fuzz
