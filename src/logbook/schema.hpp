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

/// Opens the log and brings it to the newest version; before an older one is changed it is copied beside
/// itself, as `log.db.version-1`. \param steps  schema_steps(), or those of a test
/// \throws files::FileTrouble
std::unique_ptr<SQLite::Database> open_log(const std::string& path, Access access,
                                           std::span<const char* const> steps);

/// Turns SQLite's trouble into a sentence about the file. \throws files::FileTrouble
[[noreturn]] void tell(const std::string& path, const SQLite::Exception& trouble);

}  // namespace quarterturn::logbook
