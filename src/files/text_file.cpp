// SPDX-License-Identifier: MIT
#include "files/text_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <string_view>
#include <system_error>
#include <utility>

#include "files/placing.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;
using units::Place;

namespace {

constexpr std::size_t kChunk = 64u << 10;

/// An open file that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int fd, bool ours = true) : fd_(fd), ours_(ours) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (ours_ && fd_ >= 0) ::close(fd_);
  }
  [[nodiscard]] int get() const { return fd_; }
  /// Closes now, so that an error of the last write is seen.
  [[nodiscard]] bool close() {
    const int fd = std::exchange(fd_, -1);
    return ::close(fd) == 0;
  }

 private:
  int fd_;
  bool ours_;
};

[[noreturn]] void trouble(const std::string& verb, const std::string& path, int error) {
  throw FileTrouble{"cannot " + verb + " '" + units::inert(path, 4096) +
                    "': " + std::generic_category().message(error)};
}

[[noreturn]] void too_large(const std::string& source) {
  throw InputError("file", "more than 64 MB", "a text of a size that a person wrote", {source, 0, 0},
                   "is this the readings file?");
}

std::string read_all(int fd, const std::string& path, std::size_t expected) {
  // One byte more than the file has, so that its end shows without asking for more memory.
  std::string bytes(expected > 0 ? expected + 1 : kChunk, '\0');
  std::size_t used = 0;
  for (;;) {
    if (used == bytes.size()) bytes.resize(used + std::max(kChunk, used / 2));
    const ssize_t got = ::read(fd, bytes.data() + used, bytes.size() - used);
    if (got < 0) {
      if (errno == EINTR) continue;
      if (fd == STDIN_FILENO && (errno == EISDIR || errno == EBADF))
        throw FileTrouble{"standard input is closed, and was to be read. Hint: name a file"};
      trouble("read", path, errno);
    }
    used += static_cast<std::size_t>(got);
    if (used > kMostBytes) too_large(path);
    if (got == 0) break;
  }
  bytes.resize(used);
  return bytes;
}

Place place_of(const std::string& bytes, std::size_t at, const std::string& source) {
  const std::string_view before = std::string_view(bytes).substr(0, at);
  const auto lines = std::ranges::count(before, '\n');
  const std::size_t start = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
  return {source, static_cast<int>(lines) + 1, static_cast<int>(units::characters(before.substr(start))) + 1};
}

/// UTF-16 and UTF-32 with their mark, or without: every other byte of the beginning is NUL.
bool looks_wide(std::string_view bytes) {
  if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) return true;
  const std::string_view head = bytes.substr(0, 64);
  if (head.size() < 4) return false;
  std::size_t nul[2] = {0, 0};
  for (std::size_t i = 0; i < head.size(); ++i) {
    if (head[i] == '\0') ++nul[i % 2];
  }
  const std::size_t half = head.size() / 2;
  return (nul[0] >= half - 1 && nul[1] == 0) || (nul[1] >= half - 1 && nul[0] == 0);
}

/// First byte that is no part of well-formed UTF-8; npos when there is none.
std::size_t first_bad_byte(std::string_view bytes) {
  for (std::size_t i = 0; i < bytes.size();) {
    if (static_cast<unsigned char>(bytes[i]) < 0x80u) {
      ++i;
      continue;
    }
    const std::size_t n = units::utf8_length(bytes.substr(i, 4));
    if (n == 0) return i;
    i += n;
  }
  return std::string_view::npos;
}

/// Makes a file beside `path` that nothing else has; its permissions follow the umask as any new file's.
std::pair<int, std::string> make_beside(const std::string& path) {
  for (int n = 0; n < 100; ++n) {
    std::string name = path + ".new-" + std::to_string(::getpid()) + "-" + std::to_string(n);
    const int fd = ::open(name.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd >= 0) return {fd, std::move(name)};
    if (errno != EEXIST) trouble("write", path, errno);
  }
  trouble("write", path, EEXIST);
}

bool write_all(int fd, std::string_view content) {
  while (!content.empty()) {
    const ssize_t put = ::write(fd, content.data(), content.size());
    if (put < 0) {
      if (errno == EINTR) continue;
      return false;
    }
    content.remove_prefix(static_cast<std::size_t>(put));
  }
  return true;
}

}  // namespace

Text read_text(const std::string& path) {
  if (path == "-") return text_of(read_all(STDIN_FILENO, "<stdin>", kChunk), "<stdin>");
  const Descriptor fd(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (fd.get() < 0) trouble("read", path, errno);
  struct stat about {};
  if (::fstat(fd.get(), &about) != 0) trouble("read", path, errno);
  if (S_ISDIR(about.st_mode))
    throw InputError("file", "a directory", "a file of readings or a station", {path, 0, 0},
                     "name a file in it");
  std::size_t expected = kChunk;
  if (S_ISREG(about.st_mode)) {
    expected = static_cast<std::size_t>(about.st_size);
    if (expected > kMostBytes) too_large(path);
  }
  return text_of(read_all(fd.get(), path, expected), path);
}

Text text_of(std::string bytes, std::string source) {
  if (bytes.size() > kMostBytes) too_large(source);
  if (looks_wide(bytes)) {
    throw InputError("file", "UTF-16", "text in UTF-8", {source, 0, 0},
                     "save it again as 'CSV UTF-8' or with the encoding UTF-8");
  }
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.erase(0, 3);
  if (bytes.find_first_not_of(" \t\r\n") == std::string::npos) {
    throw InputError("file", "", "a text with readings or a station in it", {source, 0, 0}, "was it saved?");
  }
  if (const std::size_t at = bytes.find('\0'); at != std::string::npos) {
    throw InputError("character", "NUL", "text without NUL bytes", place_of(bytes, at, source),
                     "the file is no text, or was damaged");
  }
  if (const std::size_t at = first_bad_byte(bytes); at != std::string_view::npos) {
    throw InputError("character", bytes.substr(at, 1), "text in UTF-8", place_of(bytes, at, source),
                     "save the file again with the encoding UTF-8");
  }
  return {std::move(bytes), std::move(source)};
}

void write_text(const std::string& path, const std::string& content) {
  struct stat about {};
  const bool exists = ::stat(path.c_str(), &about) == 0;
  if (exists && S_ISDIR(about.st_mode)) trouble("write", path, EISDIR);
  if (exists && !S_ISREG(about.st_mode)) {
    Descriptor fd(::open(path.c_str(), O_WRONLY | O_CLOEXEC));
    if (fd.get() < 0 || !write_all(fd.get(), content) || !fd.close()) trouble("write", path, errno);
    return;
  }
  std::error_code ignored;
  const std::string target = exists ? std::filesystem::canonical(path, ignored).string() : path;
  const std::string& place = target.empty() ? path : target;
  auto [raw, name] = make_beside(place);
  Descriptor fd(raw);
  const bool kept = !exists || ::fchmod(fd.get(), about.st_mode & 07777u) == 0;
  if (!kept || !write_all(fd.get(), content) || ::fsync(fd.get()) != 0 || !fd.close() ||
      ::rename(name.c_str(), place.c_str()) != 0) {
    const int error = errno;
    ::unlink(name.c_str());
    trouble("write", path, error);
  }
  sync_folder_of(place);
}

}  // namespace quarterturn::files
