// SPDX-License-Identifier: MIT
/// \file progress.hpp
/// A line on standard error that says how far a long work has come.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>

#include "cli/terminal.hpp"

namespace quarterturn::cli {

/// Silent unless standard error is a terminal and the work takes more than a second.
class Progress {
 public:
  Progress(const Terminal& terminal, std::string what, std::size_t total);
  void show(std::size_t done);
  /// Takes the line away.
  void end();

 private:
  bool shown_ = false, visible_;
  int width_;
  std::string what_;
  std::size_t total_;
  std::chrono::steady_clock::time_point start_, last_;
};

}  // namespace quarterturn::cli
