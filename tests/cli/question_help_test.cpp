// SPDX-License-Identifier: MIT
/// `help` and `?` while a question is open: what it wants is told, and nothing is answered by it. The figures
/// are invented.
#include <doctest/doctest.h>

#include "cli/dialogue.hpp"
#include "cli/question_help.hpp"
#include "support/add_dock.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using test::add_dock;
using test::count_of;
using test::flat;
using test::holds;
using test::Home;
using test::run_program;

namespace {

constexpr const char* kCommon = "undo goes back, later leaves, quit ends.";

/// A `?` before each line but the first: the words of a conversation.
std::string with_help(const std::string& talk) {
  std::string lines;
  for (std::size_t at = 0; at < talk.size();) {
    const auto end = talk.find('\n', at);
    lines += (at > 0 ? "?\n" : "") + talk.substr(at, end - at + 1);
    at = end + 1;
  }
  return lines;
}

/// Each question of `talk` is told of in words of its own.
void each_is_explained(const Home& home, const std::string& talk) {
  const auto ran = run_program(home, {}, with_help(talk) + "quit\n");
  int questions = 0;
  for (auto at = ran.out.find(kCommon); at != std::string::npos; at = ran.out.find(kCommon, at + 1)) {
    ++questions;
    // before it: the question with `?` behind, then its own words
    const auto asked = ran.out.rfind(" ?\n", at);
    REQUIRE(asked != std::string::npos);
    const auto begin = ran.out.rfind('\n', asked) + 1;
    CAPTURE(ran.out.substr(begin, asked - begin));
    CHECK(at - asked > 20);
  }
  CAPTURE(ran.out);
  CHECK(questions >= 3);
  CHECK(!holds(ran.out, "error: "));
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("help at a question: of each of a new station") {
    const Home home;
    each_is_explained(
        home,
        "dock\n96\n20\n9 11\nE2\nE10\nright\nA9\nD9\nmine\nleft\nscrewed\n0.1 mm over 600 mm\ndigital\n"
        "foil tape 8 layers 0.56\n");
    CHECK(holds(run_program(home, {"station", "list"}).out, "dock"));
  }

  TEST_CASE("help at a question: of each of a check, and of what is doubtful in it") {
    const Home home;
    add_dock(home);
    each_is_explained(home,
                      "check\n600 600\n22.74\n22.73\n22.75\n22.14 22.13\n23.15\nredo 6\n22.15\n22.44\n22.45\n"
                      "done\n525\nno\ns\n");
    CHECK(holds(run_program(home, {"log", "list"}).out, "dock/1"));
    each_is_explained(home, "correct\n0.3\nm\n1400\n");
  }

  TEST_CASE("help at a question: of each of the tests that read a gap") {
    const Home home;
    add_dock(home);
    each_is_explained(home, "check turn-over\npair\nskip\n0.30\n0\n0.15\n500\nyes\n0.25\n0\nskip\n500\nno\n");
    each_is_explained(
        home, "check turn-over\nhalves\n1200 400\n0.05\n0.20\nskip\n360\nyes\n0.10\n0.15\nskip\n360\n");
    each_is_explained(home, "check rail\n0.1\n0\n0.1\n1360\n");
  }

  TEST_CASE("help at a question: of each of a survey at the prompt") {
    const Home home;
    add_dock(home);
    each_is_explained(home,
                      "survey\n" + home.path() +
                          "/holes.csv\nlow-1 low-2\n300\nyes\ntable\nnone\n5\nskip\nundo\nother\ndistance\n");
  }

  TEST_CASE("help at a question leaves it open, in inches too; more words are elsewhere") {
    const Home home;
    add_dock(home);
    const auto ran = run_program(
        home, {}, "check\n600 600\nunits in\nhelp\nhelp words\nhelp test\n0.895\n?\nundo\nlater\nquit\n");
    CHECK(count_of(ran.out, "F end, reading 1 of 3") == 6);
    CHECK(count_of(ran.out, "F end, reading 2 of 3") == 2);
    CHECK(holds(flat(ran.out), "such as 0.895."));
    CHECK(holds(flat(ran.out), "3/4 to 1 1/4 in wide"));
    CHECK(holds(ran.out, "shims, caliper   what you own"));
    CHECK(cli::question_help("hole diameter [20 mm]", units::Unit::inch) !=
          cli::question_help("hole diameter [20 mm]", units::Unit::mm));
    CHECK(cli::question_help("the colour of the saw", units::Unit::mm).empty());
  }

  TEST_CASE("the list of words hangs behind them, and stands under them where there is no room") {
    report::TextOptions options;
    options.width = 40;
    const std::string narrow = cli::prompt_help("words", options);
    CHECK(holds(narrow, "check\n  a guided check;"));
    for (std::size_t at = 0; at < narrow.size();) {
      const auto end = narrow.find('\n', at);
      CHECK(end - at <= 40);
      at = end + 1;
    }
  }
}
