// SPDX-License-Identifier: MIT
/// \file kept_move.hpp
/// A correction in the log: what was moved, what it should do, and whether the next check has answered for
/// it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "app/run_check.hpp"
#include "correct/outcome.hpp"
#include "files/dates.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

/// Keeps a move that was made after a check: an event `corrected`, with what it should do.
/// \param move  of the outcome's advice; past its end: some other way, of unknown size
void keep_move(logbook::Logbook& log, const logbook::KeptCheck& kept, const correct::Outcome& outcome,
               std::size_t move, const files::Moment& when);

/// The move that no check has followed yet, of the setup's last check, computed again. Nothing when none is
/// open, or its size is not known.
std::optional<correct::PendingMove> pending_move(const logbook::Logbook& log, const std::string& station,
                                                 const std::string& setup, std::int64_t utc);

/// Puts it into a request of one strip of a five- or four-cut.
void find_pending(CheckRequest& request, const logbook::Logbook& log, std::int64_t now_utc);

}  // namespace quarterturn::app
