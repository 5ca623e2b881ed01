// SPDX-License-Identifier: MIT
#include "logbook/schema.hpp"

#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <filesystem>

#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::logbook {
namespace {

namespace fs = std::filesystem;
using files::FileTrouble;

constexpr int kWaitMs = 3000;  // for another program that is writing

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
constexpr std::array<const char*, 4> kSteps{kFirst, kPlannedStrips, kGapTests, kDrafts};

std::string named(const std::string& path) {
  return "the log '" + units::inert(path, 4096) + "'";
}

int pragma(SQLite::Database& db, const char* what) {
  return db.execAndGet(std::string("PRAGMA ") + what).getInt();
}

bool is_empty(SQLite::Database& db) {
  return db.execAndGet("SELECT count(*) FROM sqlite_master").getInt() == 0;
}

void copy_before(const std::string& path, SQLite::Database& db, int version) {
  const std::string target = path + ".version-" + std::to_string(version);
  std::error_code error;
  if (fs::exists(target, error))
    return;  // of an upgrade that was broken off: the older state is the one to keep
  SQLite::Statement copy(db, "VACUUM INTO ?");
  copy.bind(1, target);
  copy.exec();
}

void bring_up(const std::string& path, SQLite::Database& db, std::span<const char* const> steps) {
  const int newest = static_cast<int>(steps.size());
  const int version = pragma(db, "user_version");
  if (version == newest) return;
  if (version > 0) copy_before(path, db, version);
  // Whoever comes second finds it done.
  SQLite::Transaction whole(db, SQLite::TransactionBehavior::IMMEDIATE);
  for (int v = pragma(db, "user_version"); v < newest; ++v) {
    db.exec(steps[static_cast<std::size_t>(v)]);
    db.exec("PRAGMA user_version = " + std::to_string(v + 1));
  }
  db.exec("PRAGMA application_id = " + std::to_string(kApplicationId));
  whole.commit();
}

void hold_to_log(const std::string& path, SQLite::Database& db, int newest) {
  const int id = pragma(db, "application_id"), version = pragma(db, "user_version");
  if (id != kApplicationId && !(id == 0 && version == 0 && is_empty(db)))
    throw FileTrouble{named(path) + " is a database of another program. Hint: name another file with --log"};
  if (version > newest) {
    throw FileTrouble{named(path) + " was written by a newer version (" + std::to_string(version) +
                      "; this one knows up to " + std::to_string(newest) + "). Hint: use that version"};
  }
}

}  // namespace

std::span<const char* const> schema_steps() {
  return kSteps;
}

void tell(const std::string& path, const SQLite::Exception& trouble) {
  const std::string log = named(path);
  switch (trouble.getErrorCode()) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      throw FileTrouble{log + " is in use by another program. Hint: wait until it is done, then try again"};
    case SQLITE_NOTADB:
      throw FileTrouble{log + " is not a log. Hint: name another file with --log"};
    case SQLITE_CORRUPT:
      throw FileTrouble{log + " is damaged. Hint: 'log verify' tells where; a backup is whole"};
    case SQLITE_READONLY:
      throw FileTrouble{log + " cannot be written to: it is read-only"};
    case SQLITE_FULL:
      throw FileTrouble{log + " cannot be written: the disk is full. Nothing was kept"};
    case SQLITE_CANTOPEN:
      throw FileTrouble{log + " cannot be opened: see whether its folder is there and may be written to"};
    case SQLITE_CONSTRAINT:
      throw FileTrouble{log + " takes nothing of this: a record belongs to one that is not there"};
    case SQLITE_IOERR:
      throw FileTrouble{log + " cannot be read or written: the disk reports an error. Nothing was kept"};
    default:
      throw FileTrouble{log + ": " + units::inert(trouble.what(), 200)};
  }
}

std::unique_ptr<SQLite::Database> open_log(const std::string& path, Access access,
                                           std::span<const char* const> steps) {
  std::error_code error;
  if (fs::is_directory(path, error)) throw FileTrouble{named(path) + " is a directory"};
  const fs::path folder = fs::path(path).parent_path();
  if (access == Access::write && !folder.empty()) {
    fs::create_directories(folder, error);
    if (error)
      throw FileTrouble{"cannot make the folder '" + units::inert(folder.string(), 4096) +
                        "': " + error.message()};
  }
  try {
    const bool writable = access == Access::write || ::access(path.c_str(), W_OK) == 0;
    const int flags = access == Access::write ? SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE
                      : writable              ? SQLite::OPEN_READWRITE
                                              : SQLite::OPEN_READONLY;
    auto db = std::make_unique<SQLite::Database>(path, flags, kWaitMs);
    hold_to_log(path, *db, static_cast<int>(steps.size()));
    db->exec("PRAGMA foreign_keys = ON");
    db->exec("PRAGMA synchronous = FULL");
    db->exec("PRAGMA trusted_schema = OFF");
    if (writable) {
      bring_up(path, *db, steps);
    } else if (pragma(*db, "user_version") != static_cast<int>(steps.size())) {
      throw FileTrouble{named(path) +
                        " is of an older version and read-only: it cannot be brought up to date"};
    }
    return db;
  } catch (const SQLite::Exception& trouble) {
    tell(path, trouble);
  }
}

}  // namespace quarterturn::logbook
