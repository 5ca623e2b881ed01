// SPDX-License-Identifier: MIT
/// Opening a log with care. What is made anew, and what is brought to a newer version, is made beside its
/// place and put there whole: whoever opens it, and whatever stops in between, meets the old one or the new
/// one.
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>

#include "files/placing.hpp"
#include "files/text_file.hpp"
#include "logbook/page_sums.hpp"
#include "logbook/schema.hpp"
#include "units/input_error.hpp"

namespace quarterturn::logbook {
namespace {

namespace fs = std::filesystem;
using files::FileTrouble;
using Steps = std::span<const char* const>;

constexpr int kWaitMs =
    6000;  // for another program that is writing: ten thousand files come in within two to four seconds

/// Files in the making that a program left when it was killed: of a process that is gone, and old, for it may
/// have been another machine's.
void sweep(const std::string& place) {
  constexpr auto kOld = std::chrono::hours(1);
  const std::string begins = fs::path(place).filename().string() + ".new-";
  const fs::path folder = fs::path(place).parent_path();
  std::error_code error;
  for (fs::directory_iterator at(folder.empty() ? "." : folder, error), end; !error && at != end;
       at.increment(error)) {
    const std::string name = at->path().filename().string();
    if (!name.starts_with(begins)) continue;
    const int process = std::atoi(name.c_str() + begins.size());
    const auto written = fs::last_write_time(at->path(), error);
    if (error || process <= 0 || fs::file_time_type::clock::now() - written < kOld) continue;
    if (::kill(process, 0) != 0 && errno == ESRCH) ::unlink(at->path().c_str());
  }
}

/// A file in the making: gone again unless it was put in its place.
class Fresh {
 public:
  explicit Fresh(const std::string& place) : path_(files::name_beside(place)) { sweep(place); }
  Fresh(const Fresh&) = delete;
  Fresh& operator=(const Fresh&) = delete;
  ~Fresh() {
    ::unlink(path_.c_str());
    ::unlink((path_ + "-journal").c_str());
  }
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
};

int pragma(SQLite::Database& db, const char* what) {
  return db.execAndGet(std::string("PRAGMA ") + what).getInt();
}

/// \param flags  of SQLite
/// \param vfs    nullptr: the system's, without sums
std::unique_ptr<SQLite::Database> connect(const std::string& path, int flags,
                                          const char* vfs = page_sums_vfs()) {
  // A connection stays in one thread, so nothing in it waits for another.
  auto db = std::make_unique<SQLite::Database>(path.c_str(), flags | SQLITE_OPEN_NOMUTEX, kWaitMs, vfs);
  db->exec("PRAGMA foreign_keys = ON");
  // What is said to be kept stays kept when the power fails in the same moment: that the journal is gone must
  // be on the disk too (FULL leaves that out), or it would take the last records back.
  db->exec("PRAGMA synchronous = EXTRA");
  db->exec("PRAGMA trusted_schema = OFF");
  db->exec("PRAGMA cell_size_check = ON");
  return db;
}

void take_steps(SQLite::Database& db, Steps steps) {
  SQLite::Transaction whole(db, SQLite::TransactionBehavior::IMMEDIATE);
  const int newest = static_cast<int>(steps.size());
  for (int v = pragma(db, "user_version"); v < newest; ++v) db.exec(steps[static_cast<std::size_t>(v)]);
  db.exec("PRAGMA user_version = " + std::to_string(newest));
  db.exec("PRAGMA application_id = " + std::to_string(kApplicationId));
  whole.commit();
}

void make_log(const std::string& path, Steps steps) {
  const std::string place = files::behind_links(path);
  const std::string folder = fs::path(place).parent_path().string();
  if (!folder.empty()) files::make_folders(folder);
  const Fresh fresh(place);
  {
    const auto db = connect(fresh.path(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    ask_for_sums(*db);
    take_steps(*db, steps);
  }
  // Where another program was faster, its log is the one.
  (void)files::place_new(fresh.path(), place);
}

void copy_into(SQLite::Database& from, const std::string& path) {
  SQLite::Statement copy(from, "VACUUM INTO ?");
  copy.bind(1, path);
  copy.exec();
}

/// Who may read and write the new file is who might the old one, also where an administrator brings it up.
void keep_rights(const std::string& old, const std::string& fresh) {
  struct stat status {};
  if (::stat(old.c_str(), &status) != 0) return;
  if (::chown(fresh.c_str(), status.st_uid, status.st_gid) != 0) {
    // Of another owner, in a folder that is shared: the group or all may write it, or could not before.
  }
  (void)::chmod(fresh.c_str(), status.st_mode & 07777u);
}

/// Nothing is brought over that is not whole: it would be sealed as if it were.
void hold_to_whole(const std::string& path, SQLite::Database& db) {
  SQLite::Statement check(db, "PRAGMA integrity_check(1)");
  if (!check.executeStep() || check.getColumn(0).getString() != "ok")
    throw FileTrouble{named(path) + kDamaged};
}

/// Brings a log to the newest version. Whoever has the older file open finds that it has moved, and writes no
/// more to it.
void bring_up(const std::string& path, SQLite::Database& db, Steps steps) {
  const std::string place = files::behind_links(path);
  const SQLite::Transaction nobody_writes(db, SQLite::TransactionBehavior::IMMEDIATE);
  const int version = pragma(db, "user_version");
  if (has_moved(db) || version == static_cast<int>(steps.size())) return;  // another program was faster
  {
    // The copy is as the log was: a program of that version may go on with it.
    const auto reader = connect(path, SQLite::OPEN_READONLY, carries_sums(db) ? page_sums_vfs() : nullptr);
    hold_to_whole(path, *reader);
    // Of an upgrade that was broken off the older state is there already, and is the one to keep.
    (void)copy_log(*reader, place + ".version-" + std::to_string(version));
  }
  const Fresh fresh(place);
  {
    const auto reader = connect(path, SQLite::OPEN_READONLY);
    ask_for_sums(*reader);
    copy_into(*reader, fresh.path());
    const auto made = connect(fresh.path(), SQLite::OPEN_READWRITE);
    take_steps(*made, steps);
    sync_whole(*made);
  }
  keep_rights(place, fresh.path());
  files::place_over(fresh.path(), place);
}

void hold_to_log(const std::string& path, SQLite::Database& db, int newest) {
  const int id = pragma(db, "application_id"), version = pragma(db, "user_version");
  if (id != kApplicationId)
    throw FileTrouble{named(path) + " is a database of another program. Hint: name another file with --log"};
  if (version >= kSummedVersion && !carries_sums(db)) throw FileTrouble{named(path) + kDamaged};
  if (version > newest) {
    throw FileTrouble{named(path) + " was written by a newer version (" + std::to_string(version) +
                      "; this one knows up to " + std::to_string(newest) + "). Hint: use that version"};
  }
}

/// A log never has nothing in it, not even when it was stopped while it was made.
void hold_to_content(const std::string& path) {
  struct stat status {};
  if (::stat(path.c_str(), &status) == 0 && S_ISREG(status.st_mode) && status.st_size == 0) {
    throw FileTrouble{
        named(path) +
        " is an empty file, which no log ever is: if there was one, it is lost from here. Hint: put a "
        "backup there, or take the file away and a new log is begun"};
  }
}

}  // namespace

bool copy_log(SQLite::Database& from, const std::string& target) {
  struct stat status {};
  if (::lstat(target.c_str(), &status) == 0) return false;
  const Fresh fresh(target);
  {
    copy_into(from, fresh.path());
    sync_whole(*connect(fresh.path(), SQLite::OPEN_READWRITE));
  }
  keep_rights(from.getFilename(), fresh.path());
  return files::place_new(fresh.path(), target);
}

std::unique_ptr<SQLite::Database> open_log(const std::string& path, Access access, Steps steps) {
  std::error_code error;
  if (path.empty())
    throw FileTrouble{
        "neither QUARTERTURN_LOG nor XDG_DATA_HOME nor HOME says where the log is. Hint: set HOME, or name "
        "the "
        "log with --log FILE"};
  if (fs::is_directory(path, error)) throw FileTrouble{named(path) + " is a directory"};
  const int newest = static_cast<int>(steps.size());
  try {
    if (access == Access::write && !fs::exists(path, error)) make_log(path, steps);
    hold_to_content(path);
    const bool writable = access == Access::write || ::access(path.c_str(), W_OK) == 0;
    for (;;) {
      auto db = connect(path, writable ? SQLite::OPEN_READWRITE : SQLite::OPEN_READONLY);
      hold_to_log(path, *db, newest);
      if (pragma(*db, "user_version") == newest) return db;
      if (!writable)
        throw FileTrouble{named(path) +
                          " is of an older version and read-only: it cannot be brought up to date"};
      bring_up(path, *db, steps);
    }
  } catch (const SQLite::Exception& trouble) {
    tell(path, trouble);
  }
}

}  // namespace quarterturn::logbook
