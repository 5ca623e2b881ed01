// SPDX-License-Identifier: MIT
#include "units/tolerance.hpp"

#include <random>

#include <doctest/doctest.h>

#include "support/near.hpp"
#include "units/input_error.hpp"

using namespace quarterturn::units;
using quarterturn::test::near;

TEST_SUITE("units") {
  TEST_CASE("a tolerance as people type it") {
    const Tolerance mm = parse_tolerance("0.10 over 600");
    CHECK(near(mm.angle.rad(), 0.1 / 600, 1e-15, 0));
    REQUIRE(mm.offset);
    CHECK(mm.offset->mm() == 0.1);
    CHECK(mm.over->mm() == 600);
    CHECK(near(parse_tolerance("0.10 mm over 600 mm").angle.rad(), 0.1 / 600, 1e-15, 0));
    CHECK(near(parse_tolerance("0,10 OVER 600").angle.rad(), 0.1 / 600, 1e-15, 0));
    CHECK(near(parse_tolerance("0.004 in over 24 in").angle.rad(), 0.004 / 24, 1e-15, 0));
    CHECK(near(parse_tolerance("0.004 over 24", Unit::inch).over->mm(), 609.6, 1e-15, 0));
    for (const char* text : {"0.01 deg", "0.01 degrees", "0.01°", "0.01deg"}) {
      CAPTURE(text);
      const Tolerance deg = parse_tolerance(text);
      CHECK(near(deg.angle.deg(), 0.01, 1e-15, 0));
      CHECK_FALSE(deg.offset);
    }
  }

  TEST_CASE("a unit typed once holds for both lengths") {
    CHECK(near(parse_tolerance("0.004 over 24 in").offset->mm(), 0.1016, 1e-15, 0));
    CHECK(near(parse_tolerance("0.004 in over 24").over->mm(), 609.6, 1e-15, 0));
    CHECK(near(parse_tolerance("0.10 mm over 24 in", Unit::inch).offset->mm(), 0.1, 1e-15, 0));
  }

  TEST_CASE("what is no tolerance is refused") {
    for (const char* text : {"",
                             "0.10",
                             "0.10 mm",
                             "over",
                             "0.10 over",
                             "over 600",
                             "x over 600",
                             "0.10 over x",
                             "0 over 600",
                             "-0.1 over 600",
                             "0.1 over 0",
                             "0.1 over -600",
                             "20 over 600",
                             "0 deg",
                             "-0.01 deg",
                             "2 deg",
                             "0.01 mm deg",
                             "deg",
                             "0.1 over 600 over 3",
                             "1 rad"}) {
      CAPTURE(text);
      CHECK_THROWS_AS(parse_tolerance(text), InputError);
    }
    CHECK_THROWS_WITH_AS(
        parse_tolerance("20 over 600"),
        "tolerance is '20 over 600', but must be above 0 and at most 1 degree (17 mm over 1000 mm). Hint: "
        "0.10 over 600 means 0.10 mm out at the end of a 600 mm edge",
        InputError);
  }

  TEST_CASE("degrees come back as they were stated") {
    for (const double deg : {0.01, 0.0095, 0.1, 1.0, 0.0033333, 0.7})
      CHECK(stated_deg(Angle::from_deg(deg)) == deg);
  }

  TEST_CASE("degrees of many digits come back to the same angle") {
    // Turning degrees into an angle and back rounds four times, so that the degrees may be a place off.
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> uniform(1e-6, 1.0);
    CHECK(Angle::from_deg(stated_deg(Angle::from_deg(0.063940439040463939))) ==
          Angle::from_deg(0.063940439040463939));
    for (int i = 0; i < 20000; ++i) {
      const Angle angle = Angle::from_deg(uniform(random));
      if (Angle::from_deg(stated_deg(angle)) == angle) continue;
      FAIL("not the same angle from " << stated_deg(angle) << " degrees");
    }
  }
}
