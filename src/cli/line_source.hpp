// SPDX-License-Identifier: MIT
/// \file line_source.hpp
/// Where the lines of the prompt come from: a terminal with line editing, one without, or a pipe.
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "cli/completion.hpp"

namespace quarterturn::cli {

/// Thrown in place of a line: Ctrl-C, what was typed is gone.
struct LineDropped {
  bool was_empty;
};

/// What the next line is to be.
struct Expected {
  bool command = false;  ///< kept for the arrow keys, which offer the commands before it; an answer never is
  std::function<Completion(std::string_view text, std::size_t cursor)> complete;  ///< may be empty
};

class LineSource {
 public:
  virtual ~LineSource() = default;
  /// Tells what the next line is for. Who does not edit lines need not know.
  virtual void expect(Expected) {}  // NOLINT(performance-unnecessary-value-param): who edits lines keeps it
  /// Shows the question and gives the next line without its end; nothing at the end of input.
  /// \throws LineDropped at a terminal
  virtual std::optional<std::string> next(const std::string& question) = 0;
  /// Whether the end of input was the key Ctrl-D, after which there may be more.
  [[nodiscard]] virtual bool end_was_typed() const { return false; }
};

/// Line editing when standard input is a terminal that can do it; else lines as they come, no byte lost.
/// \param unicode  set to whether questions may hold more than ASCII
std::unique_ptr<LineSource> line_source(bool& unicode);

}  // namespace quarterturn::cli
