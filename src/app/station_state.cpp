// SPDX-License-Identifier: MIT
#include "app/station_state.hpp"

#include "app/setup_history.hpp"
#include "files/dates.hpp"
#include "history/history.hpp"

namespace quarterturn::app {
namespace {

constexpr std::int64_t kDay = 86400;
constexpr double kConfidence = 0.95;

/// What happened after a check that asks for another one; of several the last.
std::string since(const std::vector<logbook::KeptEvent>& events, const std::string& setup,
                  const logbook::KeptResult& check) {
  const auto then = files::order_of(check.date, check.utc, check.recorded);
  std::string kind;
  for (const auto& kept : events) {
    const auto& event = kept.event;
    const bool counts = !kept.withdrawn && (event.setup.empty() || event.setup == setup) &&
                        event.kind != history::kCauseNoted &&
                        then < files::order_of(event.date, event.utc, event.recorded);
    if (counts) kind = event.kind;
  }
  return kind;
}

}  // namespace

std::vector<logbook::SetupState> station_states(const logbook::Logbook& log, const station::Station& station,
                                                std::int64_t now_utc) {
  std::vector<logbook::SetupState> states;
  const std::string id = log.known_station(station);
  if (id.empty()) return states;
  const auto events = log.events(id);
  for (const auto& [setup, described] : station.setups) {
    auto past = setup_past(log, station, setup, kConfidence, now_utc);
    if (!past.newest) continue;
    const auto& due = past.record.history.due;
    const auto day = due ? static_cast<std::int64_t>(due->date * kDay) : now_utc;
    logbook::SetupState state{setup, *past.newest, files::day_text(day), since(events, setup, *past.newest),
                              day / kDay <= now_utc / kDay};
    states.push_back(std::move(state));
  }
  return states;
}

}  // namespace quarterturn::app
