// SPDX-License-Identifier: MIT
/// \file at_dock.hpp
/// The station `dock`, and the prompt opened there in a pseudo-terminal.
#pragma once

#include <string>

#include "support/pty.hpp"

namespace quarterturn::test {

inline constexpr const char* kDock = "dock \u25b8 ";
/// What is unfinished is offered.
inline constexpr const char* kGoOn = "[go on with it] \u25b8 ";

struct AtDock {
  Home home;
  AtDock() { run_program(home, {"station", "add", QUARTERTURN_ROOT "/examples/stations/dock.json"}); }
};

/// On to the first reading of a five-cut.
inline void begin_check(Pty& pty) {
  pty.type("check\r", "How big is the panel \u25b8 ");
  pty.type("600 600\r", "reading 1 of 3 \u25b8 ");
}

/// The line of the cursor as it stands now, once it is so.
inline void shows(Pty& pty, const std::string& line) {
  pty.until("the line '" + line + "'", [&](const Screen& screen) { return screen.line() == line; });
}

}  // namespace quarterturn::test
