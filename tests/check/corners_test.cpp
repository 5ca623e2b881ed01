// SPDX-License-Identifier: MIT
#include "check/corners.hpp"

#include <doctest/doctest.h>

#include <random>
#include <string>

#include "support/simulate.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;

namespace {

check::Check shape(int panels, int cuts) {
  std::mt19937_64 random(1);
  test::Design design;
  design.panels = panels;
  design.cuts = cuts;
  return design.check(random);
}

/// '2|6 3|7': the groups of more than one corner, and how many stand alone.
std::string ties(const check::Corners& corners, int& alone) {
  std::string out;
  alone = 0;
  for (const auto& group : corners.groups()) {
    if (group.members.size() == 1) {
      ++alone;
      continue;
    }
    if (!out.empty()) out += ' ';
    for (std::size_t i = 0; i < group.members.size(); ++i) {
      if (i > 0) out += '|';
      out += std::to_string(corners.names[static_cast<std::size_t>(group.members[i])].cut);
    }
  }
  return out;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("neighbouring progressive strips share three corners") {
    const check::Corners corners = check::corners_of(shape(1, 8));
    REQUIRE(corners.strips == 4);
    REQUIRE(corners.columns() == 7);
    for (int s = 0; s + 1 < corners.strips; ++s) {
      double shared = 0;
      for (int c = 0; c < corners.columns(); ++c) shared += corners.at(s, c) * corners.at(s + 1, c);
      CHECK(shared == 3);
    }
    for (const double t : corners.t) CHECK(t == 4);
    CHECK_FALSE(corners.independent());
    CHECK(check::corners_of(shape(3, 5)).independent());
  }

  TEST_CASE("which cuts cannot be told apart") {
    int alone = 0;
    CHECK(ties(check::corners_of(shape(1, 8)), alone) == "2|6 3|7 4|8");
    CHECK(ties(check::corners_of(shape(1, 10)), alone) == "3|7 4|8 5|9");
    CHECK(alone == 3);  // 2, 6, 10
    CHECK(ties(check::corners_of(shape(1, 12)), alone) == "5|9");
    CHECK(ties(check::corners_of(shape(1, 13)), alone).empty());
    // five-cut panels: the four corners of a panel are one group; a single strip has none that could be
    // tested
    const auto panels = check::corners_of(shape(5, 5)).groups();
    REQUIRE(panels.size() == 5);
    for (const auto& group : panels) {
      CHECK(group.members.size() == 4);
      CHECK(group.testable);
    }
    const auto single = check::corners_of(shape(1, 5)).groups();
    REQUIRE(single.size() == 1);
    CHECK_FALSE(single[0].testable);
  }

  TEST_CASE("a four-cut starts from the trusted edge") {
    check::Check check = shape(1, 5);
    check.test = check::TestKind::four_cut;
    check.strips[0].from_cut = 0;
    check.strips[0].to_cut = 4;
    check::validate(check);
    const check::Corners corners = check::corners_of(check);
    REQUIRE(corners.columns() == 4);
    CHECK(corners.names[0].cut == 1);
    CHECK(corners.names[3].cut == 4);
  }

  TEST_CASE("cut pairs that are not four turns apart are refused") {
    check::Check check = shape(1, 5);
    check.strips[0].to_cut = 4;
    CHECK_THROWS_AS(check::validate(check), units::InputError);
    check.strips[0].from_cut = 5;
    check.strips[0].to_cut = 1;
    CHECK_THROWS_AS(check::validate(check), units::InputError);
    check = shape(1, 5);
    check.strips[0].from_cut = 2;
    check.strips[0].to_cut = 6;
    CHECK_THROWS_AS(check::validate(check), units::InputError);  // not in a five-cut test
    check.test = check::TestKind::progressive;
    check::validate(check);
    check.strips.push_back(check.strips[0]);
    CHECK_THROWS_AS(check::validate(check), units::InputError);  // the same strip twice
    check = shape(1, 5);
    check.strips[0].spots.pop_back();
    CHECK_THROWS_AS(check::validate(check), units::InputError);  // one spot only
  }
}
