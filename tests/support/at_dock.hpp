// SPDX-License-Identifier: MIT
/// \file at_dock.hpp
/// The station `dock`, and the prompt opened there in a pseudo-terminal.
#pragma once

#include <ctime>
#include <string>

#include "files/dates.hpp"
#include "support/pty.hpp"

namespace quarterturn::test {

inline constexpr const char* kDock = "dock \u25b8 ";
/// What is unfinished is offered.
inline constexpr const char* kGoOn = "[go on with it] \u25b8 ";

struct AtDock {
  Home home;
  AtDock() { run_program(home, {"station", "add", QUARTERTURN_ROOT "/examples/stations/dock.json"}); }
};

/// A day so long ago: what a search makes of the time between does not hang on the day of the test.
inline std::string days_ago(int days) {
  return files::day_text(std::time(nullptr) - days * 86400LL);
}

/// The dock, found square a hundred days ago; kept in its log. The figures are invented.
inline void keep_good_check(const Home& home) {
  const std::string good = home.write(
      "good.csv",
      "# station: dock\n# setup: crosscut\n# date: " + days_ago(100) +
          "\n# test: five-cut\n# caliper: digital\n# panel-size: 600 x 600\n"
          "panel,from_cut,to_cut,position,width\n1,1,5,0,22.31 22.30 22.31\n1,1,5,525,22.30 22.30 22.31\n");
  run_program(home, {"check", good, "--save"});
}

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
