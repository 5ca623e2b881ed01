// SPDX-License-Identifier: MIT
#include "support/power_cut.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <new>
#include <random>
#include <string>

namespace quarterturn::test {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t kSector = 512;

/// The disk. Files are known by their names: nothing that SQLite writes is given another while it is open.
struct Disk {
  std::mt19937_64 draw;
  int left = 0;                               ///< writes, syncs and deletions until the power fails
  std::map<std::string, std::string> synced;  ///< of files written since: as they are on the disk for sure
  std::map<std::string, std::string> gone;    ///< taken away, and the folder not synced since
  bool takes() { return left > 0 && --left > 0; }
};
Disk* g_disk = nullptr;
sqlite3_vfs* g_system = nullptr;

struct File {
  sqlite3_file seen;
  sqlite3_file* below;
  std::string* name;
};
File& self(sqlite3_file* file) {
  return *reinterpret_cast<File*>(file);
}

std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// A sector is written or is not; so is the length.
std::string torn(const std::string& before, const std::string& after, std::mt19937_64& draw) {
  std::string now = draw() % 2 == 0 ? before : after;
  for (std::size_t at = 0; at < now.size(); at += kSector) {
    const std::string& from = draw() % 2 == 0 ? before : after;
    for (std::size_t i = at; i < std::min(at + kSector, now.size()); ++i)
      now[i] = i < from.size() ? from[i] : '\0';
  }
  return now;
}

void remember(const std::string& name) {
  if (!g_disk->synced.contains(name)) g_disk->synced[name] = bytes_of(name);
}

int close_file(sqlite3_file* f) {
  const int result = self(f).below->pMethods->xClose(self(f).below);
  sqlite3_free(self(f).below);
  delete self(f).name;
  return result;
}
int read_file(sqlite3_file* f, void* to, int n, sqlite3_int64 at) {
  return self(f).below->pMethods->xRead(self(f).below, to, n, at);
}
int write_file(sqlite3_file* f, const void* from, int n, sqlite3_int64 at) {
  if (self(f).name == nullptr) return self(f).below->pMethods->xWrite(self(f).below, from, n, at);
  if (g_disk->left <= 0) return SQLITE_IOERR_WRITE;
  remember(*self(f).name);
  // The one in whose midst the power fails was begun: it counts as written and not synced.
  const int result = self(f).below->pMethods->xWrite(self(f).below, from, n, at);
  return g_disk->takes() ? result : SQLITE_IOERR_WRITE;
}
int truncate_file(sqlite3_file* f, sqlite3_int64 size) {
  if (self(f).name != nullptr) {
    if (!g_disk->takes()) return SQLITE_IOERR_TRUNCATE;
    remember(*self(f).name);
  }
  return self(f).below->pMethods->xTruncate(self(f).below, size);
}
/// A journal's first sync syncs its folder too (unixSync in SQLite).
int sync_file(sqlite3_file* f, int) {
  if (self(f).name == nullptr) return SQLITE_OK;
  if (!g_disk->takes()) return SQLITE_IOERR_FSYNC;
  g_disk->synced.erase(*self(f).name);
  if (self(f).name->ends_with("-journal")) g_disk->gone.clear();
  return SQLITE_OK;
}
int size_of(sqlite3_file* f, sqlite3_int64* n) {
  return self(f).below->pMethods->xFileSize(self(f).below, n);
}
int lock(sqlite3_file* f, int level) {
  return self(f).below->pMethods->xLock(self(f).below, level);
}
int unlock(sqlite3_file* f, int level) {
  return self(f).below->pMethods->xUnlock(self(f).below, level);
}
int reserved(sqlite3_file* f, int* out) {
  return self(f).below->pMethods->xCheckReservedLock(self(f).below, out);
}
int control(sqlite3_file* f, int what, void* argument) {
  return self(f).below->pMethods->xFileControl(self(f).below, what, argument);
}
int sector(sqlite3_file* f) {
  return self(f).below->pMethods->xSectorSize(self(f).below);
}
int characteristics(sqlite3_file* f) {
  return self(f).below->pMethods->xDeviceCharacteristics(self(f).below);
}

const sqlite3_io_methods kMethods = [] {
  sqlite3_io_methods made{};
  made.iVersion = 1;
  made.xClose = close_file;
  made.xRead = read_file;
  made.xWrite = write_file;
  made.xTruncate = truncate_file;
  made.xSync = sync_file;
  made.xFileSize = size_of;
  made.xLock = lock;
  made.xUnlock = unlock;
  made.xCheckReservedLock = reserved;
  made.xFileControl = control;
  made.xSectorSize = sector;
  made.xDeviceCharacteristics = characteristics;
  return made;
}();

int open_file(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out) {
  File& own = *::new (file) File{};
  auto* below = static_cast<sqlite3_file*>(sqlite3_malloc(g_system->szOsFile));
  std::memset(below, 0, static_cast<std::size_t>(g_system->szOsFile));
  const int result = g_system->xOpen(g_system, name, below, flags, out);
  if (result != SQLITE_OK) {
    sqlite3_free(below);
    return result;
  }
  own.below = below;
  own.name = name == nullptr ? nullptr : new std::string(name);
  own.seen.pMethods = &kMethods;
  return SQLITE_OK;
}

int delete_file(sqlite3_vfs*, const char* name, int sync) {
  if (!g_disk->takes()) return SQLITE_IOERR_DELETE;
  if (fs::exists(name)) g_disk->gone[name] = bytes_of(name);
  g_disk->synced.erase(name);
  if (sync != 0) g_disk->gone.clear();
  return g_system->xDelete(g_system, name, 0);
}

sqlite3_vfs g_vfs{};

}  // namespace

PowerCut::PowerCut(std::uint64_t seed, int after) {
  g_disk = new Disk{std::mt19937_64(seed), after, {}, {}};
  g_system = sqlite3_vfs_find(nullptr);
  g_vfs = *g_system;  // names and the like are the system's
  g_vfs.iVersion = 1;
  g_vfs.zName = "power-cut";
  g_vfs.szOsFile = sizeof(File);
  g_vfs.xOpen = open_file;
  g_vfs.xDelete = delete_file;
  sqlite3_vfs_register(&g_vfs, 1);
}

PowerCut::~PowerCut() {
  sqlite3_vfs_unregister(&g_vfs);
  sqlite3_vfs_register(g_system, 1);
  delete g_disk;
  g_disk = nullptr;
}

bool PowerCut::is_cut() const {
  return g_disk->left <= 0;
}

void PowerCut::settle() {
  for (const auto& [name, content] : g_disk->gone) {
    if (g_disk->draw() % 2 == 0) continue;
    // A newer file of that name is not in the folder yet either.
    std::ofstream(name, std::ios::binary | std::ios::trunc) << content;
    g_disk->synced.erase(name);
  }
  for (const auto& [name, before] : g_disk->synced) {
    if (fs::exists(name)) {
      const std::string now = torn(before, bytes_of(name), g_disk->draw);
      std::ofstream(name, std::ios::binary | std::ios::trunc) << now;
    }
  }
  g_disk->gone.clear();
  g_disk->synced.clear();
}

}  // namespace quarterturn::test
