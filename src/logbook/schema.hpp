// SPDX-License-Identifier: MIT
/// \file schema.hpp
/// The tables of a log file, their versions, and opening one with care.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <SQLiteCpp/Savepoint.h>

#include <memory>
#include <span>
#include <string>

namespace quarterturn::logbook {

/// Marks the file as a log of ours (PRAGMA application_id); "qtlg".
inline constexpr int kApplicationId = 0x71746c67;

/// What makes a log of version n one of version n + 1; the first makes an empty file a log.
std::span<const char* const> schema_steps();

enum class Access { read, write };

/// From this version on each page carries a sum (page_sums.hpp).
inline constexpr int kSummedVersion = 5;

/// Opens the log and brings it to the newest version. A new log and a newer version are made beside their
/// place and put there whole; an older one is copied first, as `log.db.version-1`.
/// \param steps  schema_steps(), or those of a test
/// \throws files::FileTrouble
std::unique_ptr<SQLite::Database> open_log(const std::string& path, Access access,
                                           std::span<const char* const> steps);

/// A whole copy, on the disk when it is there. \returns false when something stands at `target`
/// \throws files::FileTrouble, SQLite::Exception
bool copy_log(SQLite::Database& from, const std::string& target);

/// `the log '/home/lea/log.db'`, and what is wrong with it.
std::string named(const std::string& path);
inline constexpr const char* kDamaged =
    " is damaged, and nothing is told of it rather than something wrong. Hint: 'log verify' tells where; a "
    "backup "
    "is whole";
inline constexpr const char* kMovedAway =
    " is not where it was: it was moved or deleted while it was open. Nothing of this was kept. Hint: put it "
    "back, "
    "or leave and begin again";

/// Turns SQLite's trouble into a sentence about the file. \throws files::FileTrouble
[[noreturn]] void tell(const std::string& path, const SQLite::Exception& trouble);

}  // namespace quarterturn::logbook
