// SPDX-License-Identifier: MIT
/// \file station_keys.hpp
/// What each key of a station file means, for the hint behind a fault.
#pragma once

#include <string>
#include <string_view>

namespace quarterturn::files {

/// \param path  of a value, such as `setups.crosscut.rail.far.hole`; its last key that is described counts
/// \returns e.g. `a hole is a column letter and a row number: E10`; empty when no key of it is described
std::string station_key_help(std::string_view path);

}  // namespace quarterturn::files
