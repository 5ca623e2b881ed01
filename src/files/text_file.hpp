// SPDX-License-Identifier: MIT
/// \file text_file.hpp
/// A whole text file or stream, held to what a text can be.
#pragma once

#include <cstddef>
#include <string>

namespace quarterturn::files {

inline constexpr std::size_t kMostBytes = 64u << 20;

/// Trouble with the file itself (not its content): missing, no permission, not readable. Exit status 4.
struct FileTrouble {
  std::string message;
};

struct Text {
  std::string content;  ///< UTF-8, BOM taken off
  std::string source;   ///< for messages
};

/// Reads `path`; `-` is standard input. A pipe or device is read like `-`.
/// \throws FileTrouble when it cannot be opened or read;
///         units::InputError when it is a directory, empty, UTF-16, not UTF-8, has NUL bytes, or is above
///         kMostBytes
Text read_text(const std::string& path);

/// The same checks on bytes at hand.
Text text_of(std::string bytes, std::string source);

/// Writes beside the target, syncs, renames: whoever reads it sees the old content or the new, never half of
/// it. Keeps the permissions of what it replaces; writes through a symbolic link. What is no ordinary file (a
/// pipe, a terminal) is written to directly. \throws FileTrouble
void write_text(const std::string& path, const std::string& content);

}  // namespace quarterturn::files
