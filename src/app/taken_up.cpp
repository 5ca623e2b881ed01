// SPDX-License-Identifier: MIT
#include "app/taken_up.hpp"

#include <algorithm>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "files/log_document.hpp"

namespace quarterturn::app {
namespace {

constexpr std::size_t kDayText = 10;  // of 2026-03-14T10:20:00

files::Order order_of(const logbook::KeptCheck& kept) {
  return files::order_of(kept.latest.date, kept.latest.utc, kept.made.recorded);
}

/// A check of any corner counts before a rail test, which may have been made on the way to its correction.
bool comes_before(const logbook::KeptCheck& a, const logbook::KeptCheck& b) {
  const bool a_corner = a.latest.result.test != files::kRailTest;
  const bool b_corner = b.latest.result.test != files::kRailTest;
  return a_corner == b_corner ? order_of(a) < order_of(b) : b_corner;
}

}  // namespace

std::optional<logbook::KeptCheck> newest_check(const logbook::Logbook& log, const station::Station& station) {
  const std::string id = log.known_station(station);
  if (id.empty()) return std::nullopt;
  auto checks = log.checks(id, logbook::Logbook::Fetch::results);
  std::erase_if(checks, [](const auto& kept) { return kept.withdrawn; });
  if (checks.empty()) return std::nullopt;
  // Whole, with its readings.
  return log.check(std::ranges::max_element(checks, comes_before)->made.id);
}

std::optional<StandsOtherwise> stands_otherwise(const logbook::Logbook& log, const logbook::KeptCheck& kept,
                                                const station::Station& now) {
  const auto then = order_of(kept);
  std::optional<files::EventRecord> first;
  for (auto& one : log.events(kept.made.station)) {
    auto& event = one.event;
    const auto when = files::order_of(event.date, event.utc, event.recorded);
    const bool counts = !one.withdrawn && files::ends_validity(event.kind) &&
                        (event.setup.empty() || event.setup == kept.made.setup) && then < when;
    if (!counts || (first && files::order_of(first->date, first->utc, first->recorded) < when)) continue;
    first = std::move(event);
  }
  if (first) return StandsOtherwise{first->kind, first->date.substr(0, kDayText)};
  const auto described = log.station_version(kept.latest.station_version);
  if (places_of(described, kept.made.setup) == places_of(now, kept.made.setup)) return std::nullopt;
  return StandsOtherwise{"described anew", ""};
}

TakenUp take_up(const logbook::Logbook& log, logbook::KeptCheck kept, const station::Station& station,
                std::int64_t now_utc) {
  const auto& version = kept.latest;
  CheckRequest request = request_of(log, version);
  // A day without a time is that on which it was kept: further strips belong to it, whenever they come.
  if (request.check.date.size() == kDayText) request.check.date.clear();
  inform(request, log, now_utc, kept.made.id, version.recorded);
  request.earlier = EarlierAsKept(log).at(kept.made.setup, version.result.used, version.recorded);
  request.rail = newest_rail(log, station, kept.made.setup, now_utc);
  auto outcome = run_check(request);
  const std::string name = name_of(log, kept);
  auto otherwise = stands_otherwise(log, kept, station);
  return TakenUp{std::move(kept), std::move(request), std::move(outcome), name, std::move(otherwise)};
}

std::optional<TakenUp> take_up(const logbook::Logbook& log, const station::Station& station,
                               std::int64_t now_utc) {
  auto kept = newest_check(log, station);
  if (!kept) return std::nullopt;
  return take_up(log, std::move(*kept), station, now_utc);
}

}  // namespace quarterturn::app
