// SPDX-License-Identifier: MIT
#include <doctest/doctest.h>

#include "support/add_dock.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::run_program;

namespace {

const std::string kDescribe =
    "dock\n\n\n9 11\nE2\nE10\nright\nA9\nD9\n\n\n\n\ndigital\nfoil tape 8 layers 0.56\n";
const std::string kStrip = "22.74 22.73 22.75\n22.14 22.13 22.15\n\n";

}  // namespace

TEST_SUITE("cli") {
  // Three strips of 25 mm and three saw cuts of 3 mm come off one side: 84 mm.
  TEST_CASE("prompt: a panel that the cuts would leave under 300 mm is asked about") {
    const Home home;
    const auto talk =
        run_program(home, {}, kDescribe + "check\n383 700\n\n383 700\nundo\n384 700\n22.74\nquit\ny\n");
    CHECK(holds(flat(talk.out), "After cut 5 about 299 mm of its shorter side are left. Under 300 mm"));
    CHECK(holds(talk.out, "Go on with this panel all the same? [no]"));
    CHECK(talk.out.find("384 700") < talk.out.find("Care."));
    const auto on = run_program(home, {}, "check\n700 383\nyes\n22.74\nquit\ny\n");
    CHECK(holds(on.out, "1: F end 22.74 mm"));
    const auto inch = run_program(home, {}, "units in\ncheck\n15 x 20\n\n");
    const auto far = run_program(home, {}, "units in\ncheck\n24 x 24\n99\nquit\n");
    CHECK(holds(flat(far.out), "must be a strip's width from 0.02 to 78 in"));
    CHECK(holds(flat(inch.out), "about 11.7 in of its shorter side are left. Under 11.8 in"));
  }

  TEST_CASE("prompt: how far apart a short strip was measured is not offered for a larger panel") {
    const Home home;
    run_program(home, {}, kDescribe + "check\n400 400\n" + kStrip + "300\nyes\nquit\n");
    const auto larger = run_program(home, {}, "check\n900 900\n" + kStrip + "\n820\nyes\nquit\n");
    CHECK(holds(larger.out, "mm between the two measured places \u25b8"));
    CHECK(holds(flat(larger.out), "distance is missing, but must be given, such as 525"));
    CHECK(holds(larger.out, "820 mm apart"));
    const auto alike = run_program(home, {}, "check\n800 900\n" + kStrip + "\nyes\nquit\n");
    CHECK(holds(alike.out, "mm between the two measured places [820 mm] \u25b8"));
  }

  TEST_CASE("prompt: where no rail dog stands in the panel's way, none is told of") {
    const Home home;
    auto station = quarterturn::test::dock();
    station.rails["long"] = {"long", quarterturn::units::Length::from_mm(1400),
                             quarterturn::units::Length::from_mm(180), false};
    auto& setup = station.setups["crosscut"];
    setup.rail_name = "long";
    setup.keep = quarterturn::station::Side::right;  // the rail's breadth lies between dogs and panel
    run_program(home,
                {"station", "add", home.write("dock.json", quarterturn::files::write_station(station))});
    const auto talk = run_program(home, {}, "check\n600 600\nquit\n");
    CHECK(holds(talk.out, "It fits: no rail dog stands in its way."));
    CHECK_FALSE(holds(talk.out, "inf"));
  }

  // Strip 22.74 mm and saw cut 3 mm: three off one side, two off the other.
  TEST_CASE("prompt: a new check offers what the cuts left of the panel") {
    const Home home;
    const std::string check = "check\n600 620\n" + kStrip + "525\nyes\ncorrect\n0\n\ndone\n";
    const auto talk =
        run_program(home, {}, kDescribe + check + "check\n\n22.31\nlater\ny\ncheck\n700 700\nquit\n");
    CHECK(holds(flat(talk.out), "The 5 cuts left about 522 mm x 568 mm of the last panel."));
    CHECK(holds(talk.out, "How big is the panel [522 mm x 568 mm]"));
    CHECK(holds(talk.out, "  panel 522 mm x 568 mm\n"));
    const auto more = run_program(home, {},
                                  "check\n600 620\n22.74 22.75 22.74\n22.15 22.14 22.15\n\n525\nyes\nmore\n" +
                                      kStrip + "\nyes\n" + kStrip + "\nyes\ncheck\n\n");
    CHECK(holds(flat(more.out), "The 7 cuts left about 497 mm x 542 mm of the last panel."));
  }

  TEST_CASE("prompt: what is left of a small panel is not offered again, and more asks first") {
    const Home home;
    const std::string check = "check\n420 420\n" + kStrip + "350\nyes\n";
    const auto talk = run_program(home, {}, kDescribe + check + "check\n\n600 600\nlater\nquit\n");
    CHECK(
        holds(flat(talk.out), "342 mm x 368 mm of the last panel: too small for this test. Take a new one."));
    CHECK(holds(talk.out, "How big is the panel ▸"));
    CHECK(holds(talk.out, "panel is missing"));
    const auto more = run_program(home, {}, "check\n400 400\n" + kStrip + "350\nyes\nmore\n\nquit\n");
    CHECK(holds(flat(more.out), "After cut 7 about 297 mm of its shorter side are left."));
    CHECK_FALSE(holds(more.out, "strip 2-6"));
  }
}
