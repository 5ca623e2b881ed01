// SPDX-License-Identifier: MIT
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "support/run_program.hpp"

using quarterturn::test::Home;
using quarterturn::test::run_program;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// The invented station `dock`, described as a person would.
const char* const kDescribe =
    "dock\n\n\n9 11\nE2\nE10\nright\nA9\nD9\n\n\n\n\ndigital\nfoil tape 8 layers 0.56\n";

/// The first sentence of an answer, which the command line and the prompt must share.
std::string answer_in(const std::string& text) {
  for (const char* word : {"OUTSIDE", "WITHIN", "CANNOT TELL YET"}) {
    const auto at = text.find(std::string("\n") + word);
    const auto start = text.starts_with(word) ? 0 : at == std::string::npos ? at : at + 1;
    if (start != std::string::npos) return text.substr(start, text.find("allowed", start) - start);
  }
  return "";
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: describe a station, check, and the same numbers as the file") {
    const Home home;
    const auto talk = run_program(
        home, {},
        std::string(kDescribe) + "check\n600 600\n22.74\n22.73 22.75\n22.14 22.13 22.15\n\n525\n\nquit\n");
    CHECK(talk.status == 0);
    CHECK(talk.err.empty());
    CHECK(holds(talk.out, "foil tape: one layer 0.070 mm"));
    CHECK(holds(talk.out, "It fits: 652 mm free between near rail dog and fence."));
    CHECK(holds(talk.out, "3: F end 22.75 mm"));
    CHECK(holds(talk.out, "3 layers of foil tape on the FAR rail dog (E10), right face"));
    const auto file = home.write("readings.csv",
                                 "# station: dock\npanel,from_cut,to_cut,position,width\n"
                                 "1,1,5,0,22.74 22.73 22.75\n1,1,5,525,22.14 22.13 22.15\n");
    const auto command = run_program(home, {"check", file});
    REQUIRE(command.status == 0);
    REQUIRE(!answer_in(command.out).empty());
    CHECK(answer_in(talk.out) == answer_in(command.out));
  }

  TEST_CASE("prompt: undo, redo, a doubtful reading, skip, words in between") {
    const Home home;
    run_program(home, {}, std::string(kDescribe) + "quit\n");
    const auto talk = run_program(home, {},
                                  "check\n600 600\n22.74 22.99\nundo\nhelp readings\nquiet\n22.73 "
                                  "22.75\n22.14 22.41 22.15\nredo 1\n22.76\n\n"
                                  "redo 5\n22.13\n525\nyes\nwhy\nquit\n");
    CHECK(talk.status == 0);
    CHECK(holds(talk.out, "Reading 2 taken back."));
    CHECK(holds(talk.out, "Bells off."));
    CHECK(holds(talk.out, "5: free end 22.41 mm  ? off by 0.27 mm"));
    CHECK(holds(talk.out, "1: F end 22.76 mm"));
    CHECK(holds(talk.out, "Reading 5, 22.41 mm, is 0.26 mm off the others."));
    CHECK(holds(talk.out, "5: free end 22.13 mm"));
    CHECK(holds(talk.out, "fence end 22.747 mm, free end 22.140 mm"));
  }

  TEST_CASE(
      "prompt: a name that no file can have and a panel that no hand can hold are asked again at once") {
    const Home home;
    const std::string describe(kDescribe);
    const auto talk = run_program(home, {}, "my dock\n" + describe + "check\n200 200\n600 600\nquit\n");
    CHECK(holds(talk.out, "station name is 'my dock'"));
    CHECK(holds(talk.out, "is kept."));
    CHECK(holds(talk.out, "must be at least 300 mm each way"));
    CHECK(holds(talk.out, "It fits"));
  }

  TEST_CASE("prompt: six readings on one line fill both ends, ten are refused whole") {
    const Home home;
    run_program(home, {}, std::string(kDescribe) + "quit\n");
    const auto talk =
        run_program(home, {},
                    "check\n600 600\n1 2 3 4 5 6 7 8 9 10\n22.74 22.73 22.75 22.14 22.13 22.15\n"
                    "\n525\nyes\nquit\n");
    CHECK(holds(talk.out, "these are 10 readings, but must be at most 9"));
    CHECK(holds(talk.out, "3: F end 22.75 mm"));
    CHECK(holds(talk.out, "4: free end 22.14 mm"));
    CHECK(holds(talk.out, "by 0.17"));
  }

  TEST_CASE("prompt: Enter and undo at a reading taken again change no other reading and end no place") {
    const Home home;
    run_program(home, {}, std::string(kDescribe) + "quit\n");
    const auto talk = run_program(home, {},
                                  "check\n600 600\n22.74 22.73 22.75\n22.14\nredo 2\n\n22.74\n22.13 22.15\n"
                                  "22.44 22.45 22.90\nredo 9\nundo\nredo 9\n22.44\n525\nyes\nwhy\nquit\n");
    CHECK(talk.status == 0);
    CHECK(holds(talk.out, "reading 2 is asked for again"));
    CHECK(holds(talk.out, "2: F end 22.74 mm"));
    CHECK(holds(talk.out, "5: free end 22.13 mm"));
    CHECK(holds(talk.out, "Reading 9 stays as it was."));
    CHECK(holds(talk.out, "9: middle 22.44 mm"));
    CHECK(holds(talk.out, "525 mm apart"));
  }

  TEST_CASE("prompt: no strip across a correction, and the saw is unplugged before the rail is touched") {
    const Home home;
    const auto talk = run_program(home, {},
                                  std::string(kDescribe) +
                                      "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n\n525\nyes\n"
                                      "correct\n0\n\ndone\nmore\nquit\n");
    CHECK(holds(talk.out, "four edges are old since"));
    CHECK_FALSE(holds(talk.out, "cut 6"));
    CHECK(talk.out.find("Unplug the saw", talk.out.find("dock ▸ correct")) <
          talk.out.find("Draw a knife line"));
  }

  TEST_CASE("prompt: two more cuts, a correction done, the next strip held against it") {
    const Home home;
    const auto talk = run_program(
        home, {},
        std::string(kDescribe) +
            "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n\n525\n\n"
            "more\n22.80 22.79 22.80\n22.20 22.21 22.20\n\n\n\n22.70 22.71 22.70\n22.11 22.10 22.11\n\n\n\n"
            "ways\ncorrect\n0\n\ndone\n"
            "check\n\n22.31 22.30 22.31\n22.29 22.28 22.29\n\n460\n\nquit\n");
    CHECK(talk.status == 0);
    CHECK(holds(talk.out, "strip 3-7, free end, reading 1 of 3"));
    CHECK(holds(talk.out, "Rail straight: the correction is safe."));
    CHECK(holds(talk.out, "Noted. All four edges are now old"));
    CHECK(holds(talk.out, "It fits: the move is done."));
    CHECK(holds(talk.out, "WITHIN"));
  }

  TEST_CASE("prompt: a bad line never ends it, and care is told in full once") {
    const Home home;
    run_program(home, {}, std::string(kDescribe) + "quit\n");
    const auto talk = run_program(home, {},
                                  "chekc\n\"open\nreport\nwhy\ncheck /nonexistent.csv\nstation shwo\nredo 3\n"
                                  "check\n600 600\nlater\ncheck\n\nlater\nstation list\n");
    CHECK(talk.status == 0);
    CHECK(holds(talk.out, "did you mean 'check'?"));
    CHECK(holds(talk.out, "is opened and not closed"));
    CHECK(holds(talk.out, "but must be kept in the log for station"));
    CHECK(holds(talk.out, "there is no check yet"));
    CHECK(holds(talk.out, "nonexistent.csv"));
    CHECK(holds(talk.out, "'redo' answers a question"));
    const std::string care = "Eye and hearing protection";
    const auto first = talk.out.find(care);
    REQUIRE(first != std::string::npos);
    CHECK(talk.out.find(care, first + 1) == std::string::npos);
    CHECK(talk.out.ends_with("dock\ndock ▸ "));
  }

  TEST_CASE("prompt: input that ends in the middle of a check is told; elsewhere it ends well") {
    const Home home;
    CHECK(run_program(home, {}, std::string(kDescribe)).status == 0);
    CHECK(run_program(home, {}, "").status == 0);
    const auto broken = run_program(home, {}, "check\n600 600\n22.74\n");
    CHECK(broken.status == 3);
    CHECK(holds(broken.err, "check is 'broken off'"));
  }

  TEST_CASE("prompt: lines that do not fit are asked again; undo goes back a question") {
    const Home home;
    const auto talk = run_program(
        home, {},
        "loft\n96 kg\n\nundo\n100\n\nnine\n9 11\nZ9\nE2\nE2\nE10\nup\nr\nA9\nC10\nmine\n\n\n\n\nnone\n"
        "E2\nE10\nright\nA9\nD9\nstation show\nquit\n");
    CHECK(talk.status == 0);
    CHECK(holds(talk.out, "'96 kg'"));
    CHECK(holds(talk.out, "must be a hole of the grid"));
    CHECK(holds(talk.out, "must be a hole without another dog"));
    CHECK(holds(talk.out, "Let us go through rail and fence again."));
    CHECK(holds(talk.out, "  hole spacing 100 mm"));
  }
}
