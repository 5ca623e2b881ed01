// SPDX-License-Identifier: MIT
// Two journeys at the prompt, left after every step and taken up again: what is told and kept is that of one
// unbroken evening, to the last digit. Figures are invented.
#include <doctest/doctest.h>

#include <regex>

#include "support/add_dock.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::add_dock;
using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::run_program;

namespace {

std::string check_of(const std::string& f_end, const std::string& free_end) {
  return "check\n600 600\n" + f_end + "\n" + free_end + "\n\n525\nyes\n";
}

const std::string kOut = check_of("22.74 22.73 22.75", "22.14 22.13 22.15");
const std::string kAfterFoil = check_of("22.31 22.30 22.31", "22.28 22.28 22.29");
const std::string kMore = "22.30 22.31 22.30\n22.29 22.29 22.29\n\n525\nyes\n";
const std::string kOff = check_of("22.71 22.70 22.71", "22.11 22.11 22.12");
const std::string kProof = check_of("21.06 21.05 21.06", "21.04 21.04 21.05");

struct Evenings {
  std::vector<std::string> told;  ///< of each step
  std::string log;                ///< without ids and times
};

/// Ids by the order in which they come up, moments left out: what two logs of the same work have in common.
std::string bare(std::string log) {
  static const std::regex id("[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}"), moment("T[0-9:.]+Z"),
      second("\"utc\": [0-9]+");
  std::smatch found;
  for (int number = 0; std::regex_search(log, found, id); ++number) {
    const std::string known = found.str(), name = "id " + std::to_string(number);
    for (auto at = log.find(known); at != std::string::npos; at = log.find(known)) log.replace(at, 36, name);
  }
  return std::regex_replace(std::regex_replace(log, moment, "T"), second, "");
}

std::string log_of(const Home& home) {
  return bare(run_program(home, {"log", "export"}).out);
}

/// Each step in a program of its own.
Evenings broken(const Home& home, const std::vector<std::string>& steps) {
  Evenings all;
  for (const auto& step : steps) {
    const auto ran = run_program(home, {}, step + "quit\n");
    CHECK(ran.status == 0);
    all.told.push_back(flat(ran.out));
  }
  all.log = log_of(home);
  return all;
}

std::string unbroken(const Home& home, const std::vector<std::string>& steps) {
  std::string all;
  for (const auto& step : steps) all += step;
  CHECK(run_program(home, {}, all + "quit\n").status == 0);
  return log_of(home);
}

/// From a sentence on to the prompt's next line.
std::string from(const std::string& text, const std::string& begin, const std::string& end) {
  const auto at = text.find(begin);
  REQUIRE(at != std::string::npos);
  return text.substr(at, text.find(end, at) - at);
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("a new table, left after every step, comes out as in one evening") {
    // `more` of an earlier evening asks whether the panel is untouched; Enter agrees on the same day.
    const std::vector<std::string> steps{
        kOut, "why\n", "ways\n", "correct\n0\n1160\nlater\n", "correct\ndone\n", kAfterFoil};
    const Home home, other;
    add_dock(home);
    add_dock(other);
    auto evenings = broken(home, steps);
    const bool same = evenings.log == unbroken(other, steps);  // too long to be shown
    CHECK(same);

    const auto& told = evenings.told;
    CHECK(holds(told[0], "New table: not checked yet; next: check."));
    CHECK(holds(told[0], "(outside); next: correct."));
    CHECK(holds(told[1], "From check dock/1 of "));
    CHECK(holds(told[1], "Strip 1-5: fence end 22.740 mm"));
    CHECK(holds(told[2], "(advised) 3 layers of foil tape on the FAR rail dog (E10)"));
    CHECK(holds(told[3], "Left for later; the rail test is kept."));
    // The rail was tried on the evening before, and is not tried again.
    CHECK(!holds(told[4], "widest gap"));
    CHECK(holds(told[4], ", corrected "));
    CHECK(holds(told[4], "; next: check."));
    CHECK(holds(told[5], "It fits: the move is done."));
    CHECK(holds(told[5], "(within). Next check "));

    // The same words as if the program had not been left.
    const Home third;
    add_dock(third);
    const auto one = flat(run_program(third, {}, kOut + "why\nways\ncorrect\n0\n1160\nlater\nquit\n").out);
    CHECK(from(one, "Strip 1-5: fence", "dock ▸") == from(told[1], "Strip 1-5: fence", "dock ▸"));
    CHECK(from(one, "Ways to correct", "dock ▸") == from(told[2], "Ways to correct", "dock ▸"));
    CHECK(from(one,
               "3 layers of foil tape on the FAR rail dog (E10), right face, where the rail touches. 4 min",
               "done / diff") ==
          from(told[3],
               "3 layers of foil tape on the FAR rail dog (E10), right face, where the rail touches. 4 min",
               "done / diff"));
  }

  TEST_CASE("more goes on from an earlier evening, unless something was moved or touched") {
    const Home home, other;
    add_dock(home);
    add_dock(other);
    const auto told = broken(home, {kAfterFoil, "more\nno\n", "more\n\n" + kMore + kMore}).told;
    CHECK(holds(told[1], "The panel's edges were cut today."));
    CHECK(holds(told[1], "Then begin again: 'check'."));
    CHECK(holds(told[2], "Measured on, kept as check dock/1."));
    const bool same = log_of(home) == unbroken(other, {kAfterFoil, "more\n" + kMore + kMore});
    CHECK(same);
    CHECK(holds(run_program(home, {"log", "verify"}).out, "1 check, each computed again"));

    run_program(home, {"log", "event", "dock", "knocked"});
    const auto knocked = flat(run_program(home, {}, "more\nwhy\nquit\n").out);
    CHECK(holds(knocked, "all four edges are old since something was moved"));
    CHECK(holds(knocked, "Strip 1-5: fence end"));
    CHECK(holds(knocked, "; next: check."));
  }

  TEST_CASE("the edges of another day are told with their age, and Enter alone does not agree") {
    const Home home;
    add_dock(home);
    const std::string readings =
        "# station: dock\n# date: 2026-01-10\n# caliper: digital\n"
        "panel,from_cut,to_cut,position,width\n1,1,5,0,22.31 22.30\n1,1,5,525,22.28\n";
    REQUIRE(run_program(home, {"check", "-", "--save"}, readings).status == 0);
    const auto ran = flat(run_program(home, {}, "more\n\nno\nquit\n").out);
    CHECK(holds(ran, "From check dock/1 of 10 January"));
    CHECK(holds(ran, " days ago. An edge that old may have moved with the damp"));
    CHECK(count_of(ran, "Panel and edges untouched") == 2);
    CHECK(holds(ran, "must be yes or no"));
  }

  TEST_CASE("something is off: each answer outlives the program, and the proof closes the search") {
    const std::vector<std::string> steps{kOut,
                                         "correct\n0\n1160\ndone\n",
                                         kAfterFoil,
                                         kOff,
                                         "find\nk\n\nlater\n",
                                         "find\nno\nlater\n",
                                         "find\nno\nlater\n",
                                         "find\nyes\n0.22\nlater\n",
                                         "find\nno\nyes\nlater\n",
                                         "find\n",
                                         kProof + "yes\n"};
    const Home home, other;
    add_dock(home);
    add_dock(other);
    const auto evenings = broken(home, steps);
    const bool same = evenings.log == unbroken(other, steps);  // too long to be shown
    CHECK(same);

    const auto& told = evenings.told;
    CHECK(holds(told[3], "Something is off: checked "));
    CHECK(holds(told[3], "; next: find."));
    CHECK(holds(told[4], "knocked: when, as October, 9 Aug or last week"));
    CHECK(holds(told[5], "Told before: knocked."));
    CHECK(!holds(told[5], "Letters, Enter = nothing"));
    CHECK(holds(told[5], "Step 1, "));
    CHECK(holds(told[7], "Answered before"));
    CHECK(holds(told[7], "Step 3, "));
    CHECK(holds(told[8], "NEAR dog? yes, 0.22 mm"));
    CHECK(holds(told[8], "Note it as the cause?"));
    CHECK(holds(told[8], "five cuts prove it"));
    CHECK(holds(told[8], "cause noted "));
    CHECK(holds(told[8], "; next: check."));
    CHECK(holds(told[9], "Noted as the cause on "));
    CHECK(!holds(told[9], "Note it as the cause?"));
    const auto& proof = told[10];
    CHECK(holds(proof, "WITHIN"));
    CHECK(!holds(proof, "moving still pays"));  // what was read before the cure tells nothing of now
    CHECK(holds(proof, "It moved 0.17 mm; the cause explains 0.17 mm."));
    CHECK(holds(proof, "Right? [yes]"));
    CHECK(holds(proof, "may be up to 0.17 mm over 600 mm out."));
    CHECK(holds(proof, "Habit for the card: Push, paper at both dogs, then clamp."));
    CHECK(holds(proof, "Not needed, and what they would have cost"));
    CHECK(holds(proof, "Put right: checked "));
    // It is closed once.
    CHECK(!holds(flat(run_program(home, {}, kOut + "quit\n").out), "Right? [yes]"));
    const auto list = flat(run_program(home, {"log", "list"}).out);
    CHECK(holds(list, "between rail and NEAR dog? yes, 0.22 mm"));
    CHECK(holds(list, "find: proved: the rail is off one of its dogs"));
  }

  TEST_CASE("an answer of an earlier evening is taken back, a cause that was not it is withdrawn") {
    const Home home;
    add_dock(home);
    const auto told =
        broken(home, {kAfterFoil, kOff, "find\n\nno\nlater\n", "find\nundo\nlater\n", "find\nlater\n"}).told;
    CHECK(holds(told[3], "Answered before"));
    CHECK(holds(told[3], "Step 2, "));
    CHECK(!holds(told[4], "Answered before"));
    CHECK(holds(told[4], "Step 1, "));
    const auto noted = run_program(home, {"find", "--note", "rail-off-dog"});
    CHECK(noted.status == 0);
    const auto proof = flat(run_program(home, {}, kProof + "no\nquit\n").out);
    CHECK(holds(proof, "Withdrawn: it is within"));
    CHECK(holds(run_program(home, {"log", "list"}).out, "WITHDRAWN: cause noted"));
  }

  TEST_CASE("a check that was withdrawn or amended meanwhile is taken up as it counts now") {
    const Home home;
    add_dock(home);
    const auto ran = flat(run_program(home, {},
                                      kAfterFoil + kOff + "log withdraw dock/2 --reason torn\nwhy\n" +
                                          "log amend dock/1 by Lea --reason \"who it was\"\nwhy\nquit\n")
                              .out);
    CHECK(count_of(ran, "From check dock/1 of ") == 2);
    CHECK(count_of(ran, "Strip 1-5: fence end 22.307 mm") == 2);
    CHECK(!holds(ran, "Strip 1-5: fence end 22.707 mm"));
  }

  TEST_CASE("why explains the last answer, whatever word gave it") {
    const Home home;
    add_dock(home);
    run_program(home, {}, kAfterFoil + kOff + "quit\n");
    const auto ran = flat(
        run_program(home, {}, "find\n\nno\nlater\nwhy\nhistory\nwhy\nplan\nwhy\ncorrect\nwhy\nquit\n").out);
    CHECK(holds(ran, "differ by 0.16 mm over 600 mm; chance alone"));
    CHECK(holds(ran, " before the answers, "));
    CHECK(holds(ran, "The next check: of these dates the earliest"));
    CHECK(holds(ran, "so a quarter of its taper counts"));
    CHECK(count_of(ran, "Strip 1-5: fence end") == 1);
  }
}
