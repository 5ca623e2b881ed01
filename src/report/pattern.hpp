// SPDX-License-Identifier: MIT
/// \file pattern.hpp
/// Sentences with places for numbers, as the rows of findings and the moves have them: `{name}` a length in
/// mm, shown in the person's unit; `{name:F}` one with a side, `0.60 mm wider at F`; `{name:0}` a plain
/// number with so many decimals; `{name$}` a word;
/// `{where}` strip and spot.
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "check/finding.hpp"
#include "units/number.hpp"

namespace quarterturn::report {

/// Of sentences parted by `|` the first that can be filled. \throws std::logic_error when a name has no value
std::string filled_pattern(std::string_view patterns, const check::Finding& values, units::Unit unit);

}  // namespace quarterturn::report
