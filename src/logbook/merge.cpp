// SPDX-License-Identifier: MIT
/// A log as one document, and taking over what another has. Records are never changed, so what has the same
/// id is the same record, and taking it twice changes nothing.
#include <algorithm>
#include <set>

#include "logbook/inside.hpp"

namespace quarterturn::logbook {

files::LogDocument Logbook::document(const std::string& station) const {
  files::LogDocument log;
  Inside* in = reading();
  if (in == nullptr) return log;
  const std::string own = station.empty() ? "" : "WHERE station = ?1 ";
  // Of one moment: what another program keeps meanwhile is in it whole or not at all.
  at_one_moment([&] {
    log.stations = in->get<files::StationRecord>(
        "stations", (station.empty() ? std::string() : "WHERE id = ?1 ") + "ORDER BY recorded, rowid",
        station);
    log.station_versions =
        in->get<files::StationVersion>("station_versions", own + "ORDER BY recorded, rowid", station);
    log.checks = in->get<files::CheckRecord>("checks", own + "ORDER BY station, number", station);
    const std::string of_checks =
        station.empty() ? "" : "WHERE \"check\" IN (SELECT id FROM checks WHERE station = ?1) ";
    log.check_versions =
        in->get<files::CheckVersion>("check_versions", of_checks + "ORDER BY recorded, rowid", station);
    log.events = in->get<files::EventRecord>("events", own + "ORDER BY recorded, rowid", station);
    log.moves = in->get<files::MoveRecord>("moves", of_checks + "ORDER BY event", station);
    log.summaries = in->get<files::SummaryRecord>("summaries", own + "ORDER BY recorded, rowid", station);
    log.notes = in->get<files::NoteRecord>("notes", "ORDER BY recorded, rowid");
    log.withdrawals = in->get<files::WithdrawalRecord>("withdrawals", "ORDER BY recorded, rowid");
    if (station.empty()) return;
    std::set<std::string> about{station};
    for (const auto& record : log.checks) about.insert(record.id);
    for (const auto& record : log.events) about.insert(record.id);
    for (const auto& record : log.summaries) about.insert(record.id);
    std::erase_if(log.notes, [&](const auto& record) { return !about.contains(record.about); });
    std::erase_if(log.withdrawals, [&](const auto& record) { return !about.contains(record.about); });
  });
  return log;
}

Merged Logbook::merge(const files::LogDocument& other) {
  Merged merged;
  together([&] {
    Inside& in = writing();
    const auto take = [&](const char* table, const auto& records) {
      for (const auto& record : records) ++(in.put(table, record) ? merged.added : merged.known);
    };
    take("stations", other.stations);
    take("station_versions", other.station_versions);
    for (const auto& record : other.checks) {
      auto& insert = in.statement(
          "INSERT INTO checks(id, station, setup, recorded, number) SELECT ?1, ?2, ?3, ?4, "
          "coalesce((SELECT max(number) FROM checks WHERE station = ?2), 0) + 1 "
          "WHERE NOT EXISTS (SELECT 1 FROM checks WHERE id = ?1)");
      Binder bind(insert);
      auto copy = record;
      fields(bind, copy);
      ++(insert.exec() > 0 ? merged.added : merged.known);
    }
    take("check_versions", other.check_versions);
    take("events", other.events);
    take("moves", other.moves);
    take("summaries", other.summaries);
    take("notes", other.notes);
    take("withdrawals", other.withdrawals);
  });
  return merged;
}

}  // namespace quarterturn::logbook
