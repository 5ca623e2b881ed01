// SPDX-License-Identifier: MIT
/// \file prompt_bench.hpp
/// A place to run words and conversations in without leaving anything: a folder of its own that is the
/// working folder, and standard output that goes to memory.
#pragma once

#include <fcntl.h>
#include <stdlib.h>  // mkdtemp is POSIX
#include <sys/mman.h>
#include <unistd.h>

#include <filesystem>
#include <string>

#include "fuzz/support/hold.hpp"

namespace quarterturn::fuzz {

class Bench {
 public:
  static constexpr const char* kLog = "kept.db";  ///< where a log is put, in the folder

  Bench() {
    // In memory where that can be had: a log there is synchronised for nothing.
    const bool shared = ::access("/dev/shm", W_OK | X_OK) == 0;
    const auto above = shared ? std::filesystem::path("/dev/shm") : std::filesystem::temp_directory_path();
    std::string pattern = (above / "quarterturn-fuzz-XXXXXX").string();
    hold(::mkdtemp(pattern.data()) != nullptr && ::chdir(pattern.c_str()) == 0,
         "there is a folder to run in");
    folder_ = pattern;
    memory_ = ::memfd_create("said", 0);
    hold(memory_ >= 0 && ::dup2(memory_, STDOUT_FILENO) >= 0, "standard output goes to memory");
    const int nothing = ::open("/dev/null", O_RDONLY);
    hold(nothing >= 0 && ::dup2(nothing, STDIN_FILENO) >= 0, "there is nothing to read from");
  }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;
  ~Bench() {
    std::error_code ignored;
    std::filesystem::current_path("/", ignored);
    std::filesystem::remove_all(folder_, ignored);
  }

  /// An empty folder, nothing said.
  void clear() const {
    for (const auto& entry : std::filesystem::directory_iterator(folder_))
      std::filesystem::remove_all(entry.path());
    hold(::ftruncate(memory_, 0) == 0 && ::lseek(memory_, 0, SEEK_SET) == 0, "what was said is forgotten");
  }
  [[nodiscard]] std::string said() const {
    const auto size = ::lseek(memory_, 0, SEEK_END);
    std::string text(static_cast<std::size_t>(size), '\0');
    hold(::pread(memory_, text.data(), text.size(), 0) == size, "what was said is there");
    return text;
  }

  /// Paths of a line stay in the folder: a `/` that is not as in dock/3 or 1-3/16 becomes `_`.
  static std::string confined(std::string line) {
    const auto is = [&](std::size_t at, bool letters) {
      const unsigned char c = at < line.size() ? static_cast<unsigned char>(line[at]) : 0;
      return (c >= '0' && c <= '9') || (letters && ((c | 0x20U) >= 'a' && (c | 0x20U) <= 'z'));
    };
    for (std::size_t i = 0; i < line.size(); ++i)
      if (line[i] == '/' && (i == 0 || !is(i - 1, true) || !is(i + 1, false))) line[i] = '_';
    return line;
  }

 private:
  std::string folder_;
  int memory_ = -1;
};

}  // namespace quarterturn::fuzz
