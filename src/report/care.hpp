// SPDX-License-Identifier: MIT
/// \file care.hpp
/// The care notes, for pages, the guided check and its help: their only home.
#pragma once

#include <string>
#include <vector>

#include "units/number.hpp"

namespace quarterturn::report {

/// What stands before every step at the saw.
inline constexpr const char* kUnplug =
    "Unplug the saw before you touch dogs or rail; blade stopped before you reach.";
/// What a result is not.
inline constexpr const char* kCertifiesNothing =
    "A setup found within is not a safe saw. The tool measures squareness; it certifies nothing.";

/// How wide test strips are cut, how far from their ends they are read, the smallest panel held by hand:
/// common practice, no source.
const char* strip_width_words(units::Unit unit);
const char* from_ends_words(units::Unit unit);
const char* least_panel_words(units::Unit unit);

/// In full, a line each; the last is kCertifiesNothing.
std::vector<std::string> care_lines(units::Unit unit);

}  // namespace quarterturn::report
