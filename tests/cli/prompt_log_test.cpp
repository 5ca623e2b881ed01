// SPDX-License-Identifier: MIT
// The log at the prompt: what is kept of an evening, and what the next one knows of it. Figures are invented.
#include <doctest/doctest.h>
#include <sys/stat.h>

#include "support/add_dock.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::add_dock;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::run_program;

namespace {

const std::string kCheck = "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n\n525\nyes\n";
const std::string kAfterFoil = "check\n600 600\n22.31 22.30 22.31\n22.28 22.28 22.29\n\n525\nyes\n";

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: a check is kept, a correction too, and the next evening's check is held against it") {
    const Home home;
    add_dock(home);
    const auto first = run_program(home, {}, kCheck + "correct\n0\n\ndone\nquit\n");
    CHECK(holds(first.out, "Saved as check dock/1."));
    const auto second = run_program(home, {}, kAfterFoil + "log list\nlog show dock/2\nquit\n");
    CHECK(holds(second.out, "crosscut: last check 20"));
    CHECK(holds(second.out, "Since then: corrected. A check is"));
    CHECK(holds(second.out, "0.03 mm wider was expected. It fits: the move is done."));
    CHECK(!holds(second.out, "Do NOT correct yet"));
    CHECK(holds(second.out, "Saved as check dock/2."));
    CHECK(holds(second.out, "corrected E10: shim"));
    CHECK(holds(second.out, "22.31"));
    // The third knows that the move was answered for.
    const auto third =
        run_program(home, {}, "check\n600 600\n22.30 22.30 22.31\n22.28 22.28 22.29\n\n525\nyes\nquit\n");
    CHECK(!holds(third.out, "was expected"));
    CHECK(holds(third.out, "Next due "));
    CHECK(holds(third.out, "Saved as check dock/3."));
    CHECK(holds(run_program(home, {"log", "verify"}).out,
                "3 checks, each computed again with the same result"));
  }

  TEST_CASE("prompt: what is measured on is the same check, which does not inform itself") {
    const Home home;
    add_dock(home);
    const std::string more = "22.30 22.31 22.30\n22.29 22.29 22.29\n\n525\nyes\n";
    const auto ran = run_program(home, {}, kAfterFoil + "more\n" + more + more + "quit\n");
    CHECK(holds(ran.out, "Saved as check dock/1."));
    CHECK(holds(ran.out, "Measured on, kept as check dock/1."));
    CHECK(!holds(ran.out, "earlier check"));
    const auto list = run_program(home, {"log", "list"}).out;
    CHECK(holds(list, "dock/1"));
    CHECK(!holds(list, "dock/2"));
    CHECK(holds(run_program(home, {"log", "show", "dock/1"}).out, "1,3,7,525,22.29"));
    CHECK(holds(run_program(home, {"log", "verify"}).out, "1 check, each computed again"));
  }

  TEST_CASE("prompt: the same readings twice are kept once, and the answer stands") {
    const Home home;
    add_dock(home);
    const auto twice = run_program(home, {}, kCheck + kCheck + "why\nquit\n");
    CHECK(holds(twice.out, "Not saved: check is '"));
    CHECK(holds(twice.out, "kept as"));
    CHECK(holds(twice.out, "Strip 1-5: fence end 22.740 mm"));
    const auto words = run_program(home, {}, "log lits\nlog event dock wet\nlog list\nquit\n");
    CHECK(holds(words.out, "'log lits' is not known"));
    CHECK(holds(words.out, "dock: wet on "));
    CHECK(words.status == 0);
  }

  TEST_CASE("prompt: a check of a file is kept like any other, and one that moved is not corrected blindly") {
    const Home home;
    add_dock(home);
    run_program(home, {}, kAfterFoil + "quit\n");
    const auto moved = run_program(home, {}, kCheck + "correct\nquit\n");
    CHECK(holds(moved.out, "Do NOT correct yet: find out first why it moved since the last check."));
    const auto file =
        home.write("r.csv",
                   "# station: dock\n# date: 2026-03-14\n# caliper: digital\n"
                   "panel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73\n1,1,5,525,22.14\n");
    CHECK(!holds(run_program(home, {}, "check " + file + " --no-log\nquit\n").out, "Saved as"));
    CHECK(holds(run_program(home, {}, "check " + file + "\nquit\n").out, "Saved as check dock/3."));
    CHECK(holds(run_program(home, {}, "check " + file + " --save\nquit\n").out,
                "Kept already as check dock/3."));
  }
}
