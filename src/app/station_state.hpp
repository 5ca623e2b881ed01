// SPDX-License-Identifier: MIT
/// \file station_state.hpp
/// How the setups of a station stood at their last checks, and when the next ones are due.
#pragma once

#include <cstdint>
#include <vector>

#include "logbook/logbook.hpp"

namespace quarterturn::app {

/// One state a setup that was checked; none for one that never was.
std::vector<logbook::SetupState> station_states(const logbook::Logbook& log, const station::Station& station,
                                                std::int64_t now_utc);

}  // namespace quarterturn::app
