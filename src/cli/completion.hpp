// SPDX-License-Identifier: MIT
/// \file completion.hpp
/// What may stand where the cursor is: of the table of words and options, and of what the person has. Knows
/// no terminal.
///
/// In       a line as far as it is typed, the cursor in it, what the line is for
/// Out      the words that begin as the one under the cursor does, and where that one begins
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::cli {

/// Things that the table of words only names a kind of.
enum class Known { station, setup, dog, hole, shim, caliper, check, file };

struct CompletionContext {
  bool command = false;              ///< else an answer
  std::vector<std::string> answers;  ///< words that the question takes, besides those understood everywhere
  /// Those of a kind; it may leave out what does not begin so. Files: paths, folders with a `/` at their end.
  std::function<std::vector<std::string>(Known, const std::string& beginning)> known;
};

struct Completion {
  std::size_t from = 0;                 ///< where the word begins, in bytes
  std::vector<std::string> candidates;  ///< in its place, quoted where they hold a blank; sorted, each once
};

/// \param cursor  in bytes; what stands behind it plays no part
Completion completed(std::string_view text, std::size_t cursor, const CompletionContext& context);

/// What all of them begin with.
std::string common_beginning(const std::vector<std::string>& candidates);

}  // namespace quarterturn::cli
