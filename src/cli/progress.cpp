// SPDX-License-Identifier: MIT
#include "cli/progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>

namespace quarterturn::cli {
namespace {

constexpr auto kQuiet = std::chrono::seconds(1);
constexpr auto kBetween = std::chrono::milliseconds(100);

}  // namespace

Progress::Progress(const Terminal& terminal, std::string what, std::size_t total)
    : visible_(::isatty(STDERR_FILENO) == 1),
      width_(std::clamp(terminal.width - 30, 10, 40)),
      what_(std::move(what)),
      total_(std::max<std::size_t>(total, 1)),
      start_(std::chrono::steady_clock::now()),
      last_(start_) {}

void Progress::show(std::size_t done) {
  if (!visible_) return;
  const auto now = std::chrono::steady_clock::now();
  if (now - start_ < kQuiet || now - last_ < kBetween) return;
  last_ = now;
  shown_ = true;
  const auto full = static_cast<int>(done * static_cast<std::size_t>(width_) / total_);
  write_all(STDERR_FILENO,
            fmt::format("\r[{}{}] {} of {} {}", std::string(static_cast<std::size_t>(full), '#'),
                        std::string(static_cast<std::size_t>(width_ - full), '.'), done, total_, what_));
}

void Progress::end() {
  if (shown_) write_all(STDERR_FILENO, "\r\x1b[K");
  shown_ = false;
}

}  // namespace quarterturn::cli
