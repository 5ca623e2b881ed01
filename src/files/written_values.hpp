// SPDX-License-Identifier: MIT
/// \file written_values.hpp
/// Values as they are written into a file, so that they read back exactly.
#pragma once

#include <string>
#include <vector>

#include "check/check.hpp"

namespace quarterturn::files {

/// The lengths, parted by `between`: bare in the file's unit where all of them read back exactly and short,
/// else all in mm. Never some in one unit and some in the other: a unit typed once would hold for its bare
/// neighbour too.
std::string lengths_text(const std::vector<double>& lengths_mm, units::Unit unit, const char* between);
/// A class by its name, else all it states.
std::string caliper_text(const check::Caliper& caliper);
/// A `# key: value` line; none for an empty value.
void put_key(std::string& out, const char* key, const std::string& value);

}  // namespace quarterturn::files
