// SPDX-License-Identifier: MIT
/// The screens of the two journeys, as a person at a terminal sees them, kept in tests/cases/screens and
/// compared. Days and times are left out, and where lines are broken, since that hangs on the length of a
/// day's name. After a change that is meant: QUARTERTURN_KEEP_SCREENS=1 writes them anew; read them before
/// they are kept. The figures are invented.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <regex>
#include <sstream>

#include "support/at_dock.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

namespace {

const std::string kMark = "▸";

std::string without_days(std::string text) {
  static const std::regex iso("20[0-9]{2}-[0-9]{2}-[0-9]{2}"),
      named(
          "[0-9]{1,2}\\s+(January|February|March|April|May|June|July|August|September|October|November|"
          "December)(\\s+20[0-9]{2})?"),
      ago("[0-9]+\\s+days\\s+ago"), clock("[0-9]{2}:[0-9]{2}");
  for (const auto* pattern : {&iso, &named, &ago, &clock}) text = std::regex_replace(text, *pattern, "DAY");
  return text;
}

std::string words(const std::string& text) {
  std::istringstream in(without_days(text));
  std::string all, word;
  while (in >> word) all += word + "\n";
  return all;
}

/// Types each line once the question before it stands there.
std::string screen_of(const Home& home, const std::vector<std::string>& lines, int columns = 80) {
  Pty pty(home, {.columns = columns});
  pty.expect(kMark);
  for (const auto& line : lines) {
    const auto before = count_of(pty.screen().text(), kMark);
    pty.type(line + "\r");
    pty.until("the question behind '" + line + "'",
              [&](const Screen& screen) { return count_of(screen.text(), kMark) > before; });
  }
  pty.type("quit\r");
  CHECK(pty.end() == 0);
  CHECK(pty.screen().wraps() == 0);
  CHECK(pty.screen().unknown().empty());
  return pty.screen().text();
}

void hold_to(const std::string& name, const std::string& screen) {
  const std::string path = QUARTERTURN_ROOT "/tests/cases/screens/" + name + ".screen";
  if (std::getenv("QUARTERTURN_KEEP_SCREENS") != nullptr) std::ofstream(path) << without_days(screen) << "\n";
  std::ifstream in(path);
  const std::string kept{std::istreambuf_iterator<char>(in), {}};
  REQUIRE_FALSE(kept.empty());
  const std::string now = words(screen), then = words(kept);
  const auto differ = static_cast<std::size_t>(
      std::mismatch(now.begin(), now.end(), then.begin(), then.end()).first - now.begin());
  const std::size_t from = differ > 200 ? differ - 200 : 0;
  const bool same = now == then;
  CHECK_MESSAGE(same, "from here on: ", flat(now.substr(from, 400)),
                "\nkept: ", flat(then.substr(from, 400)));
}

const std::vector<std::string> kDock600{
    "dock", "", "", "9 11", "E2", "E10", "right", "A9", "D9", "", "", "", "", "", "foil tape 8 layers 0.56"};

std::vector<std::string> operator+(std::vector<std::string> a, const std::vector<std::string>& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("the screen of a new table: described, checked, corrected, checked until within") {
    const Home home;
    hold_to("new-table", screen_of(home, kDock600 + std::vector<std::string>{"check",
                                                                             "600 600",
                                                                             "22.74",
                                                                             "22.73 22.75",
                                                                             "22.14 22.13 22.25",
                                                                             "",
                                                                             "redo 6",
                                                                             "22.15",
                                                                             "525",
                                                                             "",
                                                                             "correct",
                                                                             "0",
                                                                             "1400",
                                                                             "done",
                                                                             "check",
                                                                             "",
                                                                             "22.31 22.30 22.31",
                                                                             "22.28 22.28 22.29",
                                                                             "",
                                                                             "456",
                                                                             "",
                                                                             "why",
                                                                             "more",
                                                                             "22.30 22.31 22.30",
                                                                             "22.29 22.29 22.29",
                                                                             "",
                                                                             "",
                                                                             "",
                                                                             "22.31 22.30 22.31",
                                                                             "22.29 22.30 22.29",
                                                                             "",
                                                                             "",
                                                                             ""}));
  }

  TEST_CASE("the screen of something that went wrong: found, put right, proved") {
    const AtDock at;
    keep_good_check(at.home);
    hold_to("something-off", screen_of(at.home, {"check",
                                                 "600 600",
                                                 "22.71 22.70 22.71",
                                                 "22.11 22.11 22.12",
                                                 "",
                                                 "525",
                                                 "",
                                                 "find",
                                                 "k",
                                                 "",
                                                 "yes",
                                                 "0.20",
                                                 "no",
                                                 "",
                                                 "now",
                                                 "600 600",
                                                 "21.06 21.05 21.06",
                                                 "21.04 21.04 21.05",
                                                 "",
                                                 "",
                                                 "",
                                                 "",
                                                 "history"}));
  }

  TEST_CASE("the screen of a wide window: the record and a strip over 200 columns") {
    const AtDock at;
    keep_good_check(at.home);
    const std::string second =
        at.home.write("second.csv", "# station: dock\n# setup: crosscut\n# date: " + days_ago(10) +
                                        "\n# test: five-cut\n# caliper: digital\n# panel-size: 600 x 600\n"
                                        "panel,from_cut,to_cut,position,width\n1,1,5,0,22.71 22.70 22.71\n"
                                        "1,1,5,300,22.45 22.44 22.45\n1,1,5,525,22.11 22.11 22.12\n");
    run_program(at.home, {"check", second, "--save"});
    hold_to("wide-window", screen_of(at.home, {"history", "check second.csv"}, 200));
  }
}
