// SPDX-License-Identifier: MIT
// Typing at the prompt, in a real pseudo-terminal: editing, keys that mean nothing, widths, plain terminals.
#include <doctest/doctest.h>

#include <sstream>

#include "report/amounts.hpp"
#include "support/at_dock.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

namespace {

constexpr const char* kLeft = "\x1b[D";
constexpr const char* kDelete = "\x1b[3~";

/// A whole check, its questions answered as they come.
void check_through(Pty& pty, const std::string& mark) {
  pty.expect("dock " + mark);
  pty.type("check\r", "How big is the panel " + mark);
  pty.type("600 600\r", "F end, reading 1 of 3 " + mark);
  const char* const asked[] = {"F end, reading 2",    "F end, reading 3",    "free end, reading 1",
                               "free end, reading 2", "free end, reading 3", "middle [skip]"};
  const char* const typed[] = {"22.74", "22.73", "22.75", "22.14", "22.13", "22.15"};
  for (int i = 0; i < 6; ++i) {
    pty.type(std::string(typed[i]) + "\r", asked[i]);
    pty.expect(mark);
  }
  pty.type("\r", "places " + mark);
  pty.type("525\r", "[yes] " + mark);
  pty.type("\r", "dock " + mark);
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("a line is edited where the cursor stands") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("unis in");
    shows(pty, "dock ▸ unis in");
    for (int i = 0; i < 4; ++i) pty.type(kLeft);
    pty.type("t");
    shows(pty, "dock ▸ units in");
    pty.type("\x01x");  // Ctrl-A: the beginning
    shows(pty, "dock ▸ xunits in");
    pty.type(std::string("\x01") + kDelete);
    shows(pty, "dock ▸ units in");
    pty.type("\x05\x7f\x7f");  // Ctrl-E: the end; Backspace twice
    shows(pty, "dock ▸ units");
    pty.type("mm never");
    pty.type("\x17");  // Ctrl-W: a word away
    shows(pty, "dock ▸ units mm");
    pty.type("\x1b[1;5D\x0b");  // Ctrl-left: a word back; Ctrl-K: the rest away
    shows(pty, "dock ▸ units");
    pty.type(" in\r", "Inches: bare numbers are inches.");
    CHECK(pty.screen().unknown() == "");
    pty.type("quit\r");
    CHECK(pty.end() == 0);
  }

  TEST_CASE("a key without a meaning leaves no digit on the line of a reading, and rings no bell") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    begin_check(pty);
    const int bells = pty.screen().bells();
    // F5, Esc, Page up, the right edge of the mouse, arrow down with nothing below, Ctrl-D at the end of the
    // line.
    pty.type(
        "22\x1b[15~.\x1b"
        "7\x1b[5~\x1b[<0;3;4M\x1b[B\x04"
        "4");
    shows(pty, "F end, reading 1 of 3 ▸ 22.74");
    CHECK(pty.screen().bells() == bells);
    pty.type("\r", "1: F end 22.74 mm");
    pty.type("\x1b[A");  // a reading is never offered again
    pty.type("22.73\r", "2: F end 22.73 mm");
    CHECK(pty.screen().unknown() == "");
  }

  TEST_CASE("at every width each line is broken by the program, none by the window") {
    for (const int columns : {40, 53, 200}) {
      CAPTURE(columns);
      const AtDock at;
      Pty pty(at.home, {.columns = columns});
      check_through(pty, "▸ ");
      CHECK(pty.screen().wraps() == 0);
      // A wide window is no reason for lines that nobody can follow.
      std::istringstream lines(pty.screen().text());
      for (std::string line; std::getline(lines, line);) CHECK(quarterturn::report::columns_of(line) <= 110);
      CHECK(holds(flat(pty.screen().text()), "over 90° by 0.17"));
    }
  }

  TEST_CASE("what is shown next follows the window, and the line in hand is drawn anew") {
    const AtDock at;
    Pty pty(at.home, {.columns = 100});
    pty.expect(kDock);
    const std::string typed = "help of a topic that nobody has heard of";
    pty.type(typed);
    shows(pty, "dock ▸ " + typed);
    pty.resize(60);
    pty.type("!");
    shows(pty, "dock ▸ " + typed + "!");
    pty.type("\x15");
    shows(pty, "dock ▸");
    pty.resize(40);
    const int before = pty.screen().wraps();
    pty.type("help care\r", "nothing.");
    pty.expect(kDock);
    CHECK(pty.screen().wraps() == before);
    // The editor knows the width too: a line longer than the window goes on in the next row.
    pty.type(std::string(45, 'x'));
    shows(pty, std::string(45 - (40 - 7), 'x'));
    pty.type("\x01y");
    pty.until("the first row begins with y",
              [](const Screen& screen) { return screen.line() == "dock ▸ y" + std::string(32, 'x'); });
    pty.resize(100);
    pty.until("the whole line in one row",
              [](const Screen& screen) { return screen.line() == "dock ▸ y" + std::string(45, 'x'); });
    CHECK(pty.screen().unknown() == "");
  }

  TEST_CASE("a terminal that cannot move its cursor is sent no sequence, and does the same") {
    for (const std::string kind : {"TERM=dumb", "TERM=", "TERM=quarterturn-none"}) {
      CAPTURE(kind);
      const AtDock at;
      Pty pty(at.home, {.environment = {kind, "NO_COLOR=1"}});
      check_through(pty, "▸ ");
      pty.type("log e\t\x15quit\r");  // Tab is no key here, Ctrl-U the system's own
      CHECK(pty.end() == 0);
      CHECK(pty.written().find('\x1b') == std::string::npos);
    }
  }

  TEST_CASE("no byte is lost and none beyond ASCII is shown where the locale is C") {
    for (const std::string kind : {"TERM=xterm", "TERM=dumb"}) {
      CAPTURE(kind);
      const AtDock at;
      Pty pty(at.home, {.environment = {kind, "LC_ALL=C", "LANG=C"}});
      check_through(pty, "> ");
      CHECK(pty.written().find_first_of("\xc2\xe2") == std::string::npos);
      pty.type("check\r", "How big is the panel [");
      pty.expect("> ");
      // Half an inch in one character, which a lost byte would leave out: 23 1/2 in is 596.9 mm.
      pty.type("23½ in x 23½ in\r", "panel 596.9 mm x 596.9 mm");
    }
  }

  TEST_CASE("a locale that is not installed is taken for what its name says") {
    const AtDock at;
    Pty pty(at.home, {.environment = {"LC_ALL=xx_YY.UTF-8"}});
    pty.expect(kDock);
    pty.type(std::string("chéck½") + kLeft + "x");
    shows(pty, "dock ▸ chéckx½");
  }

  TEST_CASE("bytes that are no UTF-8 stay on the line, and are answered") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    begin_check(pty);
    pty.type("1\xbd\r", "error");  // 1½ of another encoding must not pass for 1
    pty.expect("reading 1 of 3 ▸ ");
    pty.type("22.74\r", "1: F end 22.74 mm");
  }

  TEST_CASE("colour only where it is wanted, drawings only where they can be seen") {
    const AtDock at;
    Pty coloured(at.home);
    check_through(coloured, "▸ ");
    CHECK(coloured.screen().colours() > 0);
    CHECK(holds(coloured.screen().text(), "┌──"));
    Pty plain_colour(at.home, {.environment = {"NO_COLOR=1"}});
    plain_colour.expect(kDock);
    plain_colour.type("check\r", "panel ");
    plain_colour.type("600 600\r", "F end, reading 1 of 3 ▸ ");
    CHECK(plain_colour.screen().colours() == 0);
    Pty spoken(at.home, {.arguments = {"--plain"}, .columns = 40});
    spoken.expect(kDock);
    spoken.type("check\r", "panel ");
    spoken.type("600 600\r", "F end, reading 1 of 3 ▸ ");
    CHECK_FALSE(holds(spoken.screen().text(), "┌──"));
  }
}
