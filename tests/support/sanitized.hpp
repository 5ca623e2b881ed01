// SPDX-License-Identifier: MIT
/// \file sanitized.hpp
/// What the tests do otherwise where the program is built with the address sanitizer: it then starts ten
/// times as slowly, so what is run again and again is run for fewer places.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::test {

#ifndef __has_feature
#define __has_feature(x) 0
#endif

inline constexpr bool kSanitized = __has_feature(address_sanitizer);

/// A variable of the environment for the program run with `words`; no other build reads it. Leaks, which take
/// as long to look for as all the rest of a short run, are looked for when a command first has these options.
std::string sanitizer_options(const std::vector<std::string>& words);

}  // namespace quarterturn::test
