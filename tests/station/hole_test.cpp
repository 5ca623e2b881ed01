// SPDX-License-Identifier: MIT
#include "station/hole.hpp"

#include <doctest/doctest.h>

#include <string>

#include "units/input_error.hpp"

using namespace quarterturn;

TEST_SUITE("station") {
  TEST_CASE("hole names count columns in letters from the left front corner") {
    CHECK(station::parse_hole("A1") == station::Hole{1, 1});
    CHECK(station::parse_hole("E10") == station::Hole{5, 10});
    CHECK(station::parse_hole(" e10 ") == station::Hole{5, 10});
    CHECK(station::parse_hole("Z1").column == 26);
    CHECK(station::parse_hole("AA3") == station::Hole{27, 3});
    CHECK(station::parse_hole("ZZZ9999") == station::Hole{18278, 9999});
  }

  TEST_CASE("every column's name reads back") {
    for (int column = 1; column <= 18278; column += 7) {
      const station::Hole hole{column, 1 + column % 9999};
      CHECK(station::parse_hole(hole.name()) == hole);
    }
    CHECK(station::Hole{702, 4}.name() == "ZZ4");
    CHECK(station::Hole{703, 4}.name() == "AAA4");
  }

  TEST_CASE("what is no hole is refused with what it must be") {
    for (const char* text : {"", "E", "10", "10E", "E0", "E-1", "E1.5", "E 10", "AAAA1", "E10000", "E1x",
                             "É1", "E99999999999"}) {
      CAPTURE(text);
      CHECK_THROWS_AS(station::parse_hole(text), units::InputError);
    }
    try {
      station::parse_hole("10E");
      FAIL("accepted");
    } catch (const units::InputError& error) {
      CHECK(error.subject() == "hole");
      CHECK(error.value() == "10E");
      CHECK(error.must_be().find("E10") != std::string::npos);
    }
  }
}
