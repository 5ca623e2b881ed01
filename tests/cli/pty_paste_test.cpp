// SPDX-License-Identifier: MIT
// A caliper that types without a pause, and pasted lists: nothing is lost, nothing comes twice, each line is
// shown where it was asked for.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <sstream>

#include "support/at_dock.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

TEST_SUITE("terminal") {
  TEST_CASE("two hundred readings without a pause are taken one by one") {
    for (const std::string end : {"\r", "\n", "\r\n"}) {
      CAPTURE(end.size());
      const AtDock at;
      Pty pty(at.home);
      pty.expect(kDock);
      begin_check(pty);
      std::string typed;
      for (int i = 1; i <= 200; ++i) typed += fmt::format("22.{:03}{}undo{}", i, end, end);
      pty.type(typed + "22.5" + end, "1: F end 22.50 mm");
      const std::string text = pty.screen().text();
      // What is typed stands behind its question, and only there.
      for (int i = 1; i <= 200; ++i)
        CHECK(count_of(text, fmt::format("F end, reading 1 of 3 ▸ 22.{:03}\n  1: F end", i)) == 1);
      CHECK(count_of(text, "reading 1 of 3 ▸ undo") == 0);
      CHECK(count_of(text, "reading 2 of 3 ▸ undo") == 200);
      CHECK(count_of(text, "undo") == 200);
      CHECK(pty.screen().unknown() == "");
    }
  }

  TEST_CASE("five thousand pasted lines come whole and in order, and fill no history beyond its size") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    std::string typed;
    for (int i = 0; i < 5000; ++i) typed += fmt::format("w{:04}\r", i);
    pty.type(typed + "units in\r", "Inches");
    std::istringstream lines(pty.screen().text());
    int next = 0, told = 0;
    for (std::string line; std::getline(lines, line);) {
      if (line == fmt::format("dock ▸ w{:04}", next)) ++next;
      if (line.find(fmt::format("'w{:04}' is not known", told)) != std::string::npos) ++told;
    }
    CHECK(next == 5000);
    CHECK(told == 5000);
    CHECK(count_of(pty.screen().text(), "▸ w") == 5000);
  }

  TEST_CASE("what is typed while the program computes is shown once, at its question") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("check " QUARTERTURN_ROOT "/examples/readings/dock-long.csv --simulate\r", "--simulate\r\n");
    pty.type("units in\r", "Inches");
    CHECK(count_of(pty.screen().text(), "units in") == 1);
    CHECK(count_of(pty.screen().text(), "dock ▸ units in") == 1);
  }

  TEST_CASE("a line far longer than the window, and than the system's own line, is taken whole") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("log note dock \"" + std::string(6000, 'n') + "\"\r", "noted.");
    const auto log = run_program(at.home, {"log", "export"}).out;
    CHECK(holds(log, std::string(6000, 'n')));
    CHECK_FALSE(holds(log, std::string(6001, 'n')));
  }

  TEST_CASE("a tab in a pasted row of readings parts them") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    begin_check(pty);
    pty.type("\t22.74\t\t22.73\r", "2: F end 22.73 mm");
    CHECK(holds(pty.screen().text(), "1: F end 22.74 mm"));
    CHECK_FALSE(holds(pty.screen().text(), "quiet"));  // no list of words that might stand there
    // One by one, as from a device that ends its readings with a tab.
    pty.type("22.75\t");
    pty.until("a blank behind the reading", [](const Screen& screen) { return screen.column() == 30; });
    pty.type("22.14\r", "4: free end 22.14 mm");
  }
}
