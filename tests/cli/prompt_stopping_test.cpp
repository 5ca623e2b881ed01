// SPDX-License-Identifier: MIT
// A guided check that may stop when it is settled. The figures are invented.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

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

const std::string kBegin = "check --most-strips 8\n600 600\n";
const std::string kFirst = "22.74 22.73 22.75 22.73 22.72 22.74\n\n525\nyes\n";
const std::string kOthers[] = {"22.70 22.71 22.70 22.68 22.69 22.68\n\n\nyes\n",
                               "22.72 22.73 22.72 22.74 22.73 22.74\n\n\nyes\n",
                               "22.70 22.71 22.70 22.68 22.69 22.68\n\n\nyes\n"};
const std::string kFour = kBegin + kFirst + kOthers[0] + kOthers[1] + kOthers[2];

/// The strips kept of the only check.
std::size_t strips_kept(const Home& home) {
  const auto shown = run_program(home, {"log", "export", "--csv", "readings"}).out;
  std::size_t strips = 0;
  for (int cut = 5; cut < 20; ++cut) {
    const std::string cuts = "," + std::to_string(cut - 4) + "," + std::to_string(cut) + ",";
    if (holds(shown, cuts)) ++strips;
  }
  return strips;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE(
      "prompt: a planned test cuts on by itself, looks from the third strip on, and stops when settled") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(home, {}, kFour + "log list\nquit\n");
    CHECK(talk.status == 0);
    CHECK(talk.err.empty());
    const std::string text = flat(talk.out);
    CHECK(holds(text,
                "At most 8 strips of one panel, 12 cuts, about 35 min; fewer if it is settled before. The "
                "first look comes after strip 3."));
    CHECK(count_of(text, "nothing is read from this one. Cut on.") == 2);
    // What may not be read is not shown either.
    CHECK(text.find("over 600 mm (") > text.find("strip 3-7, F end"));
    CHECK(holds(text, "Not settled: cut on, 5 more strips at most."));
    CHECK(count_of(text, "CANNOT TELL YET") == 1);
    CHECK(holds(text, "WITHIN: the corner is 90°"));
    CHECK(holds(text, "Settled: you may stop here."));
    CHECK(!holds(text, "strip 5-9"));
    CHECK(count_of(text, "Saved as check dock/1.") == 1);
    CHECK(count_of(text, "Measured on, kept as check dock/1.") == 3);
    CHECK(strips_kept(home) == 4);
    // The look is the one of the command line.
    const auto shown = flat(run_program(home, {"log", "show", "dock/1"}).out);
    CHECK(holds(shown, "planned for at most 8 strips"));
    CHECK(holds(run_program(home, {"log", "verify"}).out, "each computed again with the same result"));
  }

  TEST_CASE("prompt: what is settled only if panels seat as usual is cut on once more") {
    const Home home;
    add_dock(home);
    const auto talk =
        run_program(home, {},
                    "check --most-strips 4\n600 600\n22.74 22.73 22.75 22.73 22.72 22.74\n\n525\n"
                    "yes\n22.60 22.61 22.60 22.59 22.60 22.59\n\n\nyes\n"
                    "22.80 22.81 22.80 22.79 22.80 22.79\n\n\nyes\n"
                    "22.60 22.61 22.60 22.59 22.60 22.59\n\n\nyes\nmore\nquit\n");
    const std::string text = flat(talk.out);
    CHECK(holds(text, "WITHIN (provisional)"));
    CHECK(holds(text, "Settled if panels seat as usual: one more strip shows how yours do."));
    CHECK(text.find("strip 4-8, F end") > text.find("Settled if"));
    CHECK(holds(text, "WITHIN: the corner"));
    CHECK(holds(text, "Settled: you may stop here."));
  }

  TEST_CASE("prompt: a planned test that is left goes on with more, at the same plan") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(home, {},
                                  kBegin + kFirst + kOthers[0] +
                                      "22.72\nlater\nmore\n22.73 22.72 22.74 22.73 22.74\n\n\nyes\n" +
                                      kOthers[2] + "quit\n");
    CHECK(talk.status == 0);
    CHECK(holds(flat(talk.out), "Left for later: 'more' goes on with it."));
    CHECK(holds(flat(talk.out), "Planned for at most 8 strips, read after strip 4."));
    CHECK(strips_kept(home) == 4);
    CHECK(holds(talk.out, "strip 3-7, F end, reading 1 of 3: 22.72"));
    // Left before the first answer, nothing is there.
    const auto early = run_program(home, {}, "check --most-strips 8\nlater\ndrafts\nquit\n");
    CHECK(holds(early.out, "Nothing is unfinished."));
    CHECK(holds(early.out, "Left for later; nothing of it is kept."));
  }

  TEST_CASE("prompt: in a planned test wrong keys are told and undo takes a reading back") {
    const Home home;
    add_dock(home);
    const auto talk =
        run_program(home, {},
                    kBegin + kFirst +
                        "undo\n22.70 22.71 22.90\nundo\nx\ncheck\n22.70\n22.68 22.69 22.68\n\n\n"
                        "maybe\nyes\nquit\n");
    const std::string text = flat(talk.out);
    CHECK(holds(text, "Nothing to take back."));
    CHECK(holds(text, "Reading 9 taken back."));
    CHECK(holds(text, "'x'"));
    CHECK(holds(text, "'check' has to wait"));
    CHECK(holds(text, "must be yes or no"));
    CHECK(strips_kept(home) == 2);
    const auto lost = run_program(home, {}, kBegin + kFirst + kOthers[0] + "22.72\n");
    CHECK(lost.status == 3);
    CHECK(holds(flat(lost.err), "the strips that were told stand; this one was not computed"));
  }

  TEST_CASE("prompt: the number of strips is held to its range before any cut") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(home, {},
                                  "check --most-strips 2\ncheck --most-strips 0\ncheck --most-strips 101\n"
                                  "check --most-strips eight\ncheck --most-strips\ncheck --budget\n"
                                  "check --most-strips 8 --strict\nquit\n");
    const std::string text = flat(talk.out);
    CHECK(holds(text, "--most-strips is '2', but must be at least 3"));
    CHECK(holds(text, "--most-strips is '0', but must be a whole number from 1 to 100"));
    CHECK(holds(text, "--most-strips is '101'"));
    CHECK(holds(text, "--most-strips is 'eight'"));
    CHECK(holds(text, "--most-strips is without a value"));
    CHECK(count_of(text, "readings are missing") == 2);
    CHECK(!holds(text, "How big is the panel"));
  }

  TEST_CASE("prompt: a panel that gets too small in the middle ends a planned test where it stands") {
    const Home home;
    add_dock(home);
    // 398 mm: the seventh cut leaves 296.
    const std::string small =
        "check --most-strips 8\n400 400\n22.74 22.73 22.75 22.73 22.72 22.74\n\n340\nyes\n"
        "22.70 22.71 22.70 22.68 22.69 22.68\n\n\nyes\n";
    for (const char* answer : {"\n", "no\n", "undo\n"}) {
      const auto talk = run_program(home, {}, small + answer + "quit\n");
      const std::string text = flat(talk.out);
      CHECK(holds(text, "This panel bears 2 of the 8 strips; after one more it is under 300 mm."));
      CHECK(holds(text, "After cut 7 about 297 mm of its shorter side are left."));
      CHECK(holds(text, "Stopped after strip 2 of at most 8; it stays open."));
      CHECK(!holds(text, "strip 3-7"));
      CHECK(talk.status == 0);
    }
    const auto on = run_program(home, {}, small + "yes\n22.72\nquit\ny\n");
    CHECK(holds(on.out, "strip 3-7, F end"));
  }

  TEST_CASE("prompt: after the last strip of the plan no further one is cut") {
    const Home home;
    add_dock(home);
    // Far apart: three strips cannot settle it.
    const auto talk =
        run_program(home, {},
                    "check --most-strips 3\n600 600\n22.74 22.73 22.75 22.43 22.42 22.44\n\n525\n"
                    "yes\n22.70 22.71 22.70 22.48 22.49 22.48\n\n\nyes\n"
                    "22.72 22.73 22.72 22.34 22.33 22.34\n\n\nyes\nmore\nquit\n");
    const std::string text = flat(talk.out);
    CHECK(holds(text, "That was the last strip of the plan; it stays open."));
    CHECK(holds(text, "planned for at most 3 strips, and they are measured"));
    CHECK(!holds(text, "strip 4-8"));
    CHECK(count_of(text, "Left for later") == 0);
  }
}
