// SPDX-License-Identifier: MIT
/// \file care.hpp
/// The care notes, for pages, the guided check and its help: their only home.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::report {

/// What stands before every step at the saw.
inline constexpr const char* kUnplug =
    "Unplug the saw before you touch dogs or rail; blade stopped before you reach.";
/// What a result is not.
inline constexpr const char* kCertifiesNothing =
    "A setup found within is not a safe saw. The tool measures squareness; it certifies nothing.";

/// In full, a line each; the last is kCertifiesNothing.
const std::vector<std::string>& care_lines();

}  // namespace quarterturn::report
