// SPDX-License-Identifier: MIT
#include "cli/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <string>

#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

/// Below 40 the tables do not fit. Above 110 lines of text are hard to follow from one to the next; a record
/// of years and the readings of a strip are drawn finer up to 200.
constexpr int kNarrowest = 40, kWidest = 110, kWidestWindow = 200;

std::string environment(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? "" : value;
}

}  // namespace

bool environment_is_utf8() {
  std::string locale = environment("LC_ALL");
  if (locale.empty()) locale = environment("LC_CTYPE");
  if (locale.empty()) locale = environment("LANG");
  const std::string small = units::lowered(locale);
  return small.find("utf-8") != std::string::npos || small.find("utf8") != std::string::npos;
}

Terminal look_at_terminal() {
  Terminal terminal;
  terminal.is_terminal = ::isatty(STDOUT_FILENO) == 1;
  terminal.unicode = environment_is_utf8();
  const std::string kind = environment("TERM");
  terminal.color = terminal.is_terminal && environment("NO_COLOR").empty() && !kind.empty() && kind != "dumb";
  winsize size{};
  if (terminal.is_terminal && ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    terminal.width = std::clamp(static_cast<int>(size.ws_col), kNarrowest, kWidest);
    terminal.window = std::clamp(static_cast<int>(size.ws_col), kNarrowest, kWidestWindow);
  }
  return terminal;
}

bool write_all(int descriptor, std::string_view text) {
  while (!text.empty()) {
    const auto written = ::write(descriptor, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

}  // namespace quarterturn::cli
