// SPDX-License-Identifier: MIT
/// \file search.hpp
/// A search for a cause as it stands: what was looked at, and what was found. What reports read.
#pragma once

#include <string>
#include <vector>

#include "history/find.hpp"
#include "history/named.hpp"
#include "units/number.hpp"

namespace quarterturn::history {

struct Search {
  std::string station, setup;
  Scene scene;
  Found found;
  Answers answers;
  std::vector<Named> names;            ///< one a check of the scene
  int q = 0;                           ///< eta = q eps
  double panel_mm = 600;               ///< over which mm are quoted
  units::Unit unit = units::Unit::mm;  ///< of the newest check
  double confidence = 0.95;
  std::vector<Named> since_last;  ///< events after the newest check
  bool now_within = false;        ///< the newest check's verdict
  bool log_explains = false;      ///< something since the last good check is in the log
};

}  // namespace quarterturn::history
