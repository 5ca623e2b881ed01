// SPDX-License-Identifier: MIT
/// \file readings_file.hpp
/// Readings files (CSV with `# key: value` lines) and the short form of a message typed on a phone.
#pragma once

#include <string>

#include "check/check.hpp"
#include "files/text_file.hpp"

namespace quarterturn::files {

/// Parses either form into one Check and validates it.
/// \throws units::InputError with file, line, column, the value, what it must be, and a hint
check::Check parse_readings(const Text& text);

/// Parses the value of `# caliper:` or --caliper: a class, or `resolution 0.01, repeatability 0.012,
/// reliability 0.25` (mm, or in when `unit` is inch; `reach 150` may join; without repeatability it is not
/// stated). \throws units::InputError
check::Caliper parse_caliper(const std::string& text, units::Unit unit = units::Unit::mm);

/// `600 x 600 x 18 mm`, `600 600`, `24 x 24 in`. \throws units::InputError
check::PanelSize parse_panel_size(const std::string& text, units::Unit unit = units::Unit::mm);

/// A Check as a readings file that parses back to the same Check, but for what a file does not hold: id,
/// source, lines and columns, and the name of a caliper that is no class (it reads back as `stated`).
std::string write_readings(const check::Check& check);

/// A readings file with another value for one key of its header; all else stays to the letter.
/// \param value  empty: the line goes
/// \throws units::InputError when the key is none, or the result is no readings file
std::string with_header(const Text& readings, const std::string& key, const std::string& value);

}  // namespace quarterturn::files
