// SPDX-License-Identifier: MIT
/// \file kept_lines.hpp
/// The commands typed at the prompt, kept between runs. A convenience: where it cannot be read or written
/// there is none, and nothing is said. Answers and readings never come here.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::cli {

class KeptLines {
 public:
  static constexpr std::size_t kMost = 500;

  /// \param path  empty: nothing is kept
  explicit KeptLines(std::string path) : path_(std::move(path)) {}
  ~KeptLines() { write(); }
  KeptLines(const KeptLines&) = delete;
  KeptLines& operator=(const KeptLines&) = delete;

  /// The oldest first.
  [[nodiscard]] std::vector<std::string> read() const;
  /// One more, written by `write`. Blank lines, those with control characters, and the last one again are not
  /// kept.
  void add(const std::string& line);
  /// Adds to what stands in the file by now, so that two prompts keep the lines of both. Written beside and
  /// renamed: whoever reads sees the old file or the new one.
  void write();

 private:
  std::string path_;
  std::vector<std::string> fresh_;
  std::string last_;
};

/// $XDG_STATE_HOME/quarterturn/history, else ~/.local/state/quarterturn/history; empty without a home.
std::string kept_lines_path();

}  // namespace quarterturn::cli
