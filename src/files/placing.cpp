// SPDX-License-Identifier: MIT
#include "files/placing.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <vector>

#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::files {
namespace {

namespace fs = std::filesystem;
constexpr int kMostLinks = 40;  // one after another, as the system counts them

[[noreturn]] void trouble(const std::string& what, const std::string& path, int error) {
  throw FileTrouble{what + " '" + units::inert(path, 4096) + "': " + std::generic_category().message(error)};
}

bool is_there(const std::string& path) {
  struct stat status {};
  return ::lstat(path.c_str(), &status) == 0;
}

/// 0, or what stands in the way.
int rename_if_free(const std::string& from, const std::string& to) {
#ifdef RENAME_NOREPLACE
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
  if (errno != EINVAL && errno != ENOSYS) return errno;
#endif
  if (::link(from.c_str(), to.c_str()) == 0) return ::unlink(from.c_str()) == 0 ? 0 : errno;
  if (errno == EEXIST) return errno;
  // A file system without either, such as a stick's: nobody else may come in between.
  if (is_there(to)) return EEXIST;
  return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
}

}  // namespace

void make_folders(const std::string& folder) {
  std::vector<fs::path> missing;
  std::error_code error;
  for (fs::path at = folder; !at.empty() && !fs::exists(at, error); at = at.parent_path()) {
    missing.push_back(at);
    if (at == at.parent_path()) break;
  }
  fs::create_directories(folder, error);
  if (error || !fs::is_directory(folder))
    trouble("cannot make the folder", folder, error ? error.value() : ENOTDIR);
  for (const auto& made : missing) sync_folder_of(made.string());
}

void sync_folder_of(const std::string& path) {
  const std::string folder = fs::path(path).parent_path().string();
  const int fd = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;
  (void)::fsync(fd);
  ::close(fd);
}

std::string behind_links(const std::string& path) {
  fs::path at = path;
  std::error_code error;
  for (int n = 0; n < kMostLinks && fs::is_symlink(fs::symlink_status(at, error)); ++n) {
    const fs::path target = fs::read_symlink(at, error);
    if (error) break;
    at = target.is_absolute() ? target : at.parent_path() / target;
  }
  return at.string();
}

std::string name_beside(const std::string& path) {
  for (int n = 0;; ++n) {
    std::string name = path + ".new-" + std::to_string(::getpid()) + "-" + std::to_string(n);
    if (!is_there(name)) return name;
  }
}

bool place_new(const std::string& from, const std::string& to) {
  const int error = rename_if_free(from, to);
  if (error == EEXIST) return false;
  if (error != 0) trouble("cannot write", to, error);
  sync_folder_of(to);
  return true;
}

void place_over(const std::string& from, const std::string& to) {
  if (::rename(from.c_str(), to.c_str()) != 0) trouble("cannot write", to, errno);
  sync_folder_of(to);
}

}  // namespace quarterturn::files
