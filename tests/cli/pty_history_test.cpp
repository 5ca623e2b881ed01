// SPDX-License-Identifier: MIT
// What the arrow keys and the Tab key offer, in a real pseudo-terminal.
#include <doctest/doctest.h>
#include <sys/stat.h>

#include <csignal>
#include <fstream>
#include <iterator>

#include "support/at_dock.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

namespace {

constexpr const char* kUp = "\x1b[A";

std::string content_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("commands are offered in the next run, readings never, not even at their question") {
    const AtDock at;
    {
      Pty pty(at.home);
      pty.expect(kDock);
      begin_check(pty);
      pty.type("22.74\r", "reading 2 of 3 ▸ ");
      pty.type(kUp);
      pty.type("22.73\r", "2: F end 22.73 mm");
      pty.type("later\r", kDock);
      pty.type("log list\r", kDock);
      pty.type(kUp);
      shows(pty, "dock ▸ log list");
      pty.type(kUp);
      shows(pty, "dock ▸ check");
      pty.type("\x03");
      pty.send(SIGTERM);  // kept before anything can end it
      pty.end();
    }
    const std::string path = at.home.path() + "/state/quarterturn/history";
    CHECK(content_of(path) == "check\nlog list\n");
    struct stat found {};
    REQUIRE(::stat(path.c_str(), &found) == 0);
    CHECK((found.st_mode & 0777) == 0600);
    Pty pty(at.home);
    pty.expect(kGoOn);
    pty.type("drop\r", "[no] ▸ ");
    pty.type("yes\r", kDock);
    pty.type(std::string(kUp) + kUp);
    shows(pty, "dock ▸ check");
    pty.type("\r", "How big is the panel ▸ ");
    pty.type(std::string(kUp) + "x");
    shows(pty, "How big is the panel ▸ x");
  }

  TEST_CASE("where nothing can be kept nothing is said of it") {
    const AtDock at;
    at.home.write("file", "");
    Pty pty(at.home, {.environment = {"XDG_STATE_HOME=" + at.home.path() + "/file"}});
    pty.expect(kDock);
    pty.type("units in\r", "Inches");
    pty.type("quit\r");
    CHECK(pty.end() == 0);
    CHECK_FALSE(holds(pty.screen().text(), "history"));
  }

  TEST_CASE("Tab finishes a word, or lists what would do and shows the line again") {
    const AtDock at;
    at.home.write("my readings.csv", "");
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("sur\t");
    shows(pty, "dock ▸ survey");
    CHECK(pty.screen().column() == 14);  // behind a blank
    pty.type("\x15stat\tsh\tdo\t");
    shows(pty, "dock ▸ station show dock");
    pty.type("\x15log e\t");
    pty.until("both words and the line again",
              [](const Screen& screen) { return holds(screen.text(), "event   export\ndock ▸ log e"); });
    pty.type("v\tdock kn\t");
    shows(pty, "dock ▸ log event dock knocked");
    pty.type(
        "\x15"
        "check my\t");
    shows(pty, "dock ▸ check \"my readings.csv\"");
    const int bells = pty.screen().bells();
    pty.type("\x15zzz\t");
    shows(pty, "dock ▸ zzz");
    CHECK(pty.screen().bells() == bells);
    pty.type(
        "\x15"
        "check\r",
        "How big is the panel ▸ ");
    pty.type("la\t");
    shows(pty, "How big is the panel ▸ later");
    pty.type("\r", kDock);
    CHECK(pty.screen().unknown() == "");
  }
}
