// SPDX-License-Identifier: MIT
/// \file typed_readings.hpp
/// Readings typed on a line, and the strip that is measured at its two ends: what the command line's options
/// and the prompt both make.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "check/check.hpp"

namespace quarterturn::app {

/// One or several readings, written as in a cell of a readings file; nothing gives none.
/// \param what  names them in an error: `fence end`
/// \param unit  of bare numbers \param quantity  width or gap
/// \throws units::InputError
std::vector<check::Reading> readings_of(std::string_view text, std::string_view what, units::Unit unit,
                                        const char* quantity = "width");

/// The unit that a reading was typed in: the one behind it, else that of bare numbers.
units::Unit unit_typed(const check::Reading& reading, units::Unit bare);

/// One strip, measured at its fence end (position 0), its free end (position `apart`) and perhaps half way.
struct Ends {
  std::vector<check::Reading> fence_end, free_end, middle;
  double apart_mm = 0;
};
check::Strip strip_of(const Ends& ends, int panel, int from_cut, int to_cut);

}  // namespace quarterturn::app
