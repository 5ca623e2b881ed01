// SPDX-License-Identifier: MIT
/// \file line_source.hpp
/// Where the lines of the prompt come from: a terminal with line editing, or a pipe.
#pragma once

#include <memory>
#include <optional>
#include <string>

namespace quarterturn::cli {

class LineSource {
 public:
  virtual ~LineSource() = default;
  /// Shows the question and gives the next line without its end; nothing at the end of input.
  virtual std::optional<std::string> next(const std::string& question) = 0;
};

/// Line editing when standard input is a terminal whose encoding is UTF-8; else lines as they come, no byte
/// lost. \param unicode  set to whether questions may hold more than ASCII
std::unique_ptr<LineSource> line_source(bool& unicode);

}  // namespace quarterturn::cli
