// SPDX-License-Identifier: MIT
#include "cli/kept_lines.hpp"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "cli/folders.hpp"
#include "cli/terminal.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::size_t kLongestLine = 4096;  ///< longer is no command that is wanted again

bool is_worth_keeping(const std::string& line) {
  const bool blank = units::trimmed(line).empty();
  const bool controls = std::any_of(
      line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) < ' ' || c == '\x7f'; });
  return !blank && !controls && line.size() <= kLongestLine;
}

/// Held while the file is read and written anew. Where a folder cannot be locked the file may lose a line
/// that another prompt keeps in the same moment, and stays whole.
class Locked {
 public:
  explicit Locked(const std::string& folder)
      : folder_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
    if (folder_ >= 0) ::flock(folder_, LOCK_EX);
  }
  ~Locked() {
    if (folder_ >= 0) ::close(folder_);
  }
  Locked(const Locked&) = delete;
  Locked& operator=(const Locked&) = delete;

 private:
  int folder_;
};

}  // namespace

std::string kept_lines_path() {
  const std::string folder = state_folder();
  return folder.empty() ? folder : folder + "/history";
}

std::vector<std::string> KeptLines::read() const {
  std::vector<std::string> lines;
  std::error_code fault;
  if (path_.empty() || !std::filesystem::is_regular_file(path_, fault)) return lines;
  std::ifstream in(path_, std::ios::binary);
  for (std::string line; std::getline(in, line);) {
    if (is_worth_keeping(line)) lines.push_back(line);
  }
  if (lines.size() > kMost) lines.erase(lines.begin(), lines.end() - static_cast<std::ptrdiff_t>(kMost));
  return lines;
}

void KeptLines::add(const std::string& line) {
  const std::string kept(units::trimmed(line));
  if (path_.empty() || !is_worth_keeping(kept) || kept == last_) return;
  fresh_.push_back(kept);
  last_ = kept;
}

void KeptLines::write() {
  if (fresh_.empty()) return;
  std::vector<std::string> mine;
  mine.swap(fresh_);  // what cannot be written now will not be later
  std::error_code fault;
  const std::string folder = std::filesystem::path(path_).parent_path();
  if (!std::filesystem::is_directory(folder, fault)) {
    std::filesystem::create_directories(folder, fault);
    ::chmod(folder.c_str(), 0700);
  }
  const Locked locked(folder);
  auto lines = read();
  lines.insert(lines.end(), mine.begin(), mine.end());
  const std::size_t first = lines.size() > kMost ? lines.size() - kMost : 0;
  std::string text;
  for (std::size_t at = first; at < lines.size(); ++at) text += lines[at] + "\n";
  std::string beside = path_ + ".XXXXXX";
  const int file = ::mkstemp(beside.data());  // mode 0600
  if (file < 0) return;
  const bool whole = write_all(file, text) && ::fsync(file) == 0;  // or a power cut leaves it empty
  const bool closed = ::close(file) == 0;
  if (!whole || !closed || ::rename(beside.c_str(), path_.c_str()) != 0) ::unlink(beside.c_str());
}

}  // namespace quarterturn::cli
