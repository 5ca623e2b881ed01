// SPDX-License-Identifier: MIT
/// \file setup_history.hpp
/// `history` as one function: the record of a setup out of the log, and what it tells. Prints and asks
/// nothing.
///
/// Maths    METHOD.md (M68)–(M76)
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "history/record.hpp"
#include "logbook/logbook.hpp"
#include "station/station.hpp"

namespace quarterturn::app {

/// \param setup  empty: the one whose check was kept last
/// \throws units::InputError when the log has neither a check nor an old result of that setup
history::Record setup_history(const logbook::Logbook& log, const station::Station& station,
                              const std::string& setup, double confidence, std::int64_t now_utc);

/// The same with the newest check; both may be empty.
struct SetupPast {
  history::Record record;
  std::optional<logbook::KeptResult> newest;
};
SetupPast setup_past(const logbook::Logbook& log, const station::Station& station, const std::string& setup,
                     double confidence, std::int64_t now_utc);

}  // namespace quarterturn::app
