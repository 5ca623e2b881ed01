// SPDX-License-Identifier: MIT
/// \file logbook.hpp
/// The log of all stations, one SQLite file. Nothing in it is overwritten: a change is a further record.
///
/// Opened on first use; a log that is not there reads as an empty one, and is made by the first thing kept.
/// \throws files::FileTrouble for trouble with the file (not a log, damaged, locked, read-only, full, newer)
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "files/draft.hpp"
#include "files/log_document.hpp"
#include "logbook/result_table.hpp"
#include "station/station.hpp"

namespace quarterturn::logbook {

/// A check as it counts now.
struct KeptCheck {
  files::CheckRecord made;
  int number = 0;              ///< of its station, as in `dock/3`; counts in the order of recording here
  files::CheckVersion latest;  ///< the latest of its versions
  int versions = 1;
  bool withdrawn = false;
};

/// A check that was made, without what it told.
struct MadeCheck {
  files::CheckRecord made;
  int number = 0;
};

/// What the tests told that are asked for: of a corner, or of the bow of the rail.
enum class Told { corner, rail };

/// The result of a check, without its readings: what a history is made of.
struct KeptResult {
  std::string id, recorded;  ///< of the check
  int number = 0;
  std::string version, station_version, date, person;
  std::int64_t utc = 0;
  files::StoredResult result;  ///< without `program`, `used` and how it was asked for
};

struct KeptStation {
  files::StationRecord made;
  std::string shown_name;  ///< `dock`; of two stations of one name the later is `dock (2)`
  files::StationVersion latest;
};

struct KeptEvent {
  files::EventRecord event;
  std::optional<files::MoveRecord> move;
  bool withdrawn = false;
};

struct KeptSummary {
  files::SummaryRecord summary;
  bool withdrawn = false;
};

/// How a setup stood at its last check.
struct SetupState {
  std::string setup;
  KeptResult last;
  std::string due;    ///< the day of the next check, 2026-06-12
  std::string since;  ///< what happened since, `knocked`; empty: nothing
  bool overdue = false;
};

/// What a merge or an import of a document brought in, and what was there already.
struct Merged {
  int added = 0, known = 0;
};

class Logbook : public station::Store {
 public:
  /// \param path   the file
  /// \param adopt  a folder of station files that a new log takes over; may be empty
  explicit Logbook(std::string path, std::string adopt = {});
  ~Logbook() override;
  Logbook(const Logbook&) = delete;
  Logbook& operator=(const Logbook&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }

  // station::Store
  [[nodiscard]] std::vector<std::string> list() const override;
  [[nodiscard]] station::Station find(const std::string& name) const override;
  void save(const station::Station& station) override;
  void rename(const std::string& from, const std::string& to) override;

  [[nodiscard]] std::vector<KeptStation> stations() const;
  /// The id of the station of that name, or of that id. \throws units::InputError with the nearest name
  [[nodiscard]] std::string station_id(const std::string& name) const;
  /// The same, empty when there is none.
  [[nodiscard]] std::string known_station(const station::Station& station) const;
  /// What the station is called now that had that name last; the name itself where it has it, or none had.
  [[nodiscard]] std::string renamed(const std::string& name) const;

  /// How much of a check is fetched: `results` leaves out readings and the ids of the checks that were used.
  enum class Fetch { results, all };
  /// In the order of their numbers. \param station  id; empty: all
  [[nodiscard]] std::vector<KeptCheck> checks(const std::string& station = {},
                                              Fetch fetch = Fetch::all) const;
  /// One of the station that counts and whose latest version has these readings, whole text. \param utc  its
  /// moment
  [[nodiscard]] std::optional<KeptCheck> check_with(const std::string& station, std::int64_t utc,
                                                    const std::string& readings) const;
  /// Ids of the versions of that moment that have these readings.
  [[nodiscard]] std::set<std::string> versions_with(std::int64_t utc, const std::string& readings) const;
  /// All of them, in the order of their numbers.
  [[nodiscard]] std::vector<MadeCheck> made_checks() const;
  /// Of one setup, those that count, in the order of their numbers: a few microseconds each.
  [[nodiscard]] std::vector<KeptResult> results(const std::string& station, const std::string& setup,
                                                Told told = Told::corner) const;
  /// The newest of a corner, so many at most, in the order of their numbers: the time of those alone.
  [[nodiscard]] std::vector<KeptResult> newest_results(const std::string& station, const std::string& setup,
                                                       std::size_t most) const;
  /// All of a corner, where there may be many: a microsecond each.
  [[nodiscard]] ResultTable result_table(const std::string& station, const std::string& setup) const;
  /// The setup of the station's check of a corner that was kept last; empty when it has none.
  [[nodiscard]] std::string last_setup(const std::string& station) const;
  /// `dock/3`, or an id or the beginning of one. \throws units::InputError
  [[nodiscard]] KeptCheck check(const std::string& name) const;
  [[nodiscard]] std::vector<files::CheckVersion> versions(const std::string& check) const;
  /// The readings file of one version.
  [[nodiscard]] std::string readings(const std::string& version) const;
  /// The station as it was. \throws units::InputError when there is no such version
  [[nodiscard]] station::Station station_version(const std::string& id) const;
  [[nodiscard]] std::vector<KeptEvent> events(const std::string& station = {}) const;
  [[nodiscard]] std::vector<KeptSummary> summaries(const std::string& station = {}) const;
  [[nodiscard]] std::vector<files::NoteRecord> notes(const std::string& about = {}) const;
  [[nodiscard]] std::vector<files::WithdrawalRecord> withdrawals() const;
  /// When what came in last was recorded; empty while the log was not opened, or holds nothing.
  [[nodiscard]] std::string last_recorded() const;

  /// Keeps records. Empty ids and times of recording are given here. \returns the id, of a check with its
  /// number
  KeptCheck keep(files::CheckRecord made, files::CheckVersion version);
  std::string keep(files::CheckVersion version);  ///< of a check that is there: an amendment
  std::string keep(files::EventRecord event, std::optional<files::MoveRecord> move = {});
  std::string keep(files::SummaryRecord summary);
  std::string keep(files::NoteRecord note);
  std::string keep(files::WithdrawalRecord withdrawal);

  /// Unfinished conversations with their lines, the one begun last first.
  [[nodiscard]] std::vector<files::Draft> drafts() const;
  files::DraftRecord keep(files::DraftRecord draft);
  /// On disk when it returns. \returns false: it is not there any more, or somebody else holds it
  bool add_to_draft(const std::string& draft, const std::string& holder, const files::DraftLine& line);
  void hold_draft(const std::string& draft, const std::string& holder);
  void drop_draft(const std::string& draft);
  /// All that `work` keeps goes in together or not at all, and far faster than one by one.
  void together(const std::function<void()>& work);
  /// All that `work` reads is of one moment, whatever another program keeps meanwhile, and comes faster.
  void at_one_moment(const std::function<void()>& work) const;

  /// \param station  id; empty: all
  [[nodiscard]] files::LogDocument document(const std::string& station = {}) const;
  /// Takes what this log does not have; what it has stays as it is. Twice is the same as once.
  Merged merge(const files::LogDocument& other);

  /// Complaints of SQLite about the file, and records that hang in the air; empty when whole.
  [[nodiscard]] std::vector<std::string> faults() const;
  /// A whole copy. \throws files::FileTrouble also when the target is there already
  void backup(const std::string& target) const;

 private:
  struct Inside;
  void hold_to_place() const;
  [[nodiscard]] Inside* reading() const;  ///< nullptr while there is no file
  Inside& writing();
  std::string path_, adopt_;
  mutable std::unique_ptr<Inside> inside_;
};

}  // namespace quarterturn::logbook
