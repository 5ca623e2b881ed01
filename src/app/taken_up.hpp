// SPDX-License-Identifier: MIT
/// \file taken_up.hpp
/// The last kept check of a station as it was told: what the prompt goes on from after a restart. It is
/// computed again from its readings, with the log as it stood when they were kept.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "app/run_check.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

/// Something after a check that left dogs, rail or fence otherwise.
struct StandsOtherwise {
  std::string kind, date;  ///< kind of the event, or `described anew`; the day, 2026-03-14
};

/// The newest check of a station that counts, of a corner where it has one; nothing without.
std::optional<logbook::KeptCheck> newest_check(const logbook::Logbook& log, const station::Station& station);

/// The first event behind a check after which its setup stood otherwise, or the setup described with other
/// dogs, holes or faces since. \param now  the station as it is described now
std::optional<StandsOtherwise> stands_otherwise(const logbook::Logbook& log, const logbook::KeptCheck& kept,
                                                const station::Station& now);

struct TakenUp {
  logbook::KeptCheck kept;
  CheckRequest request;
  correct::Outcome outcome;
  std::string name;  ///< `dock/3`
  std::optional<StandsOtherwise> otherwise;
};

/// Computes the newest check again. A rail test that came behind it counts, as it does where the program was
/// not left. Nothing when the station has no check.
/// \throws units::InputError; check::NoInterval when it gives no ± any more
std::optional<TakenUp> take_up(const logbook::Logbook& log, const station::Station& station,
                               std::int64_t now_utc);
/// The same of one check.
TakenUp take_up(const logbook::Logbook& log, logbook::KeptCheck kept, const station::Station& station,
                std::int64_t now_utc);

}  // namespace quarterturn::app
