// SPDX-License-Identifier: MIT
// Ways out of a line, a question and the program, in a real pseudo-terminal; the terminal is left as it was
// found.
#include <doctest/doctest.h>

#include <csignal>

#include "support/at_dock.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

namespace {

bool as_found(const Pty& pty) {
  constexpr tcflag_t kUsual = ECHO | ICANON | ISIG;
  return (pty.settings().c_lflag & kUsual) == kUsual && (pty.settings().c_iflag & ICRNL) != 0;
}

/// A check of two readings so far.
void measure_two(Pty& pty) {
  pty.expect(kDock);
  begin_check(pty);
  pty.type("22.74\r", "reading 2 of 3 ▸ ");
  pty.type("22.73\r", "reading 3 of 3 ▸ ");
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("Ctrl-C drops what is typed, asks again, and tells once how to leave") {
    for (const std::string kind : {"TERM=xterm", "TERM=dumb"}) {
      CAPTURE(kind);
      const AtDock at;
      Pty pty(at.home, {.environment = {kind}});
      measure_two(pty);
      pty.type("22.99\x03", "^C");
      pty.expect("F end, reading 3 of 3 ▸ ");
      pty.type("\x03", "^C");
      pty.expect("F end, reading 3 of 3 ▸ ");
      pty.type("\x03", "^C");
      pty.expect("F end, reading 3 of 3 ▸ ");
      pty.type("22.75\r", "3: F end 22.75 mm");
      CHECK_FALSE(holds(pty.screen().text(), "22.99 mm"));
      CHECK(count_of(pty.screen().text(), "'later' leaves this question") == 1);
    }
  }

  TEST_CASE("Ctrl-C held down at a question does not end the program") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    // Each comes just behind the last one's answer, when no line is being edited.
    for (int i = 0; i < 200; ++i) pty.type("\x03", "^C");
    pty.send(SIGINT);
    pty.expect("^C");
    pty.expect(kDock);
    pty.type("units in\r", "Inches");
    pty.type("quit\r");
    CHECK(pty.end() == 0);
    CHECK(as_found(pty));
  }

  TEST_CASE("Ctrl-C ends a computation, and the program with it") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    // A strip of ten thousand places takes many seconds.
    std::string rows =
        "# station: dock\n# test: five-cut\n# caliper: digital\npanel,from_cut,to_cut,position,width\n";
    for (int place = 0; place < 10'000; ++place)
      rows += "1,1,5," + std::to_string(place * 0.05) + (place % 3 == 0 ? ",22.74\n" : ",22.75\n");
    pty.type("check " + at.home.write("long.csv", rows) + "\r", "long.csv\r\n");
    CHECK(pty.type_until_end("\x03") == 128 + SIGINT);
    CHECK(as_found(pty));
  }

  TEST_CASE("Ctrl-D leaves the program at its prompt") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    CHECK_FALSE(as_found(pty));  // or else the checks for it prove nothing
    pty.type("\x04");
    CHECK(pty.end() == 0);
    CHECK(as_found(pty));
    CHECK(pty.screen().column() == 0);
  }

  TEST_CASE("Ctrl-D at a question asks; twice it leaves, and the readings are there the next time") {
    for (const std::string kind : {"TERM=xterm", "TERM=dumb"}) {
      CAPTURE(kind);
      const AtDock at;
      Pty pty(at.home, {.environment = {kind}});
      measure_two(pty);
      pty.type("\x04", "What was typed is kept. Quit all the same? [no] ▸ ");
      pty.type("\r", "reading 3 of 3 ▸ ");
      pty.type("22.75\r", "3: F end 22.75 mm");
      pty.type("\x04", "What was typed is kept. Quit all the same? [no] ▸ ");
      pty.type("\x04");
      CHECK(pty.end() == 0);
      CHECK(as_found(pty));
      Pty next(at.home, {.environment = {kind}});
      next.expect(kGoOn);
      next.type("\r", "free end, reading 1 of 3 ▸ ");
    }
  }

  TEST_CASE("Ctrl-D at a question without readings asks too") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("check\r", "How big is the panel ▸ ");
    pty.type("\x04", "Quit all the same? [no] ▸ ");
    pty.type("no\r", "How big is the panel ▸ ");
    pty.type("\x04", "Quit all the same? [no] ▸ ");
    pty.type("yes\r");
    CHECK(pty.end() == 0);
  }

  TEST_CASE("a terminal that goes away ends the program") {
    for (const std::string kind : {"TERM=xterm", "TERM=dumb"}) {
      for (const bool ignores : {false, true}) {
        CAPTURE(kind);
        CAPTURE(ignores);
        const AtDock at;
        Pty pty(at.home, {.environment = {kind}, .ignores_hang_up = ignores});
        measure_two(pty);
        pty.hang_up();
        const int status = pty.end();
        // Told by the signal, or, where that is not heeded, by the end of input.
        CHECK(status != 127);
        CHECK((ignores ? status < 128 : status == 128 + SIGHUP));
      }
    }
  }

  TEST_CASE("ended from outside the program leaves the terminal as it was") {
    for (const int number : {SIGTERM, SIGHUP, SIGQUIT}) {
      CAPTURE(number);
      const AtDock at;
      Pty pty(at.home);
      measure_two(pty);
      CHECK_FALSE(as_found(pty));
      pty.send(number);
      CHECK(pty.end() == 128 + number);
      CHECK(as_found(pty));
    }
  }

  TEST_CASE("stopped, the terminal is the shell's; resumed, the line stands again") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("units i");
    shows(pty, "dock ▸ units i");
    pty.send(SIGSTOP);  // the group has no shell that could stop it by key
    pty.send(SIGCONT);
    pty.type("n\r", "Inches");
  }
}
