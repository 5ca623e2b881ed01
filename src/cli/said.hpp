// SPDX-License-Identifier: MIT
/// \file said.hpp
/// What a command leaves behind, and the fault of using it wrongly.
#pragma once

#include <stdexcept>
#include <string>

#include "cli/exit_status.hpp"

namespace quarterturn::cli {

/// Text for the two streams and the exit status. Commands print nothing themselves, so that prompt and
/// command line share them.
struct Said {
  std::string out, err;
  int status = kComputed;
};

/// The command was used wrongly: exit status 2.
class UsageError : public std::runtime_error {
 public:
  explicit UsageError(const std::string& message) : std::runtime_error(message) {}
};

/// Standard output cannot be written any more: a conversation ends.
struct OutputGone {};

/// The words for whatever a command threw, with its exit status. Call it inside a catch block.
Said said_of_current_exception();

}  // namespace quarterturn::cli
