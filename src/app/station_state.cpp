// SPDX-License-Identifier: MIT
#include "app/station_state.hpp"

#include <map>

#include "app/setup_history.hpp"
#include "files/dates.hpp"
#include "history/history.hpp"

namespace quarterturn::app {
namespace {

constexpr std::int64_t kDay = 86400;
constexpr double kConfidence = 0.95;

}  // namespace

std::vector<logbook::SetupState> station_states(const logbook::Logbook& log, const station::Station& station,
                                                std::int64_t now_utc) {
  std::vector<logbook::SetupState> states;
  const std::string id = log.known_station(station);
  if (id.empty()) return states;
  const auto order = [](const auto& record, const files::Recorded& recorded) {
    return std::pair(files::order_utc(record.date, record.utc, recorded), recorded);
  };
  std::map<std::string, logbook::KeptCheck> last;
  for (auto& kept : log.checks(id, logbook::Logbook::Fetch::results)) {
    if (kept.withdrawn) continue;
    const auto [found, is_new] = last.try_emplace(kept.made.setup, kept);
    if (!is_new &&
        order(found->second.latest, found->second.made.recorded) < order(kept.latest, kept.made.recorded))
      found->second = std::move(kept);
  }
  const auto events = log.events(id);
  for (auto& [setup, kept] : last) {
    logbook::SetupState state{setup, kept, {}, {}, false};
    for (const auto& event : events) {
      const bool counts = !event.withdrawn && (event.event.setup.empty() || event.event.setup == setup) &&
                          event.event.kind != history::kCauseNoted &&
                          order(kept.latest, kept.made.recorded) < order(event.event, event.event.recorded);
      if (counts) state.since = event.event.kind;
    }
    if (!station.setups.contains(setup)) continue;  // of a description that is no more
    const auto record = setup_history(log, station, setup, kConfidence, now_utc);
    const auto due =
        record.history.due ? static_cast<std::int64_t>(record.history.due->date * kDay) : now_utc;
    state.due = files::day_text(due);
    state.overdue = due / kDay <= now_utc / kDay;
    states.push_back(std::move(state));
  }
  return states;
}

}  // namespace quarterturn::app
