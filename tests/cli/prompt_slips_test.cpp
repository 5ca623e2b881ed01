// SPDX-License-Identifier: MIT
/// Slips at the prompt that would end in a wrong answer: the caliper's unit, the places' distance, a move
/// that went wrong, one word for another. The figures are invented.
#include <doctest/doctest.h>

#include "support/add_dock.hpp"
#include "support/at_dock.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using quarterturn::test::add_dock;
using quarterturn::test::AtDock;
using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::keep_good_check;
using quarterturn::test::run_program;

namespace {

const std::string kOver = "22.74 22.73 22.75\n22.14 22.13 22.15\n\n525\nyes\n";

/// \returns what was said, its lines joined
std::string said(const Home& home, const std::string& typed) {
  const auto ran = run_program(home, {}, typed + "quit\n");
  CHECK(ran.status == 0);
  return flat(ran.out);
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: a caliper left on inch is asked about at its first reading") {
    const std::string asked =
        "No strip is 0.895 mm wide; a caliper on inch reads so. Is it in inches? [yes] ▸ ";
    SUBCASE("it is: the readings are inches, and the corner is what it is in mm") {
      const Home home;
      add_dock(home);
      const auto out = said(home, "check\n600 600\n0.895 0.895 0.895\nyes\n0.872 0.871 0.872\n\n20.7\nyes\n");
      CHECK(holds(out, asked));
      CHECK(holds(out, "OUTSIDE (provisional): the corner is over 90° by 0.007 ± 0.004 in over 23.6 in"));
      CHECK_FALSE(holds(out, "First clear this up"));
    }
    SUBCASE("it is not: once asked, and told with the answer") {
      const Home home;
      add_dock(home);
      const auto out = said(home, "check\n600 600\n0.895\nno\n0.895 0.895\n0.872 0.871 0.872\n\n525\nyes\n");
      CHECK(count_of(out, "Is it in inches? [yes]") == 1);
      CHECK(holds(out,
                  "First clear this up: The widths are about 0.88 mm; no strip is, but in the other unit "
                  "they are 22.44 mm."));
      CHECK(holds(out, "Then check again, before anything is moved."));
    }
    SUBCASE("the question taken back, the reading is, too") {
      const Home home;
      add_dock(home);
      const auto out = said(home, "check\n600 600\n0.895\nundo\n" + kOver);
      CHECK(holds(out, "over 90° by 0.17 ± 0.09 mm over 600 mm"));
    }
    SUBCASE("on mm where inches are typed") {
      const Home home;
      add_dock(home);
      const auto out =
          said(home, "units in\ncheck\n24 24\n22.74 22.73 22.75\nyes\n22.14 22.13 22.15\n\n525\nyes\n");
      CHECK(holds(out, "Is it in mm? [yes] ▸ yes Millimetres"));
      CHECK(holds(out, "over 90° by 0.17 ± 0.09 mm over 600 mm"));
    }
    SUBCASE("typed with its unit it is meant so") {
      const Home home;
      add_dock(home);
      CHECK_FALSE(holds(said(home, "check\n600 600\n0.895 MM\n"), "Is it in inches"));
    }
  }

  TEST_CASE("prompt: places farther apart than the strip is long are neither offered nor taken unasked") {
    const Home home;
    add_dock(home);
    const auto out = said(home, "check\n600 600\n" + kOver + "check\n\n" +
                                    "22.74 22.73 22.75\n22.14 22.13 22.15\n\n525\nno\n456\nyes\n");
    // 548 mm less two strips and kerfs
    CHECK(holds(out, "mm between the two measured places ▸ 525 525 mm apart The strip is about 49"));
    CHECK(holds(out, "Are the places 525 mm apart all the same? [no] ▸ no"));
    CHECK(holds(out, "456 mm apart F at the fence"));
  }

  TEST_CASE("prompt: a move that reads as gone wrong is cleared up before another is advised") {
    const Home home;
    add_dock(home);
    const std::string moved = "check\n600 600\n" + kOver + "correct\n0\n1400\ndone\n";
    SUBCASE("on the wrong dog or face") {
      const auto out =
          said(home, moved + "check\n600 600\n23.27 23.27 23.27\n22.10 22.10 22.10\n\n525\nyes\n");
      CHECK(holds(out, "It fits: the wrong dog or face"));
      CHECK(holds(
          out, "First clear this up: The strip is 1.17 mm wider at F where 0.03 mm wider at F was expected"));
      CHECK(count_of(out, "layers of foil tape on the LEFT fence dog") == 0);
    }
    SUBCASE("nothing moved: the same readings are another check, and count") {
      const auto out = said(home, moved + "check\n600 600\n" + kOver);
      CHECK(holds(out, "It fits: nothing moved."));
      CHECK(holds(out, "Saved as check dock/3."));  // dock/2 is the rail's
      CHECK_FALSE(holds(out, "Not saved"));
    }
    SUBCASE("without a move the same readings are the same check") {
      CHECK(holds(said(home, "check\n600 600\n" + kOver + "check\n600 600\n" + kOver), "Not saved"));
    }
  }

  TEST_CASE("prompt: 'no' is no beginning of 'now'") {
    const AtDock at;
    keep_good_check(at.home);
    const auto out = said(at.home,
                          "check\n600 600\n22.71 22.70 22.71\n22.11 22.11 22.12\n\n525\nyes\nfind\nk\n\nyes\n"
                          "0.20\nno\n\nno\nlater\n");
    CHECK(
        holds(out, "now / later ▸ no error: answer is 'no', but must be now or later. now / later ▸ later"));
  }

  TEST_CASE("prompt: a hole larger than the grid, or a table past 10 m, is refused where it is typed") {
    const Home home;
    const auto out = said(home, "new\n96\n525\n20\n200 200\n9 11\nlater\n");
    CHECK(holds(out, "error: hole diameter is '525', but must be from 1 to 96 mm."));
    CHECK(holds(out, "error: columns, rows is '200 200', but must be as many as fit on a table of 10 m."));
    CHECK(holds(out, "9 columns, A to I; 11 rows"));
  }

  TEST_CASE("of several stations each is told with its last check and when it is due") {
    const Home home;
    add_dock(home);
    std::string other = run_program(home, {"station", "export", "dock"}).out;
    const auto named = other.find("\"name\": \"dock\"");
    REQUIRE(named != std::string::npos);
    other.replace(named, 14, "\"name\": \"loft\"");
    const auto id = other.find("\"id\"");
    if (id != std::string::npos) other.erase(id, other.find('\n', id) - id);
    REQUIRE(run_program(home, {"station", "add", home.write("loft.json", other)}).status == 0);
    said(home, "dock\ncheck\n600 600\n22.44 22.43 22.45\n22.44 22.43 22.45\n\n525\nyes\n");
    const auto told = run_program(home, {"history"});
    CHECK(told.status == 0);
    CHECK(holds(flat(told.out), "- dock, crosscut: last check "));
    CHECK(holds(flat(told.out), "Next due "));
    CHECK(holds(flat(told.out), "- loft, not checked yet."));
    CHECK(holds(told.out, "'history --station NAME'"));
    CHECK(holds(said(home, "dock\n"), "- loft, not checked yet. which [dock] ▸ "));
    CHECK(run_program(home, {"history", "--json"}).status == 2);  // a document is of one
  }

  TEST_CASE("log merge, given a document, names the word that takes it") {
    const Home home;
    add_dock(home);
    const auto document = home.write("log.json", run_program(home, {"log", "export"}).out);
    const auto ran = run_program(home, {"log", "merge", document});
    CHECK(ran.status == 4);
    CHECK(
        holds(flat(ran.err), "is a document of 'log export', not a log. Hint: quarterturn log import FILE"));
    CHECK(run_program(home, {"log", "import", document}).status == 0);
  }

  TEST_CASE("log import tells of readings that may be a mistake") {
    const Home home;
    add_dock(home);
    const std::string head = "# station: dock\n# date: 2026-03-14\n# unit: mm\n# caliper: digital\n";
    const std::string rows =
        "panel,from_cut,to_cut,position,width\n1,1,5,0,22.74\n1,1,5,0,2.73\n1,1,5,525,22.14\n1,1,5,525,22."
        "13\n";
    const auto ran = run_program(home, {"log", "import", home.write("typed.csv", head + rows)});
    CHECK(ran.status == 0);
    CHECK(holds(ran.out, "Taken in: 1 check"));
    CHECK(holds(ran.out, "typed.csv: first clear this up: Strip 1-5"));
    CHECK(holds(ran.out, "2.73 mm is no width of a strip of 22.14 mm"));
  }
}
