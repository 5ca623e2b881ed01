// SPDX-License-Identifier: MIT
/// \file page_sums.hpp
/// Pages of a log that carry a sum: a page that is not as it was written is refused when it is read, whatever
/// it holds, by whichever word reads it.
///
/// In       what SQLite reads and writes of the file
/// Out      the same, the last eight bytes of each page a sum of its number and of all before them
/// Maths    words of 64 bits, each taken in by an exclusive or and a multiplication by an odd number, which
/// is
///          one to one: no change within a single word leaves the sum as it was
/// Range    logs made by open_log; files whose header leaves other than eight bytes free go through as they
/// are Accuracy any byte of any page in use (tests/logbook/damage_test.cpp); of other changes all but 2^-64
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <cstddef>
#include <cstdint>

namespace quarterturn::logbook {

inline constexpr int kSumBytes = 8;  ///< left free at the end of each page, as the file's header says

/// \param bytes  of the page, without its sum
std::uint64_t page_sum(const unsigned char* page, std::size_t bytes, std::uint64_t number);

/// The name by which SQLite opens a file so. It stands on whatever SQLite takes by itself.
const char* page_sums_vfs();

/// Whether the file leaves room for sums, as every log does from version 5 on.
bool carries_sums(SQLite::Database& db);
/// The copies and the new files that this connection makes will.
void ask_for_sums(SQLite::Database& db);

/// Whether the open file is not the one any more that has its name: moved, deleted, or another put there.
bool has_moved(SQLite::Database& db);

/// On the disk, whatever wrote it.
void sync_whole(SQLite::Database& db);

}  // namespace quarterturn::logbook
