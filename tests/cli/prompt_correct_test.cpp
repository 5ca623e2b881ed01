// SPDX-License-Identifier: MIT
#include <doctest/doctest.h>

#include "files/station_file.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

namespace files = quarterturn::files;
namespace station = quarterturn::station;
namespace test = quarterturn::test;
namespace units = quarterturn::units;
using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::run_program;

namespace {

/// The invented station `dock` with a five-cut that finds it outside.
const std::string kFound =
    "dock\n\n\n9 11\nE2\nE10\nright\nA9\nD9\n\n\n\n\ndigital\nfoil tape 8 layers 0.56\n"
    "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n\n525\nyes\n";

std::string from(const std::string& text, const std::string& part) {
  const auto at = text.find(part);
  REQUIRE(at != std::string::npos);
  return flat(text.substr(at));
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: undo stays in the correction and goes back one question") {
    const Home home;
    const auto talk = run_program(
        home, {}, kFound + "correct\nundo\n0\nundo\n0\n\nundo\n0\n\ndifferently\nundo\ndone\nquit\n");
    const std::string correction = from(talk.out, "dock ▸ correct");
    CHECK(holds(correction, "Nothing to take back."));
    CHECK_FALSE(holds(correction, "begin it again"));
    CHECK(count_of(correction, "widest gap by feeler") == 4);
    CHECK(count_of(correction, "how long is the rail, in mm [skip]") == 3);
    CHECK(count_of(correction, "done / differently / later") == 3);
    CHECK(count_of(correction, "number of the way you took") == 1);
    CHECK(holds(correction, "Noted. All four edges are now old"));
  }

  TEST_CASE("prompt: a small correction asks of no rail, and undo stays in it too") {
    const Home home;
    std::string small = kFound;
    small.replace(small.find("22.14 22.13 22.15"), 17, "22.41 22.40 22.42");
    const auto talk = run_program(home, {}, small + "correct\nundo\ndone\nquit\n");
    const std::string correction = from(talk.out, "dock ▸ correct");
    CHECK_FALSE(holds(correction, "widest gap"));
    CHECK(holds(correction, "Nothing to take back."));
    CHECK(count_of(correction, "Unplug the saw") == 1);
    CHECK(holds(correction, "Noted."));
  }

  TEST_CASE("prompt: a bowed rail has a next step, and why speaks of it") {
    const Home home;
    const auto talk =
        run_program(home, {}, kFound + "correct\n1.00\nq\nMiddle\nundo\nundo\n1.00\ne\n600\n\nwhy\nquit\n");
    const std::string correction = from(talk.out, "dock ▸ correct");
    CHECK(holds(correction, "answer is 'q', but must be middle or ends"));
    CHECK(holds(correction, "The rail's edge is crowned by 0.50 ± "));
    CHECK(holds(correction, "Leave the dogs. Hold a straightedge along the rail"));
    CHECK(holds(correction, "The dogs stay where they are."));
    const std::string why = from(correction, "dock ▸ why");
    CHECK(holds(why, "(rail test dock/2): its edge is crowned by 0.50 ± "));
    CHECK(holds(why, "begin again with new cuts"));
    const auto straight =
        run_program(home, {}, kFound.substr(kFound.find("check")) + "correct\n0\n\nlater\nwhy\nquit\n");
    CHECK(holds(from(straight.out, "dock ▸ why"), "tried end for end on 20"));
  }

  TEST_CASE("prompt: a rail whose bow is no matter does not hold the dogs back") {
    const Home home;
    const auto talk = run_program(home, {}, kFound + "correct\n0.20\ne\n600\ndone\nquit\n");
    const std::string correction = from(talk.out, "dock ▸ correct");
    CHECK(holds(correction, "by 0.10 ± 0.06 mm over 600 mm"));
    CHECK(holds(correction, "That is no matter here"));
    CHECK_FALSE(holds(correction, "all the same?"));
    CHECK(holds(correction, "Noted."));
  }

  TEST_CASE("prompt: a rail that was tried is kept as a rail test and not asked for again") {
    const Home home;
    const std::string found = kFound.substr(kFound.find("check"));
    run_program(home, {}, kFound + "correct\n0\n1300\nundo\n0\n1400\nlater\nquit\n");
    const auto log = run_program(home, {"log", "show", "dock/2"});
    CHECK(holds(log.out, "rail"));
    CHECK(holds(flat(log.out), "over 1400 mm"));
    CHECK(holds(run_program(home, {"log", "verify"}).out, "2 checks"));
    std::string second = found;
    second.replace(second.find("22.74 22.73"), 11, "22.75 22.73");
    const auto again = run_program(home, {}, second + "correct\ndone\nquit\n");
    const std::string correction = from(again.out, "dock ▸ correct");
    CHECK_FALSE(holds(correction, "widest gap"));
    CHECK(holds(correction, "(rail test dock/2): straight as far as that saw."));
    CHECK(holds(correction, "Noted."));
    // Another rail, and it is tried anew.
    run_program(home, {"log", "event", "dock", "other rail"});
    second.replace(second.find("22.75 22.73"), 11, "22.75 22.74");
    const auto other = run_program(home, {}, second + "correct\nlater\nquit\n");
    CHECK(holds(from(other.out, "dock ▸ correct"), "widest gap by feeler"));
  }

  TEST_CASE(
      "prompt: of a rail whose length is skipped nothing is kept, and this check knows it all the same") {
    const Home home;
    const auto talk = run_program(home, {}, kFound + "correct\n0\n\nlater\ncorrect\nlater\nquit\n");
    CHECK(count_of(talk.out, "widest gap by feeler") == 1);
    CHECK(holds(talk.out, "straight as far as that saw"));
    CHECK(count_of(talk.out, "Saved as check") == 1);
  }

  TEST_CASE("prompt: what a bowed rail does, over the kept piece and over the offcut") {
    // Fence contacts 166 and 454 mm from the cut, or 26 and 314; (4 (f1 + f2 - 544) + 2 28) h/544^2, over
    // 600 mm. Edge crowned by 0.4 mm over 1088 mm, so 0.1 mm over 544: the kept edge likewise, or hollow.
    for (const bool over_kept : {true, false}) {
      const Home home;
      auto dock = test::dock();
      auto& setup = dock.setups.at("crosscut");
      setup.rail_name = "long";
      setup.rail_on_face = over_kept ? station::Side::right : station::Side::left;
      dock.rails["long"] = {"long", units::Length::from_mm(1088), units::Length::from_mm(60), false};
      run_program(home, {"station", "add", home.write("dock.json", files::write_station(dock))});
      const auto talk =
          run_program(home, {}, kFound.substr(kFound.find("check")) + "correct\n0.80\ne\n\nquit\n");
      const std::string correction = from(talk.out, "dock ▸ correct");
      CHECK(holds(correction, "crowned by 0.40 ± "));
      CHECK(holds(correction, std::string("Over a cut of 544 mm the kept edge comes out ") +
                                  (over_kept ? "crowned" : "hollow") + " by 0.100 mm"));
      CHECK(holds(correction, over_kept ? "strips read 0.07 ± 0.01 mm (over 600 mm) further over 90°"
                                        : "strips read 0.15 ± 0.02 mm (over 600 mm) further over 90°"));
    }
  }

  TEST_CASE("the saw is unplugged once, before the first thing to touch") {
    const Home home;
    const auto talk = run_program(home, {}, kFound + "correct\n0\n\ndone\nquit\n");
    const std::string correction = from(talk.out, "dock ▸ correct");
    CHECK(count_of(correction, "Unplug the saw") == 1);
    CHECK(correction.find("Unplug the saw") < correction.find("knife line"));
    const auto command = run_program(home, {"correct", "--station", "dock", "--fence-end", "22.74",
                                            "--free-end", "22.14", "--apart", "525", "--no-log"});
    REQUIRE(holds(command.out, "knife line"));
    CHECK(count_of(command.out, "Unplug the saw") == 1);
  }
}
