// SPDX-License-Identifier: MIT
/// \file kept_outcome.hpp
/// A kept check as it was told: computed again from its readings, the station as it was, and what the log
/// held before it. Prints and asks nothing.
#pragma once

#include "app/run_check.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

/// Its ± is that which was kept; what to do goes by what the log now holds of the time before the check.
/// \throws units::InputError; check::NoInterval
correct::Outcome outcome_of_kept(const logbook::Logbook& log, const logbook::KeptCheck& kept);

}  // namespace quarterturn::app
