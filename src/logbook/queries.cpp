// SPDX-License-Identifier: MIT
/// What is read out of a log: checks as they count now, events, summaries, notes; whether it is whole.
#include <algorithm>
#include <charconv>
#include <set>
#include <string_view>
#include <unordered_map>

#include "logbook/inside.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::logbook {

using units::InputError;

namespace {

std::string of_station(const std::string& station) {
  return station.empty() ? "" : "WHERE station = ?1 ";
}

template <typename In>
std::set<std::string> withdrawn_in(In& in) {
  std::set<std::string> ids;
  for (auto& record : in.template get<files::WithdrawalRecord>("withdrawals", "")) ids.insert(record.about);
  return ids;
}

/// The columns of a version, without what is long.
std::string short_columns(const std::string& names) {
  std::string out = names;
  for (const char* wide : {"\"readings\"", "\"used\""})
    out.replace(out.find(wide), std::string(wide).size(), "''");
  return out;
}

constexpr const char* kShortVersion =
    "SELECT \"check\", recorded, id, station_version, date, person, utc, eta_rad, u_rad, half_width_rad, "
    "confidence, dof, unknown, q, verdict, provisional, tolerance_rad, test FROM check_versions ";

/// A row of kShortVersion.
template <typename Row>
void take_version(Row& select, KeptResult& kept) {
  kept.version = select.getColumn(2).getText();
  kept.station_version = select.getColumn(3).getText();
  kept.date = select.getColumn(4).getText();
  kept.person = select.getColumn(5).getText();
  kept.utc = select.getColumn(6).getInt64();
  auto& result = kept.result = {};
  result.eta = select.getColumn(7).getDouble();
  result.u = select.getColumn(8).getDouble();
  result.half_width = select.getColumn(9).getDouble();
  result.confidence = select.getColumn(10).getDouble();
  if (const auto dof = select.getColumn(11); !dof.isNull()) result.dof = dof.getDouble();
  if (const auto unknown = select.getColumn(12); !unknown.isNull()) result.unknown = unknown.getText();
  if (const auto tolerance = select.getColumn(16); !tolerance.isNull())
    result.tolerance = tolerance.getDouble();
  if (const auto test = select.getColumn(17); !test.isNull()) result.test = test.getText();
  result.q = select.getColumn(13).getInt();
  result.verdict = select.getColumn(14).getText();
  result.provisional = select.getColumn(15).getInt() != 0;
}

/// The latest version of each check: by its time of recording, then as it came in.
template <typename In>
void take_versions(In& in, const std::unordered_map<std::string_view, std::size_t>& places,
                   std::vector<KeptResult>& found) {
  auto& select = in.statement(std::string(kShortVersion) + "ORDER BY rowid");
  std::vector<std::string> recorded(found.size());
  while (select.executeStep()) {
    const auto place = places.find(select.getColumn(0).getText());
    if (place == places.end()) continue;
    const std::string_view when = select.getColumn(1).getText();
    if (when < recorded[place->second]) continue;
    recorded[place->second] = when;
    take_version(select, found[place->second]);
  }
  select.reset();
}

/// Of a test of another kind than the one that is asked for.
bool is_another(const KeptResult& kept, Told told) {
  const bool rail = kept.result.test == files::kRailTest;
  return rail != (told == Told::rail) || kept.result.test == files::kFrameOfTwo;
}

/// Told by the index of versions alone, where most logs have none.
template <typename In>
bool has_rail_tests(In& in) {
  auto& select = in.statement("SELECT 1 FROM check_versions WHERE test = ?1 LIMIT 1");
  select.bind(1, files::kRailTest);
  const bool has = select.executeStep();
  select.reset();
  return has;
}

/// The checks of which `where` says so, in the order of their numbers; `c` is the check, `v` its versions.
template <typename In, typename... Values>
std::vector<KeptCheck> checks_where(In& in, Logbook::Fetch fetch, const std::string& where,
                                    const Values&... values) {
  std::vector<KeptCheck> found;
  const auto withdrawn = withdrawn_in(in);
  std::string names = columns<files::CheckVersion>().names();
  if (fetch == Logbook::Fetch::results) names = short_columns(names);
  std::string version_names;
  // Column names stand in quotes; both tables have an id.
  for (std::size_t i = 0; i < names.size(); ++i) {
    const bool begins = names[i] == '"' && (i == 0 || names[i - 1] == ',');
    version_names += begins ? "v.\"" : std::string(1, names[i]);
  }
  auto& select = in.statement("SELECT c.id, c.station, c.setup, c.recorded, c.number, " + version_names +
                              " FROM checks c JOIN check_versions v ON v.\"check\" = c.id " +
                              (where.empty() ? "" : "WHERE " + where) +
                              " ORDER BY c.station, c.number, v.recorded, v.rowid");
  int place = 0;
  (select.bind(++place, values), ...);
  while (select.executeStep()) {
    const std::string id = select.getColumn(0).getString();
    const bool again = !found.empty() && found.back().made.id == id;
    if (!again) {
      KeptCheck& kept = found.emplace_back();
      kept.made = record_of<files::CheckRecord>(select);
      kept.number = select.getColumn(4).getInt();
      kept.withdrawn = withdrawn.contains(id);
      kept.versions = 0;
    }
    found.back().latest = record_of<files::CheckVersion>(select, 5);
    ++found.back().versions;
  }
  select.reset();
  return found;
}

}  // namespace

std::vector<KeptCheck> Logbook::checks(const std::string& station, Fetch fetch) const {
  Inside* in = reading();
  if (in == nullptr) return {};
  return guarded(path_, [&] {
    return station.empty() ? checks_where(*in, fetch, "")
                           : checks_where(*in, fetch, "c.station = ?1", station);
  });
}

std::optional<KeptCheck> Logbook::check_with(const std::string& station, std::int64_t utc,
                                             const std::string& readings) const {
  Inside* in = reading();
  if (in == nullptr) return std::nullopt;
  return guarded(path_, [&]() -> std::optional<KeptCheck> {
    // An amended check may have told the same before.
    auto found =
        checks_where(*in, Fetch::all,
                     "c.id IN (SELECT \"check\" FROM check_versions WHERE utc = ?2 AND readings = ?3) "
                     "AND c.station = ?1",
                     station, utc, readings);
    for (KeptCheck& kept : found) {
      if (!kept.withdrawn && kept.latest.readings == readings) return std::move(kept);
    }
    return std::nullopt;
  });
}

std::set<std::string> Logbook::versions_with(std::int64_t utc, const std::string& readings) const {
  std::set<std::string> ids;
  Inside* in = reading();
  if (in == nullptr) return ids;
  return guarded(path_, [&] {
    auto& select = in->statement("SELECT id FROM check_versions WHERE utc = ?1 AND readings = ?2");
    select.bind(1, utc);
    select.bind(2, readings);
    while (select.executeStep()) ids.insert(select.getColumn(0).getString());
    select.reset();
    return ids;
  });
}

std::vector<MadeCheck> Logbook::made_checks() const {
  std::vector<MadeCheck> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    auto& select =
        in->statement("SELECT id, station, setup, recorded, number FROM checks ORDER BY station, number");
    while (select.executeStep())
      found.push_back({record_of<files::CheckRecord>(select), select.getColumn(4).getInt()});
    select.reset();
    return found;
  });
}

// Both tables are read from end to end and joined here: looked up one by one, a hundred thousand checks would
// wait for the disk's pages in the order of their ids.
std::vector<KeptResult> Logbook::results(const std::string& station, const std::string& setup,
                                         Told told) const {
  std::vector<KeptResult> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    if (told == Told::rail && !has_rail_tests(*in)) return found;
    std::unordered_map<std::string_view, std::size_t> places;
    auto& checks = in->statement(
        "SELECT id, recorded, number FROM checks WHERE station = ?1 AND setup = ?2 ORDER BY number");
    checks.bind(1, station);
    checks.bind(2, setup);
    while (checks.executeStep()) {
      auto& kept = found.emplace_back();
      kept.id = checks.getColumn(0).getText();
      kept.recorded = checks.getColumn(1).getText();
      kept.number = checks.getColumn(2).getInt();
    }
    checks.reset();
    places.reserve(found.size());
    for (std::size_t i = 0; i < found.size(); ++i) places.emplace(found[i].id, i);
    take_versions(*in, places, found);
    const auto withdrawn = withdrawn_in(*in);
    std::erase_if(
        found, [&](const KeptResult& kept) { return is_another(kept, told) || withdrawn.contains(kept.id); });
    return found;
  });
}

std::vector<KeptResult> Logbook::newest_results(const std::string& station, const std::string& setup,
                                                std::size_t most) const {
  std::vector<KeptResult> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    const auto withdrawn = withdrawn_in(*in);
    auto& checks = in->statement(
        "SELECT id, recorded, number FROM checks WHERE station = ?1 AND setup = ?2 ORDER BY number DESC");
    checks.bind(1, station);
    checks.bind(2, setup);
    auto& version = in->statement(std::string(kShortVersion) +
                                  "WHERE \"check\" = ?1 ORDER BY recorded DESC, rowid DESC LIMIT 1");
    while (found.size() < most && checks.executeStep()) {
      KeptResult kept;
      kept.id = checks.getColumn(0).getText();
      if (withdrawn.contains(kept.id)) continue;
      kept.recorded = checks.getColumn(1).getText();
      kept.number = checks.getColumn(2).getInt();
      version.bind(1, kept.id);
      if (version.executeStep()) take_version(version, kept);
      version.reset();
      if (!is_another(kept, Told::corner)) found.push_back(std::move(kept));
    }
    checks.reset();
    std::ranges::reverse(found);
    return found;
  });
}

std::string Logbook::last_setup(const std::string& station) const {
  Inside* in = reading();
  if (in == nullptr) return {};
  return guarded(path_, [&] {
    auto& select = in->statement(
        "SELECT setup FROM checks WHERE station = ?1 AND id NOT IN (SELECT about FROM withdrawals) AND NOT "
        "EXISTS (SELECT 1 FROM check_versions WHERE \"check\" = checks.id AND test = ?2) ORDER BY number "
        "DESC "
        "LIMIT 1");
    select.bind(1, station);
    select.bind(2, files::kRailTest);
    std::string setup = select.executeStep() ? select.getColumn(0).getString() : std::string();
    select.reset();
    return setup;
  });
}

KeptCheck Logbook::check(const std::string& name) const {
  const std::size_t slash = name.rfind('/');
  std::vector<KeptCheck> found;
  if (slash != std::string::npos) {
    int number = 0;
    const char* const end = name.data() + name.size();
    const auto [stop, error] = std::from_chars(name.data() + slash + 1, end, number);
    if (error != std::errc() || stop != end)
      throw InputError("check", name, "a station and a number, such as dock/3, or an id", {},
                       "'log list' shows them");
    const std::string station = station_id(name.substr(0, slash));
    if (Inside* in = reading())
      found = guarded(path_, [&] {
        return checks_where(*in, Fetch::all, "c.station = ?1 AND c.number = ?2", station, number);
      });
  } else if (Inside* in = name.empty() ? nullptr : reading()) {
    found = guarded(path_,
                    [&] { return checks_where(*in, Fetch::all, "substr(c.id, 1, length(?1)) = ?1", name); });
  }
  if (found.size() != 1) {
    throw InputError(
        "check", name,
        found.empty() ? "one that is in the log" : "the id of one check; several begin like this", {},
        "'log list' shows them");
  }
  return found.front();
}

std::vector<files::CheckVersion> Logbook::versions(const std::string& check) const {
  Inside* in = reading();
  if (in == nullptr) return {};
  return guarded(path_, [&] {
    return in->get<files::CheckVersion>("check_versions", "WHERE \"check\" = ?1 ORDER BY recorded, rowid",
                                        check);
  });
}

std::string Logbook::readings(const std::string& version) const {
  Inside* in = reading();
  if (in == nullptr) return {};
  return guarded(path_, [&] {
    auto& select = in->statement("SELECT readings FROM check_versions WHERE id = ?1");
    select.bind(1, version);
    std::string text = select.executeStep() ? select.getColumn(0).getString() : std::string();
    select.reset();
    return text;
  });
}

std::vector<KeptEvent> Logbook::events(const std::string& station) const {
  std::vector<KeptEvent> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    const auto withdrawn = withdrawn_in(*in);
    for (auto& event : in->get<files::EventRecord>(
             "events", of_station(station) + "ORDER BY utc, recorded, rowid", station)) {
      const bool out = withdrawn.contains(event.id);
      auto moves = in->get<files::MoveRecord>("moves", "WHERE event = ?1", event.id);
      found.push_back(
          {std::move(event), moves.empty() ? std::nullopt : std::optional(std::move(moves.front())), out});
    }
    return found;
  });
}

std::vector<KeptSummary> Logbook::summaries(const std::string& station) const {
  std::vector<KeptSummary> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    const auto withdrawn = withdrawn_in(*in);
    for (auto& summary : in->get<files::SummaryRecord>(
             "summaries", of_station(station) + "ORDER BY utc, recorded, rowid", station)) {
      const bool out = withdrawn.contains(summary.id);
      found.push_back({std::move(summary), out});
    }
    return found;
  });
}

std::vector<files::NoteRecord> Logbook::notes(const std::string& about) const {
  Inside* in = reading();
  if (in == nullptr) return {};
  return guarded(path_, [&] {
    return in->get<files::NoteRecord>(
        "notes", (about.empty() ? std::string() : "WHERE about = ?1 ") + "ORDER BY recorded, rowid", about);
  });
}

std::vector<files::WithdrawalRecord> Logbook::withdrawals() const {
  Inside* in = reading();
  if (in == nullptr) return {};
  return guarded(path_,
                 [&] { return in->get<files::WithdrawalRecord>("withdrawals", "ORDER BY recorded, rowid"); });
}

std::vector<std::string> Logbook::faults() const {
  std::vector<std::string> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    SQLite::Statement whole(*in->db, "PRAGMA integrity_check(20)");
    while (whole.executeStep()) {
      const std::string line = whole.getColumn(0).getString();
      if (line != "ok") found.push_back("the file: " + units::inert(line, 200));
    }
    SQLite::Statement loose(*in->db, "PRAGMA foreign_key_check");
    while (loose.executeStep())
      found.push_back("a record of " + loose.getColumn(0).getString() + " belongs to one of " +
                      loose.getColumn(2).getString() + " that is not there");
    SQLite::Statement bare(*in->db,
                           "SELECT id FROM checks WHERE id NOT IN (SELECT \"check\" FROM check_versions)");
    while (bare.executeStep()) found.push_back("check " + bare.getColumn(0).getString() + " has no readings");
    return found;
  });
}

}  // namespace quarterturn::logbook
