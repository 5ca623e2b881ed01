// SPDX-License-Identifier: MIT
#include "logbook/logbook.hpp"

#include <sqlite3.h>
#include <sys/stat.h>

#include <algorithm>
#include <cerrno>
#include <set>
#include <system_error>

#include "files/identity.hpp"
#include "files/station_file.hpp"
#include "files/station_folder.hpp"
#include "logbook/inside.hpp"
#include "logbook/page_sums.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::logbook {

using files::new_id;
using units::InputError;

namespace {

/// Fills in what a new record lacks.
template <typename Record, typename In>
void stamp(In& in, Record& record) {
  if (record.id.empty()) record.id = new_id();
  if (!record.recorded.empty()) return;
  if constexpr (requires { record.check; })
    record.recorded = in.recorded("check_versions WHERE \"check\"", record.check);
  else
    record.recorded = in.recorded();
}

}  // namespace

std::string Logbook::Inside::last_recorded() {
  std::string last;
  for (const char* table : {"stations", "station_versions", "checks", "check_versions", "events", "summaries",
                            "notes", "withdrawals"})
    last +=
        (last.empty() ? "SELECT max(at) FROM (" : " UNION ALL ") +
        ("SELECT * FROM (SELECT recorded AS at FROM " + std::string(table) + " ORDER BY rowid DESC LIMIT 1)");
  auto& select = statement(last + ")");
  select.executeStep();
  std::string found = select.getColumn(0).getString();
  select.reset();
  return found;
}

std::string Logbook::last_recorded() const {
  if (!inside_) return {};
  return guarded(path_, [&] { return inside_->last_recorded(); });
}

std::string Logbook::Inside::recorded(const std::string& of, const std::string& owner) {
  if (!in_transaction || moment.empty()) moment = files::recorded_after(last_recorded());
  if (owner.empty()) return std::max(moment, files::recorded_now());
  // Of another log, whose clock was ahead.
  auto& select = statement("SELECT max(recorded) FROM " + of + " = ?1");
  select.bind(1, owner);
  select.executeStep();
  const std::string before = select.getColumn(0).getString();
  select.reset();
  return std::max({moment, files::recorded_now(), before.empty() ? before : files::recorded_after(before)});
}

Logbook::Logbook(std::string path, std::string adopt) : path_(std::move(path)), adopt_(std::move(adopt)) {}
Logbook::~Logbook() = default;

Logbook::Inside* Logbook::reading() const {
  hold_to_place();
  if (inside_) return inside_.get();
  struct stat status {};
  const bool there = ::stat(path_.c_str(), &status) == 0;
  // One that may not be looked at is not one that is not there.
  if (!there && errno != ENOENT && errno != ENOTDIR) {
    throw files::FileTrouble{named(path_) + " cannot be looked at: " +
                             std::generic_category().message(errno) + ". Hint: see who may open its folder"};
  }
  // A folder of station files waits to be taken over: that makes the log.
  if (!there && !adopt_.empty() && !files::StationFolder(adopt_).list().empty())
    return &const_cast<Logbook*>(this)->writing();
  if (!there) return nullptr;
  auto opened = std::make_unique<Inside>();
  opened->db = open_log(path_, Access::read, schema_steps());
  inside_ = std::move(opened);
  return inside_.get();
}

/// Between two words the file may be put elsewhere, deleted, or replaced by a backup or a newer version.
void Logbook::hold_to_place() const {
  if (!inside_ || inside_->in_transaction || inside_->at_one_moment || !has_moved(*inside_->db)) return;
  struct stat status {};
  if (::stat(path_.c_str(), &status) != 0) throw files::FileTrouble{named(path_) + kMovedAway};
  inside_.reset();
}

Logbook::Inside& Logbook::writing() {
  hold_to_place();
  if (inside_ && inside_->access == Access::write) return *inside_;
  struct stat status {};
  const bool is_new = ::stat(path_.c_str(), &status) != 0;
  auto opened = std::make_unique<Inside>();
  opened->access = Access::write;
  opened->db = open_log(path_, Access::write, schema_steps());
  inside_ = std::move(opened);
  if (is_new && !adopt_.empty()) {
    const files::StationFolder folder(adopt_);
    for (const auto& name : folder.list()) save(folder.find(name));
  }
  return *inside_;
}

void Logbook::together(const std::function<void()>& work) {
  Inside& in = writing();
  if (in.in_transaction) {  // a part of it that goes in or not by itself
    guarded(path_, [&] {
      SQLite::Savepoint part(*in.db, "part");
      work();
      part.release();
    });
    return;
  }
  guarded(path_, [&] {
    SQLite::Transaction whole(*in.db, SQLite::TransactionBehavior::IMMEDIATE);
    in.in_transaction = true;
    in.moment.clear();
    try {
      work();
    } catch (...) {
      in.in_transaction = false;
      throw;  // and the transaction is rolled back
    }
    in.in_transaction = false;
    whole.commit();
  });
}

void Logbook::at_one_moment(const std::function<void()>& work) const {
  Inside* const in = reading();
  if (in == nullptr || in->in_transaction || in->at_one_moment) return work();
  guarded(path_, [&] {
    const SQLite::Transaction snapshot(*in->db, SQLite::TransactionBehavior::DEFERRED);
    in->at_one_moment = true;
    const std::unique_ptr<bool, void (*)(bool*)> over(&in->at_one_moment, [](bool* flag) { *flag = false; });
    work();
  });
}

std::vector<KeptStation> Logbook::stations() const {
  std::vector<KeptStation> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    std::map<std::string, int> same;
    for (auto& made : in->get<files::StationRecord>("stations", "ORDER BY recorded, rowid")) {
      auto versions = in->get<files::StationVersion>(
          "station_versions", "WHERE station = ?1 ORDER BY recorded DESC, rowid DESC LIMIT 1", made.id);
      if (versions.empty()) continue;
      KeptStation kept{std::move(made), versions.front().name, std::move(versions.front())};
      const int nth = ++same[kept.shown_name];
      if (nth > 1) kept.shown_name += " (" + std::to_string(nth) + ")";
      found.push_back(std::move(kept));
    }
    std::ranges::sort(found, {}, &KeptStation::shown_name);
    return found;
  });
}

std::vector<std::string> Logbook::list() const {
  std::vector<std::string> names;
  for (const auto& kept : stations()) names.push_back(kept.shown_name);
  return names;
}

std::string Logbook::station_id(const std::string& name) const {
  std::vector<std::string> names;
  for (const auto& kept : stations()) {
    if (kept.shown_name == name || kept.made.id == name) return kept.made.id;
    names.push_back(kept.shown_name);
  }
  if (names.empty())
    throw InputError("station", name, "described first: there is none yet", {}, "station add");
  const std::string near = units::did_you_mean(name, names);
  throw InputError("station", name, units::one_of(names), {},
                   near.empty() ? "'station add FILE' adds another" : near);
}

std::string Logbook::known_station(const station::Station& station) const {
  for (const auto& kept : stations()) {
    if (station.id.empty() ? kept.shown_name == station.name : kept.made.id == station.id)
      return kept.made.id;
  }
  return {};
}

station::Station Logbook::find(const std::string& name) const {
  const std::string id = station_id(name);
  for (const auto& kept : stations()) {
    if (kept.made.id != id) continue;
    auto station = files::parse_station(files::text_of(kept.latest.content, path_));
    station.name = kept.shown_name;
    station.id = id;
    return station;
  }
  throw std::logic_error("a station with an id and without a description");
}

void Logbook::save(const station::Station& station) {
  station::Station kept = station;
  // `dock (2)` is how it is shown here, not what it is called.
  for (const auto& other : stations()) {
    if (!kept.id.empty() && other.made.id == kept.id && other.shown_name == kept.name)
      kept.name = other.latest.name;
  }
  files::hold_to_station_name(kept.name);
  if (kept.id.empty()) kept.id = known_station(kept);
  if (kept.id.empty()) kept.id = new_id();
  const std::string content = files::write_station(kept);
  (void)files::parse_station(files::text_of(content, path_));  // what is kept can always be read
  together([&] {
    Inside& in = writing();
    const std::string recorded = in.recorded("station_versions WHERE station", kept.id);
    in.put("stations", files::StationRecord{kept.id, recorded});
    const auto latest = in.get<files::StationVersion>(
        "station_versions", "WHERE station = ?1 ORDER BY recorded DESC, rowid DESC LIMIT 1", kept.id);
    if (!latest.empty() && latest.front().content == content) return;  // nothing new
    in.put("station_versions", files::StationVersion{new_id(), kept.id, recorded, kept.name, content});
  });
}

void Logbook::rename(const std::string& from, const std::string& to) {
  files::hold_to_station_name(to);
  auto station = find(from);
  if (from == to) return;
  const auto names = list();
  if (std::ranges::find(names, to) != names.end())
    throw InputError("station name", to, "one that is free", {}, "'station list' shows those that are taken");
  station.name = to;
  together([&] {
    save(station);
    auto& update = writing().statement("UPDATE drafts SET station = ?2 WHERE station = ?1");
    update.bind(1, from);
    update.bind(2, to);
    update.exec();
  });
}

std::string Logbook::renamed(const std::string& name) const {
  Inside* in = reading();
  const auto known = list();
  if (in == nullptr || std::ranges::find(known, name) != known.end()) return name;
  const auto versions = guarded(path_, [&] {
    return in->get<files::StationVersion>("station_versions",
                                          "WHERE name = ?1 ORDER BY recorded DESC, rowid DESC LIMIT 1", name);
  });
  if (versions.empty()) return name;
  for (const auto& kept : stations()) {
    if (kept.made.id == versions.front().station) return kept.shown_name;
  }
  return name;
}

station::Station Logbook::station_version(const std::string& id) const {
  Inside* in = reading();
  if (in != nullptr && in->described && in->described->first == id) return in->described->second;
  const auto found = in == nullptr ? std::vector<files::StationVersion>{} : guarded(path_, [&] {
    return in->get<files::StationVersion>("station_versions", "WHERE id = ?1", id);
  });
  if (found.empty())
    throw InputError("version of a station", id, "one that is in the log", {}, "'log verify' tells more");
  in->described = {id, files::parse_station(files::text_of(found.front().content, path_))};
  return in->described->second;
}

KeptCheck Logbook::keep(files::CheckRecord made, files::CheckVersion version) {
  KeptCheck kept;
  together([&] {
    Inside& in = writing();
    stamp(in, made);
    version.check = made.id;
    stamp(in, version);
    auto& insert = in.statement(
        "INSERT INTO checks(id, station, setup, recorded, number) SELECT ?1, ?2, ?3, ?4, "
        "coalesce(max(number), 0) + 1 FROM checks WHERE station = ?2 RETURNING number");
    insert.bind(1, made.id);
    insert.bind(2, made.station);
    insert.bind(3, made.setup);
    insert.bind(4, made.recorded);
    insert.executeStep();
    kept.number = insert.getColumn(0).getInt();
    insert.reset();
    in.put("check_versions", version);
  });
  kept.made = std::move(made);
  kept.latest = std::move(version);
  return kept;
}

namespace {

template <typename Record, typename In>
std::string keep_record(In& in, const char* table, Record record) {
  stamp(in, record);
  in.put(table, record);
  return record.id;
}

}  // namespace

std::string Logbook::keep(files::CheckVersion version) {
  return guarded(path_, [&] { return keep_record(writing(), "check_versions", std::move(version)); });
}

std::string Logbook::keep(files::EventRecord event, std::optional<files::MoveRecord> move) {
  files::hold_to_event_kind(event.kind);
  std::string id;
  together([&] {
    id = keep_record(writing(), "events", std::move(event));
    if (move) {
      move->event = id;
      writing().put("moves", *move);
    }
  });
  return id;
}

std::string Logbook::keep(files::SummaryRecord summary) {
  return guarded(path_, [&] { return keep_record(writing(), "summaries", std::move(summary)); });
}
std::string Logbook::keep(files::NoteRecord note) {
  return guarded(path_, [&] { return keep_record(writing(), "notes", std::move(note)); });
}
std::string Logbook::keep(files::WithdrawalRecord withdrawal) {
  return guarded(path_, [&] { return keep_record(writing(), "withdrawals", std::move(withdrawal)); });
}

void Logbook::backup(const std::string& target) const {
  Inside* in = reading();
  if (in == nullptr) throw files::FileTrouble{"there is no log yet at '" + units::inert(path_, 4096) + "'"};
  try {
    if (!copy_log(*in->db, target)) {
      throw files::FileTrouble{"'" + units::inert(target, 4096) +
                               "' is there already: a backup overwrites nothing"};
    }
  } catch (const SQLite::Exception& trouble) {
    // Trouble with what is read is the log's, all other is the copy's.
    const bool own =
        trouble.getErrorCode() == SQLITE_CORRUPT || trouble.getExtendedErrorCode() == SQLITE_IOERR_DATA;
    tell(own ? path_ : target, trouble);
  }
}

}  // namespace quarterturn::logbook
