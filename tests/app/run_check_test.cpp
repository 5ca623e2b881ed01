// SPDX-License-Identifier: MIT
#include "app/run_check.hpp"

#include <doctest/doctest.h>

#include "app/bare_geometry.hpp"
#include "app/typed_readings.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using quarterturn::test::near;

TEST_SUITE("app") {
  TEST_CASE("one strip: the corner is the taper over its four turns") {
    const auto outcome = app::run_check(test::ends_request());
    // 0.60 mm over 525 mm, four turns: 0.60 / 525 / 4 (METHOD.md (M7)).
    CHECK(near(outcome.fit.eta.x, 0.60 / 525 / 4, 1e-9, 0));
    REQUIRE(outcome.eps);
    CHECK(near(outcome.eps->x, outcome.fit.eta.x, 1e-12, 0));  // kept left, before: q = +1
    REQUIRE(outcome.verdict);
    CHECK(outcome.verdict->setup == check::Answer::outside);
    CHECK(outcome.verdict->provisional);
    CHECK(near(outcome.panel_mm, 600, 0, 1e-9));
  }

  TEST_CASE("the sign of the squareness error follows the kept side") {
    auto request = test::ends_request();
    request.bare.keep = station::Side::right;
    const auto outcome = app::run_check(request);
    REQUIRE(outcome.eps);
    CHECK(near(outcome.eps->x, -outcome.fit.eta.x, 1e-12, 0));
    CHECK(near(outcome.eps->half_width, outcome.fit.eta.half_width, 1e-12, 0));
  }

  TEST_CASE("what is not known leaves out what rests on it") {
    auto request = test::ends_request();
    request.bare = {};
    auto outcome = app::run_check(request);
    CHECK(!outcome.eps);
    CHECK(!outcome.advice);
    CHECK(outcome.verdict);
    request.tolerance.reset();
    outcome = app::run_check(request);
    CHECK(!outcome.verdict);
    request = test::ends_request();
    request.bare.rail_baseline_mm.reset();
    outcome = app::run_check(request);
    CHECK(outcome.eps);
    CHECK(!outcome.advice);
  }

  TEST_CASE("the command line's tolerance wins over the check's, and that over none") {
    auto request = test::ends_request();
    request.check.tolerance =
        units::Tolerance::from_mm_over(units::Length::from_mm(0.5), units::Length::from_mm(500));
    CHECK(near(app::run_check(request).tolerance->angle.rad(), 0.1 / 600, 1e-12, 0));
    request.tolerance.reset();
    const auto outcome = app::run_check(request);
    CHECK(near(outcome.tolerance->angle.rad(), 0.001, 1e-12, 0));
    CHECK(outcome.verdict->setup == check::Answer::within);
  }

  TEST_CASE("the expected strip of the plain far-rail shift is level") {
    const auto outcome = app::run_check(test::ends_request());
    REQUIRE(outcome.advice);
    REQUIRE(outcome.expected.size() == outcome.advice->moves.size());
    bool seen = false;
    for (std::size_t i = 0; i < outcome.expected.size(); ++i) {
      const auto& move = outcome.advice->moves[i];
      if (move.means != correct::Means::shift || move.dog != correct::WhichDog::rail_far) continue;
      seen = true;
      REQUIRE(outcome.expected[i]);
      CHECK(near(outcome.expected[i]->was_mm, 0.60, 0, 1e-9));
      CHECK(near(outcome.expected[i]->expect_mm, 0, 0, 1e-9));
      // METHOD.md, correction: dx = + eps B_rail of the far rail dog.
      CHECK(near(move.shift_x_mm, outcome.eps->x * 768, 1e-9, 0));
    }
    CHECK(seen);
  }

  TEST_CASE("without repeats, third place or caliper there is no interval, with a stated caliper there is") {
    auto request = test::ends_request();
    for (auto& spot : request.check.strips.front().spots) spot.readings.resize(1);
    request.check.caliper.reset();
    CHECK_THROWS_AS(app::run_check(request), check::NoInterval);
    request.check.caliper = check::Caliper{"stated", 0.01, 0.012, 0.25, 150};
    CHECK(app::run_check(request).fit.eta.half_width > 0);
  }

  TEST_CASE("a station's only caliper counts, and the readings of another station are refused") {
    auto request = test::station_request();
    const auto outcome = app::run_check(request);
    REQUIRE(outcome.check.caliper);
    CHECK(outcome.setup_name == "crosscut");
    CHECK(near(outcome.geometry->rail->baseline_mm, 768, 0, 1e-9));
    request.check.station = "loft";
    CHECK_THROWS_AS(app::run_check(request), units::InputError);
  }

  TEST_CASE("unseen seating, nothing assumed: no clear yes to a move") {
    auto request = test::ends_request();
    request.use_assumed = false;
    const auto outcome = app::run_check(request);
    REQUIRE(outcome.fit.eta.unknown);
    REQUIRE(outcome.advice);
    CHECK(outcome.advice->decision.correct != correct::Correct::yes);
  }

  TEST_CASE("a table from options: lines along the axes, normals where the sides are known") {
    app::BareSetup bare;
    CHECK(!app::geometry_of_bare(bare));
    bare.rail_baseline_mm = 768;
    auto geometry = app::geometry_of_bare(bare);
    REQUIRE(geometry);
    CHECK(geometry->q == 0);
    CHECK(geometry->rail->n.x == 0);  // face not known
    bare.rail_on_face = station::Side::left;
    bare.fence_baseline_mm = 288;
    bare.keep = station::Side::left;
    bare.panel_side = station::PanelSide::before;
    geometry = app::geometry_of_bare(bare);
    CHECK(geometry->q == 1);
    CHECK(geometry->rail->n.x == -1);
    CHECK(geometry->fence->n.y == -1);
    bare.rail_baseline_mm = 0.768;
    CHECK_THROWS_AS(app::geometry_of_bare(bare), units::InputError);
  }

  TEST_CASE("typed readings: several a line, commas, inches, fractions") {
    const auto mm = app::readings_of("22.74 22,73 mm 22.75", "reading", units::Unit::mm);
    REQUIRE(mm.size() == 3);
    CHECK(near(mm[1].mm, 22.73, 0, 1e-12));
    const auto inch = app::readings_of("0.895 in", "reading", units::Unit::mm);
    REQUIRE(inch.size() == 1);
    CHECK(near(inch[0].mm, 0.895 * 25.4, 1e-12, 0));  // international inch, exact
    CHECK(app::readings_of("  ", "reading", units::Unit::mm).empty());
    CHECK_THROWS_AS(app::readings_of("22.7x", "reading", units::Unit::mm), units::InputError);
  }
}
