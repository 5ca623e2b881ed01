// SPDX-License-Identifier: MIT
/// Which setups a test can tell, by the angles of regular polygons.
#include <doctest/doctest.h>

#include "app/nominal.hpp"
#include "support/tables.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;

TEST_SUITE("app") {
  TEST_CASE("half the corner of a regular polygon is the mitre that so many pieces close with") {
    for (const auto& c : test::mitre_cases()) {
      CAPTURE(c.name);
      CHECK(app::pieces_that_close(c.setup) == 4);  // a square: 90 degrees, 45 each
      auto setup = c.setup;
      for (int pieces = 3; pieces <= 24; ++pieces) {
        const double corner_deg = 180.0 * (pieces - 2) / pieces;
        setup.nominal_deg = corner_deg / 2;
        CHECK(app::pieces_that_close(setup) == pieces);
        setup.nominal_deg = 180 - corner_deg / 2;
        CHECK(app::pieces_that_close(setup) == pieces);
      }
      setup.nominal_deg = 50;
      CHECK(app::pieces_that_close(setup) == 0);
    }
    for (const auto& c : test::square_cases()) CHECK(app::pieces_that_close(c.setup) == 0);
  }

  TEST_CASE("strips and turned pieces are held to right angles, frames to their pieces, a rail to nothing") {
    const auto mitre = test::mitre_cases().front();
    const auto square = test::square_cases().front();
    check::Check check;
    for (const auto kind : {check::TestKind::five_cut, check::TestKind::turn_over}) {
      check.test = kind;
      CHECK_NOTHROW(app::hold_to_nominal(check, square.setup));
      CHECK_THROWS_AS(app::hold_to_nominal(check, mitre.setup), units::InputError);
    }
    check.test = check::TestKind::rail;
    CHECK_NOTHROW(app::hold_to_nominal(check, mitre.setup));
    check.test = check::TestKind::frame;
    check.pieces = 4;
    CHECK_NOTHROW(app::hold_to_nominal(check, mitre.setup));
    CHECK_THROWS_AS(app::hold_to_nominal(check, square.setup), units::InputError);
    check.pieces = 6;
    CHECK_THROWS_AS(app::hold_to_nominal(check, mitre.setup), units::InputError);
  }
}
