// SPDX-License-Identifier: MIT
/// \file readings_keys.hpp
/// The `key: value` lines of a readings file.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "check/check.hpp"
#include "files/csv.hpp"

namespace quarterturn::files {

struct KeyLine {
  std::string key, value;  ///< key in small letters
  units::Place key_at, value_at;
};

/// `key: value` of one line. \throws units::InputError without a colon
KeyLine parse_key_line(const Cell& line, const std::string& source);

/// Which of the keys that can be told from the readings were given.
struct KeysGiven {
  bool test = false, unit = false;
  std::optional<units::Place> form_at, pieces_at;  ///< where their values stand
};

/// Puts each value where it belongs in `check`; `unit` counts for all values, wherever it stands.
/// \throws units::InputError on an unknown or repeated key, or a value that is none
KeysGiven apply_keys(const std::vector<KeyLine>& lines, check::Check& check);

}  // namespace quarterturn::files
