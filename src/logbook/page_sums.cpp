// SPDX-License-Identifier: MIT
#include "logbook/page_sums.hpp"

#include <sqlite3.h>

#include <array>
#include <bit>
#include <cstring>
#include <new>

namespace quarterturn::logbook {
namespace {

constexpr int kHeader = 100;         // bytes of a database before its first page's content
constexpr int kFreeBytesAt = 20;     // where it says how many bytes each page leaves free
constexpr int kSmallestPage = 512;   // of SQLite
constexpr int kLargestPage = 65536;  // of SQLite
constexpr char kMagic[] = "SQLite format 3";

/// An open file. SQLite allots it and knows only its beginning.
struct Summed {
  sqlite3_file seen;
  sqlite3_file* below;   ///< the system's
  unsigned char* page;   ///< room for one that is written
  bool is_log, sums;     ///< a database, not its journal; whether its pages have sums
  unsigned char* ahead;  ///< what was read ahead; what `held` bytes of it are, from `from` on
  int held;
  sqlite3_int64 from, next;            ///< `next`: where the page that was read last ends
  sqlite3_int64 sound_from, sound_to;  ///< of what was read ahead, what has been held to its sums
};

Summed& self(sqlite3_file* file) {
  return *reinterpret_cast<Summed*>(file);
}
sqlite3_file* below(sqlite3_file* file) {
  return self(file).below;
}

/// What SQLite takes by itself: looked up each time, for a test puts another there.
sqlite3_vfs* system_vfs() {
  return sqlite3_vfs_find(nullptr);
}

void put_number(unsigned char* at, std::uint64_t number) {
  for (int i = 0; i < kSumBytes; ++i) at[i] = static_cast<unsigned char>(number >> (8 * i));
}

std::uint64_t number_at(const unsigned char* at) {
  std::uint64_t number = 0;
  if constexpr (std::endian::native == std::endian::little) {
    std::memcpy(&number, at, kSumBytes);
  } else {
    for (int i = kSumBytes - 1; i >= 0; --i) number = number << 8 | at[i];
  }
  return number;
}

/// Sums of pages that lie one behind the other. Each word of a page waits for the one before it; those of
/// several pages do not wait for one another.
template <std::size_t kPages>
std::array<std::uint64_t, kPages> sums_of(const unsigned char* first, std::size_t apart, std::size_t bytes,
                                          std::uint64_t number) {
  constexpr std::uint64_t kStart = 0x9e3779b97f4a7c15U, kOdd = 0xff51afd7ed558ccdU;
  std::array<std::uint64_t, kPages> sum;
  for (std::size_t k = 0; k < kPages; ++k) sum[k] = (kStart ^ (number + k)) * kOdd;
  for (std::size_t at = 0; at + kSumBytes <= bytes; at += kSumBytes) {
    for (std::size_t k = 0; k < kPages; ++k) {
      sum[k] = (sum[k] ^ number_at(first + k * apart + at)) * kOdd;
      sum[k] ^= sum[k] >> 32;
    }
  }
  return sum;
}

/// SQLite reads and writes whole pages, and the header by itself.
bool is_page(int amount, sqlite3_int64 offset) {
  return amount >= kSmallestPage && amount <= kLargestPage && (amount & (amount - 1)) == 0 &&
         offset % amount == 0;
}

std::uint64_t sum_of(const unsigned char* page, int amount, sqlite3_int64 offset) {
  return page_sum(page, static_cast<std::size_t>(amount - kSumBytes),
                  static_cast<std::uint64_t>(offset / amount) + 1);
}

void look_at_header(Summed& file, const void* bytes, int amount, sqlite3_int64 offset) {
  if (!file.is_log || offset != 0 || amount < kHeader) return;
  const auto* header = static_cast<const unsigned char*>(bytes);
  file.sums = std::memcmp(header, kMagic, sizeof kMagic) == 0 && header[kFreeBytesAt] == kSumBytes;
}

bool is_summed_page(const Summed& file, int amount, sqlite3_int64 offset) {
  return file.sums && is_page(amount, offset);
}

bool is_behind_end(sqlite3_file* file, sqlite3_int64 offset) {
  sqlite3_int64 size = 0;
  return file->pMethods->xFileSize(file, &size) == SQLITE_OK && offset >= size;
}

constexpr int kAhead = 65536;  // bytes at once where pages are read one after the other

/// What was read ahead counts while nobody can have written: for as long as a lock is neither taken nor given
/// back, and we write nothing.
void forget_ahead(sqlite3_file* file) {
  self(file).held = 0;
  self(file).sound_to = 0;
}

int read_below(Summed& own, void* buffer, int amount, sqlite3_int64 offset) {
  const auto direct = [&] { return own.below->pMethods->xRead(own.below, buffer, amount, offset); };
  if (!own.is_log || !is_page(amount, offset)) return direct();
  // Pages of an index that grew beside its table lie some apart: all between would take longer than each
  // alone.
  const bool onward = offset >= own.next && offset - own.next <= 2 * sqlite3_int64{amount};
  own.next = offset + amount;
  const auto is_held = [&] { return offset >= own.from && own.next <= own.from + own.held; };
  if (!is_held() && onward) {
    own.held = 0;
    own.sound_to = 0;
    if (own.ahead == nullptr) own.ahead = static_cast<unsigned char*>(sqlite3_malloc(kAhead));
    // At the end of the file, and where the disk fails, the page is read by itself, which tells what is
    // amiss.
    if (own.ahead == nullptr || own.below->pMethods->xRead(own.below, own.ahead, kAhead, offset) != SQLITE_OK)
      return direct();
    own.from = offset;
    own.held = kAhead;
  }
  if (!is_held()) return direct();
  std::memcpy(buffer, own.ahead + (offset - own.from), static_cast<std::size_t>(amount));
  return SQLITE_OK;
}

/// Whether the page of `own.ahead` and its neighbours, `kTogether` of them, are as they were written.
bool are_sound_ahead(Summed& own, int amount, sqlite3_int64 offset) {
  constexpr std::size_t kTogether = 4;
  if (offset < own.from || offset + amount > own.from + own.held) return false;
  const auto apart = static_cast<std::size_t>(amount);
  const std::size_t in = static_cast<std::size_t>(offset - own.from) / (kTogether * apart);
  const std::size_t begin = in * kTogether * apart;
  const sqlite3_int64 where = own.from + static_cast<sqlite3_int64>(begin);
  if (begin + kTogether * apart > static_cast<std::size_t>(own.held)) return false;
  const unsigned char* const first = own.ahead + begin;
  const auto sums =
      sums_of<kTogether>(first, apart, apart - kSumBytes, static_cast<std::uint64_t>(where / amount) + 1);
  for (std::size_t k = 0; k < kTogether; ++k)
    if (number_at(first + (k + 1) * apart - kSumBytes) != sums[k]) return false;
  own.sound_from = where;
  own.sound_to = where + static_cast<sqlite3_int64>(kTogether * apart);
  return true;
}

/// What was read ahead is held to its sums some pages at once; a page that is not whole is found by itself.
bool is_sound(Summed& own, const unsigned char* page, int amount, sqlite3_int64 offset) {
  if (offset >= own.sound_from && offset + amount <= own.sound_to) return true;
  if (are_sound_ahead(own, amount, offset)) return true;
  return number_at(page + amount - kSumBytes) == sum_of(page, amount, offset);
}

int read_file(sqlite3_file* file, void* buffer, int amount, sqlite3_int64 offset) {
  Summed& own = self(file);
  const int result = read_below(own, buffer, amount, offset);
  if (result == SQLITE_OK) look_at_header(own, buffer, amount, offset);
  if (result != SQLITE_OK && result != SQLITE_IOERR_SHORT_READ) return result;
  if (!is_summed_page(own, amount, offset)) return result;
  const auto* page = static_cast<const unsigned char*>(buffer);
  // Behind the end of the file nothing was written yet; where a page breaks off, something was.
  if (result == SQLITE_IOERR_SHORT_READ && is_behind_end(own.below, offset)) return result;
  return is_sound(own, page, amount, offset) ? result : SQLITE_IOERR_DATA;
}

int write_file(sqlite3_file* file, const void* buffer, int amount, sqlite3_int64 offset) {
  Summed& own = self(file);
  const auto* methods = own.below->pMethods;
  forget_ahead(file);
  look_at_header(own, buffer, amount, offset);
  if (!is_summed_page(own, amount, offset)) return methods->xWrite(own.below, buffer, amount, offset);
  if (own.page == nullptr) own.page = static_cast<unsigned char*>(sqlite3_malloc(kLargestPage));
  if (own.page == nullptr) return SQLITE_IOERR_NOMEM;
  std::memcpy(own.page, buffer, static_cast<std::size_t>(amount));
  put_number(own.page + amount - kSumBytes, sum_of(own.page, amount, offset));
  return methods->xWrite(own.below, own.page, amount, offset);
}

int close_file(sqlite3_file* file) {
  Summed& own = self(file);
  const int result = own.below->pMethods->xClose(own.below);
  sqlite3_free(own.page);
  sqlite3_free(own.ahead);
  sqlite3_free(own.below);
  own.below = nullptr;
  return result;
}

// What goes through as it is. Without shared memory a log cannot be put into another way of writing, and
// without mapping no page gets past read_file.
int truncate_file(sqlite3_file* f, sqlite3_int64 size) {
  forget_ahead(f);
  return below(f)->pMethods->xTruncate(below(f), size);
}
int sync_file(sqlite3_file* f, int flags) {
  return below(f)->pMethods->xSync(below(f), flags);
}
int size_of_file(sqlite3_file* f, sqlite3_int64* size) {
  return below(f)->pMethods->xFileSize(below(f), size);
}
int lock_file(sqlite3_file* f, int level) {
  forget_ahead(f);
  return below(f)->pMethods->xLock(below(f), level);
}
int unlock_file(sqlite3_file* f, int level) {
  forget_ahead(f);
  return below(f)->pMethods->xUnlock(below(f), level);
}
int is_reserved(sqlite3_file* f, int* out) {
  return below(f)->pMethods->xCheckReservedLock(below(f), out);
}
int control_file(sqlite3_file* f, int what, void* argument) {
  return below(f)->pMethods->xFileControl(below(f), what, argument);
}
int sector_of_file(sqlite3_file* f) {
  return below(f)->pMethods->xSectorSize(below(f));
}
int characteristics_of(sqlite3_file* f) {
  return below(f)->pMethods->xDeviceCharacteristics(below(f));
}

constexpr int kMethodsVersion = 1;  // neither shared memory nor mapping

const sqlite3_io_methods& methods() {
  static const sqlite3_io_methods own = [] {
    sqlite3_io_methods made{};
    made.iVersion = kMethodsVersion;
    made.xClose = close_file;
    made.xRead = read_file;
    made.xWrite = write_file;
    made.xTruncate = truncate_file;
    made.xSync = sync_file;
    made.xFileSize = size_of_file;
    made.xLock = lock_file;
    made.xUnlock = unlock_file;
    made.xCheckReservedLock = is_reserved;
    made.xFileControl = control_file;
    made.xSectorSize = sector_of_file;
    made.xDeviceCharacteristics = characteristics_of;
    return made;
  }();
  return own;
}

int open_file(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out) {
  Summed& own = *::new (file) Summed{};
  sqlite3_vfs* const system = system_vfs();
  auto* const opened = static_cast<sqlite3_file*>(sqlite3_malloc(system->szOsFile));
  if (opened == nullptr) return SQLITE_NOMEM;
  std::memset(opened, 0, static_cast<std::size_t>(system->szOsFile));
  const int result = system->xOpen(system, name, opened, flags, out);
  if (result != SQLITE_OK) {
    if (opened->pMethods != nullptr) opened->pMethods->xClose(opened);
    sqlite3_free(opened);
    return result;
  }
  own.below = opened;
  own.is_log = (flags & SQLITE_OPEN_MAIN_DB) != 0;
  // A new file is one of ours before its header was written: pages may be written first.
  sqlite3_int64 size = 0;
  own.sums = own.is_log && opened->pMethods->xFileSize(opened, &size) == SQLITE_OK && size == 0;
  own.seen.pMethods = &methods();
  return SQLITE_OK;
}

int delete_named(sqlite3_vfs*, const char* name, int sync) {
  return system_vfs()->xDelete(system_vfs(), name, sync);
}
int access_named(sqlite3_vfs*, const char* name, int flags, int* out) {
  return system_vfs()->xAccess(system_vfs(), name, flags, out);
}
int full_name(sqlite3_vfs*, const char* name, int size, char* out) {
  return system_vfs()->xFullPathname(system_vfs(), name, size, out);
}
int random_bytes(sqlite3_vfs*, int size, char* out) {
  return system_vfs()->xRandomness(system_vfs(), size, out);
}
int sleep_for(sqlite3_vfs*, int microseconds) {
  return system_vfs()->xSleep(system_vfs(), microseconds);
}
int time_now(sqlite3_vfs*, double* days) {
  return system_vfs()->xCurrentTime(system_vfs(), days);
}
int last_error(sqlite3_vfs*, int size, char* out) {
  return system_vfs()->xGetLastError(system_vfs(), size, out);
}

constexpr const char* kName = "quarterturn-sums";

sqlite3_vfs& vfs() {
  static sqlite3_vfs own = [] {
    sqlite3_vfs made{};
    made.iVersion = 1;
    made.szOsFile = sizeof(Summed);
    made.mxPathname = system_vfs()->mxPathname;
    made.zName = kName;
    made.xOpen = open_file;
    made.xDelete = delete_named;
    made.xAccess = access_named;
    made.xFullPathname = full_name;
    made.xRandomness = random_bytes;
    made.xSleep = sleep_for;
    made.xCurrentTime = time_now;
    made.xGetLastError = last_error;
    return made;
  }();
  return own;
}

int control(SQLite::Database& db, int what, void* argument) {
  return sqlite3_file_control(db.getHandle(), "main", what, argument);
}

}  // namespace

std::uint64_t page_sum(const unsigned char* page, std::size_t bytes, std::uint64_t number) {
  return sums_of<1>(page, bytes, bytes, number)[0];
}

const char* page_sums_vfs() {
  static const bool registered = sqlite3_vfs_register(&vfs(), 0) == SQLITE_OK;
  return registered ? kName : nullptr;
}

bool carries_sums(SQLite::Database& db) {
  int left_free = -1;  // asks
  return control(db, SQLITE_FCNTL_RESERVE_BYTES, &left_free) == SQLITE_OK && left_free == kSumBytes;
}

void ask_for_sums(SQLite::Database& db) {
  int left_free = kSumBytes;
  control(db, SQLITE_FCNTL_RESERVE_BYTES, &left_free);
}

bool has_moved(SQLite::Database& db) {
  int moved = 0;
  return control(db, SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK && moved != 0;
}

void sync_whole(SQLite::Database& db) {
  sqlite3_file* file = nullptr;
  int result = control(db, SQLITE_FCNTL_FILE_POINTER, &file);
  if (result == SQLITE_OK) result = file->pMethods->xSync(file, SQLITE_SYNC_FULL);
  if (result != SQLITE_OK) throw SQLite::Exception(sqlite3_errstr(result), result);
}

}  // namespace quarterturn::logbook
