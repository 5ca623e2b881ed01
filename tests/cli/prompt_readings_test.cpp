// SPDX-License-Identifier: MIT
/// Words while readings are asked for. The figures are invented.
#include <doctest/doctest.h>

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

const std::string kEnd = "\n525\nyes\n";

std::string readings(const Home& home) {
  return run_program(home, {"log", "show", "dock/1"}).out;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: readings in any order of places give the same check") {
    const Home in_order, out_of_order;
    for (const auto* home : {&in_order, &out_of_order}) add_dock(*home);
    run_program(in_order, {},
                "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n22.44\n\n525\nyes\nquit\n");
    const auto talk = run_program(out_of_order, {},
                                  "check\n600 600\nfree 22.14\nF 22.74\nmiddle 22.44\nFree End\n22.13 22.15\n"
                                  "F end 22.73\n22.75\n" +
                                      kEnd + "quit\n");
    CHECK(holds(talk.out, "1: free end 22.14 mm"));
    CHECK(holds(talk.out, "free end, reading 2 of 3"));
    const auto rows = [](const std::string& text) {
      const auto at = text.find("panel,from_cut");
      REQUIRE(at != std::string::npos);
      return text.substr(at);
    };
    CHECK(rows(readings(in_order)) == rows(readings(out_of_order)));
  }

  TEST_CASE("prompt: a line back at the free end holds no readings for a middle that was skipped") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(home, {},
                                  "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\nskip\nundo\n"
                                  "22.16 22.44\n22.16" +
                                      kEnd + "quit\n");
    CHECK(holds(flat(talk.err + talk.out), "these are 2 readings, but must be at most 1"));
    CHECK(count_of(readings(home), "22.16") == 1);
  }

  TEST_CASE(
      "prompt: a middle that was skipped is not asked for again because it was named with a wrong reading") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(home, {},
                                  "check\n600 600\n22.74 22.73 22.75\nmiddle\nskip\n22.14\nmiddle 22,x\n"
                                  "22.13 22.15" +
                                      kEnd + "quit\n");
    CHECK(holds(flat(talk.err + talk.out), "'22,x'"));
    CHECK(count_of(talk.out, "middle [skip]") == 1);
    CHECK(holds(talk.out, "Saved as check dock/1"));
  }

  TEST_CASE("prompt: a reading of an earlier strip is taken again while a doubtful one of this strip is") {
    const Home home;
    add_dock(home);
    const auto talk =
        run_program(home, {},
                    "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\nskip\n525\nyes\nmore\n"
                    "22.70 22.71 22.72\n22.13 22.14 22.64\nskip\nredo 12\nredo 2\n22.76\n"
                    "redo 12\n22.12\n\nyes\nquit\n");
    CHECK(holds(talk.out, "22.76 mm in place of 22.73 mm"));
    CHECK(count_of(readings(home), "22.76") == 1);
    CHECK(count_of(readings(home), "22.12") == 1);
    CHECK(count_of(readings(home), "22.64") == 0);
  }

  TEST_CASE("prompt: so far tells what is in, numbered, and what is missing") {
    const Home home;
    add_dock(home);
    const auto talk =
        run_program(home, {},
                    "check\n600 600\n22.74 22.73\nso far\n22.75 22.14 22.13 22.19\nnote 2 dust\n" + kEnd +
                        "more\n22.70\nSO FAR\nlater\nquit\n");
    CHECK(holds(talk.out, "  F end  1: 22.74 mm  2: 22.73 mm  1 missing\n"));
    CHECK(holds(talk.out, "  free end  3 missing\n  middle  may be skipped\n"));
    CHECK(holds(talk.out,
                "strip 1-5\n  F end  1: 22.74 mm  2: 22.73 mm (dust)  3: 22.75 mm\n"
                "  free end  4: 22.14 mm  5: 22.13 mm  6: 22.19 mm\nstrip 2-6\n"
                "  F end  7: 22.70 mm  2 missing\n"));
  }

  TEST_CASE("prompt: a reading of an earlier strip is taken again, and the check is computed with it") {
    const Home home, right;
    for (const auto* one : {&home, &right}) add_dock(*one);
    const std::string second = "22.70 22.71 22.70 22.68 22.69 22.68\n" + kEnd;
    const auto talk =
        run_program(home, {},
                    "check\n600 600\n22.74 22.73 22.80\n22.14 22.13 22.15\n" + kEnd +
                        "more\n22.70\nredo 3\nskip\nredo 3\n22.75\n22.71 22.70 22.68 22.69 22.68\n" + kEnd +
                        "later\nwhy\nquit\n");
    CHECK(holds(talk.out, "reading 3 again, strip 1-5, F end"));
    CHECK(holds(flat(talk.out), "reading 3 is asked for again, but nothing was typed"));
    CHECK(holds(talk.out, "3: strip 1-5, F end, 22.75 mm in place of 22.80 mm"));
    CHECK(holds(flat(talk.out), "Strip 1-5: fence end 22.740 mm"));
    const auto shown = readings(home);
    CHECK(holds(shown, "1,1,5,0,22.75\n"));
    CHECK(holds(shown, "kept"));
    CHECK(holds(run_program(home, {"log", "verify"}).out, "computed again with the same result"));
    run_program(
        right, {},
        "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n" + kEnd + "more\n" + second + "quit\n");
    const auto whole = run_program(right, {}, "log show dock/1\nquit\n").out;
    const auto answer = [](const std::string& text) {
      const auto at = text.rfind("over 90° by");
      return text.substr(at, text.find(" mm", at) - at);
    };
    CHECK(answer(readings(home)) == answer(whole));
  }

  TEST_CASE("prompt: a note stays with its reading; a note of nothing is told") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(
        home, {},
        "check\n600 600\nnote dust\n22.74 22.73 22.75\nnote saw mark, \"deep\"\nnote 1\nnote 9 x\n"
        "22.14 22.13 22.15\nnote 4 second try\nredo 4\n22.14\nkeep 9\n" +
            kEnd + "quit\n");
    CHECK(holds(flat(talk.out), "there is no reading yet"));
    CHECK(holds(talk.out, "Note on reading 3: saw mark, \"deep\""));
    CHECK(holds(flat(talk.out), "note is missing, but must be a few words"));
    CHECK(holds(flat(talk.out), "number of the reading is '9'"));
    const auto shown = readings(home);
    CHECK(holds(shown, "1,1,5,0,22.75,\"saw mark, \"\"deep\"\"\""));
    CHECK(holds(shown, "1,1,5,525,22.14,\"second try\""));
  }

  TEST_CASE("prompt: the first reading settles the unit of a check, another one is told") {
    const Home home;
    add_dock(home);
    const auto talk =
        run_program(home, {},
                    "check\n600 600\nunits in\n0.895\nunits mm\n22.73\n0.894 in 0.895 in\nunits in\n"
                    "0.872\n0.871 0.872\n\n20.7\nyes\nquit\n");
    CHECK(holds(flat(talk.out), "reading is '22.73', but must be in inches like those before it"));
    CHECK(holds(flat(talk.out), "'units in' for bare numbers"));
    const auto shown = readings(home);
    CHECK(holds(shown, "# unit: in\n"));
    CHECK(holds(shown, "1,1,5,0,0.895\n"));
    CHECK(holds(run_program(home, {"log", "verify"}).out, "computed again with the same result"));
  }

  TEST_CASE("prompt: a middle off the line between the ends is asked about before it is computed") {
    const Home home;
    add_dock(home);
    const std::string ends = "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n";
    const auto again =
        run_program(home, {}, ends + "22.94 22.95 22.94\n\n22.44 22.44 22.44\n525\nyes\nquit\n");
    CHECK(holds(flat(again.out), "The middle lies 0.50 mm off the line between the ends"));
    CHECK(holds(again.out, "7: middle 22.44 mm"));
    const auto shown = readings(home);
    CHECK(count_of(shown, "1,1,5,262.5,22.44") == 3);
    CHECK(count_of(shown, "22.94") == 0);
    // It may be meant.
    const auto kept = run_program(home, {}, ends + "22.94 22.95 22.94\nno\n525\nyes\nquit\n");
    CHECK(count_of(kept.out, "off the line between the ends") == 1);
    CHECK(holds(flat(kept.out), "the middle lies 0.50 mm off the line"));
  }

  TEST_CASE("prompt: a place that has its readings takes no more, and one out of turn leads back") {
    const Home home;
    add_dock(home);
    const auto talk =
        run_program(home, {},
                    "check\n600 600\n22.74\nfree 22.14\n22.73 22.75\n22.13 22.15\nfree 22.16\nf 22.7\n" +
                        kEnd + "quit\n");
    CHECK(holds(talk.out, "3: F end 22.73 mm"));
    CHECK(holds(flat(talk.out), "free end has its 3 readings"));
    CHECK(holds(flat(talk.out), "F end has its 3 readings"));
    const auto shown = readings(home);
    CHECK(count_of(shown, "1,1,5,0,") == 3);
    CHECK(count_of(shown, "1,1,5,525,") == 3);
  }

  TEST_CASE("prompt: strips that are all cut first are measured in any order, and are the same check") {
    const Home in_order, out_of_order;
    for (const auto* home : {&in_order, &out_of_order}) add_dock(*home);
    run_program(in_order, {},
                "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n" + kEnd +
                    "more\n22.80 22.79 22.80\n22.20 22.21 22.20\n" + kEnd +
                    "22.70 22.71 22.70\n22.11 22.10 22.11\n" + kEnd + "quit\n");
    const auto talk =
        run_program(out_of_order, {},
                    "check --strips 3\n600 600\n3-7 free 22.11 22.10 22.11\nstrip 2-6\n2-6 f 22.80 22.79 "
                    "22.80\n22.74 22.73\nso far\n22.75\nfree 22\n1-5 free end 22.14 22.13 22.15\n\n"
                    "22.20 22.21 22.20\n\n22.70 22.71 22.70\n\n525\nyes\nquit\n");
    CHECK(holds(talk.out, "3 strips of one panel, 7 cuts, about 20 min."));
    CHECK(holds(flat(talk.out), "BEFORE each of the cuts 5 to 7 write F"));
    CHECK(holds(talk.out, "strip 3-7 F end  3 missing"));
    CHECK(count_of(talk.out, "must be a number") >= 2);  // no place of such a name
    const auto rows = [](const std::string& text) {
      const auto at = text.find("panel,from_cut");
      REQUIRE(at != std::string::npos);
      return text.substr(at);
    };
    CHECK(rows(readings(in_order)) == rows(readings(out_of_order)));
    const auto wrong =
        run_program(out_of_order, {}, "check --strips 3 --most-strips 4\ncheck --strips 0\nquit\n");
    CHECK(holds(flat(wrong.out), "--strips is given with --most-strips"));
    CHECK(holds(flat(wrong.out), "--strips is '0'"));
    CHECK(run_program(out_of_order, {"check", "x.csv", "--strips", "2"}).status != 0);
  }
}
