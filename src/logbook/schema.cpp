// SPDX-License-Identifier: MIT
#include "logbook/schema.hpp"

#include <sqlite3.h>

#include <array>

#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::logbook {
namespace {

using files::FileTrouble;

constexpr const char* kFirst = R"(
CREATE TABLE stations(id TEXT PRIMARY KEY, recorded TEXT NOT NULL) STRICT;
CREATE TABLE station_versions(id TEXT PRIMARY KEY, station TEXT NOT NULL REFERENCES stations(id),
  recorded TEXT NOT NULL, name TEXT NOT NULL, content TEXT NOT NULL) STRICT;
CREATE INDEX station_versions_of ON station_versions(station, recorded);
CREATE TABLE checks(id TEXT PRIMARY KEY, station TEXT NOT NULL REFERENCES stations(id), setup TEXT NOT NULL,
  recorded TEXT NOT NULL, number INTEGER NOT NULL, UNIQUE(station, number)) STRICT;
CREATE TABLE check_versions(id TEXT PRIMARY KEY, "check" TEXT NOT NULL REFERENCES checks(id),
  recorded TEXT NOT NULL, reason TEXT NOT NULL, date TEXT NOT NULL, utc INTEGER NOT NULL, person TEXT NOT NULL,
  station_version TEXT NOT NULL REFERENCES station_versions(id), readings TEXT NOT NULL,
  program TEXT NOT NULL, confidence REAL NOT NULL, eta_rad REAL NOT NULL, u_rad REAL NOT NULL,
  half_width_rad REAL NOT NULL, dof REAL, unknown TEXT, q INTEGER NOT NULL, tolerance_rad REAL,
  verdict TEXT NOT NULL, provisional INTEGER NOT NULL, strict INTEGER NOT NULL,
  assumed INTEGER NOT NULL, used TEXT NOT NULL) STRICT;
CREATE INDEX check_versions_of ON check_versions("check", recorded);
CREATE TABLE events(id TEXT PRIMARY KEY, station TEXT NOT NULL REFERENCES stations(id), setup TEXT NOT NULL,
  recorded TEXT NOT NULL, date TEXT NOT NULL, utc INTEGER NOT NULL, kind TEXT NOT NULL, target TEXT NOT NULL,
  note TEXT NOT NULL, person TEXT NOT NULL) STRICT;
CREATE INDEX events_of ON events(station, utc);
CREATE TABLE moves(event TEXT PRIMARY KEY REFERENCES events(id), "check" TEXT NOT NULL REFERENCES checks(id),
  means TEXT NOT NULL, text TEXT NOT NULL, moved_rad REAL, u_action_rad REAL, mu_rad REAL NOT NULL,
  v_rad2 REAL NOT NULL) STRICT;
CREATE TABLE summaries(id TEXT PRIMARY KEY, station TEXT NOT NULL REFERENCES stations(id), setup TEXT NOT NULL,
  recorded TEXT NOT NULL, date TEXT NOT NULL, utc INTEGER NOT NULL, test TEXT NOT NULL, side TEXT NOT NULL,
  error_rad REAL NOT NULL, plus_minus_rad REAL, person TEXT NOT NULL, source TEXT NOT NULL) STRICT;
CREATE TABLE notes(id TEXT PRIMARY KEY, about TEXT NOT NULL, recorded TEXT NOT NULL, text TEXT NOT NULL,
  person TEXT NOT NULL) STRICT;
CREATE INDEX notes_of ON notes(about);
CREATE TABLE withdrawals(id TEXT PRIMARY KEY, about TEXT NOT NULL, recorded TEXT NOT NULL, reason TEXT NOT NULL,
  person TEXT NOT NULL) STRICT;
CREATE INDEX withdrawals_of ON withdrawals(about);
)";
constexpr const char* kPlannedStrips = "ALTER TABLE check_versions ADD COLUMN planned_strips REAL";
constexpr const char* kGapTests = "ALTER TABLE check_versions ADD COLUMN test TEXT";
constexpr const char* kDrafts = R"(
CREATE TABLE drafts(id TEXT PRIMARY KEY, recorded TEXT NOT NULL, utc INTEGER NOT NULL, station TEXT NOT NULL,
  words TEXT NOT NULL, "check" TEXT NOT NULL, cuts INTEGER NOT NULL, unit TEXT NOT NULL, program TEXT NOT NULL,
  holder TEXT NOT NULL, apart_mm REAL NOT NULL, width_mm REAL, depth_mm REAL, thickness_mm REAL, cuts_made INTEGER NOT NULL,
  strip_mm REAL NOT NULL) STRICT;
CREATE TABLE draft_lines(draft TEXT NOT NULL REFERENCES drafts(id), number INTEGER NOT NULL,
  question TEXT NOT NULL, answer TEXT NOT NULL, PRIMARY KEY(draft, number)) STRICT, WITHOUT ROWID;
)";
// What is new is not in the tables: open_log makes a file whose pages carry sums (page_sums.hpp).
constexpr const char* kPageSums = "-- pages carry sums";
// What a history reads of each version, without the pages that hold readings (Logbook::result_table).
constexpr const char* kTold =
    "CREATE INDEX check_versions_told ON check_versions(utc, \"check\", recorded, station_version, date, "
    "eta_rad, u_rad, dof, unknown, verdict, provisional, test)";
constexpr std::array<const char*, 6> kSteps{kFirst, kPlannedStrips, kGapTests, kDrafts, kPageSums, kTold};

}  // namespace

std::span<const char* const> schema_steps() {
  return kSteps;
}

std::string named(const std::string& path) {
  return "the log '" + units::inert(path, 4096) + "'";
}

void tell(const std::string& path, const SQLite::Exception& trouble) {
  const std::string log = named(path);
  if (trouble.getExtendedErrorCode() == SQLITE_IOERR_DATA) throw FileTrouble{log + kDamaged};
  if (trouble.getExtendedErrorCode() == SQLITE_READONLY_DBMOVED) throw FileTrouble{log + kMovedAway};
  switch (trouble.getErrorCode()) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      throw FileTrouble{
          log +
          " is in use by another program; nothing of this was kept. Hint: wait until it is done, "
          "then try again"};
    case SQLITE_NOTADB:
      throw FileTrouble{log +
                        " is not a log, or its beginning is damaged. Hint: name another file with --log"};
    case SQLITE_CORRUPT:
      throw FileTrouble{log + kDamaged};
    case SQLITE_READONLY:
      throw FileTrouble{log +
                        " cannot be written to: it is read-only. Nothing of this was kept. Hint: see who " +
                        "may write the file and its folder, or name another with --log"};
    case SQLITE_FULL:
      throw FileTrouble{log +
                        " cannot be written: the disk is full. Nothing of this was kept, and what was kept "
                        "before is whole. Hint: make room, then do it again"};
    case SQLITE_CANTOPEN:
      throw FileTrouble{log +
                        " cannot be opened; nothing of this was kept. Hint: see whether its folder is there "
                        "and may be written to"};
    case SQLITE_CONSTRAINT:
      throw FileTrouble{log + " takes nothing of this: a record belongs to one that is not there"};
    case SQLITE_IOERR:
      throw FileTrouble{log +
                        " cannot be read or written: the disk reports an error. Hint: 'log list' shows what "
                        "is kept; see whether the disk is full or failing before you go on"};
    default:
      throw FileTrouble{log + ": " + units::inert(trouble.what(), 200)};
  }
}

}  // namespace quarterturn::logbook
