// SPDX-License-Identifier: MIT
/// Which seatings a joint sums, written down by hand beside METHOD.md (M95)-(M97).
#include <doctest/doctest.h>

#include <set>

#include "check/corners.hpp"

using namespace quarterturn;
using check::Corners;
using check::Form;

namespace {

check::Check joints(Form form, const std::vector<int>& numbers, int pieces = 0, int outer_sign = 1) {
  check::Check check;
  const bool frame = form == Form::separate || form == Form::shared;
  check.test = frame ? check::TestKind::frame : check::TestKind::turn_over;
  check.form = form;
  check.pieces = pieces;
  check.outer_sign = outer_sign;
  for (const int number : numbers) check.strips.push_back({number, 0, 0, {{20, {{}}}, {500, {{}}}}});
  return check;
}

/// The counts of one joint that are not zero, in the order of its seatings.
std::vector<double> counts(const Corners& corners, int joint) {
  std::vector<double> out;
  for (int c = 0; c < corners.columns(); ++c) {
    if (corners.at(joint, c) != 0) out.push_back(corners.at(joint, c));
  }
  return out;
}
using Counts = std::vector<double>;

void each_seating_once(const Corners& corners) {
  const std::set<Corners::Name> names(corners.names.begin(), corners.names.end());
  CHECK(names.size() == corners.names.size());
  CHECK(corners.independent());
}

/// How many groups can be tested, and the joints named by the first one.
int testable(const Corners& corners) {
  int count = 0;
  for (const auto& group : corners.groups()) count += group.testable ? 1 : 0;
  return count;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("a pair: two cuts and two pieces lying there to be read, each joint's own") {
    const Corners corners = check::corners_of(joints(Form::pair, {1, 2, 3}));
    REQUIRE(corners.strips == 3);
    CHECK(corners.columns() == 12);
    each_seating_once(corners);
    for (int j = 0; j < 3; ++j) {
      CHECK(counts(corners, j) == Counts{1, 1, 1, 1});
      CHECK(corners.squares(j) == 4);
      CHECK(corners.t[static_cast<std::size_t>(j)] == 2);
    }
    using Names = std::vector<Corners::Name>;
    CHECK(Names(corners.names.begin() + 4, corners.names.begin() + 8) ==
          Names{{2, 1, 0}, {2, 2, 0}, {2, 2, 1}, {2, 2, 2}});
    CHECK(corners.boards == 0);
    CHECK(corners.contrasts() == 2);
    CHECK(corners.regressors() == Counts{2, 2, 2});
    CHECK_FALSE(corners.board_taper_unseen);
  }

  TEST_CASE(
      "halves: the one cut counts twice, and every board has its taper, turned round by its other end") {
    const Corners corners = check::corners_of(joints(Form::halves, {1, 2, 3, 4}));
    CHECK(corners.columns() == 12);
    each_seating_once(corners);
    for (int j = 0; j < 4; ++j) {
      CHECK(counts(corners, j) == Counts{2, 1, 1});
      CHECK(corners.squares(j) == 6);
      CHECK(corners.t[static_cast<std::size_t>(j)] == 2);
    }
    CHECK(corners.boards == 2);
    CHECK(corners.K == Counts{1, 0, -1, 0, 0, 1, 0, -1});
    CHECK(corners.regressors() == Counts{2, 1, 0, 2, -1, 0, 2, 0, 1, 2, 0, -1});
    CHECK(corners.contrasts() == 1);
    CHECK_FALSE(corners.board_taper_unseen);
  }

  TEST_CASE("halves whose joints come in any order, one board from one end only") {
    const Corners corners = check::corners_of(joints(Form::halves, {4, 5, 3}));
    CHECK(corners.boards == 2);
    CHECK(corners.K == Counts{-1, 0, 0, 1, 1, 0});
    CHECK(corners.contrasts() == 0);  // two corners are left, of which one is eta and one the lone board's
    CHECK_FALSE(corners.board_taper_unseen);
  }

  TEST_CASE("halves of boards from one end each do not tell their tapers from eta") {
    for (const std::vector<int>& numbers : {std::vector{1}, std::vector{2}, std::vector{1, 3, 6}}) {
      const Corners corners = check::corners_of(joints(Form::halves, numbers));
      CHECK(corners.board_taper_unseen);
      CHECK(corners.boards == 0);
      CHECK(corners.K.empty());
      CHECK(corners.regressors() == corners.t);
    }
    CHECK_FALSE(check::corners_of(joints(Form::pair, {1})).board_taper_unseen);
  }

  TEST_CASE("rings: every end a cut of its own, or two ends a cut but the first and the last") {
    for (const int pieces : {3, 4, 6, 24}) {
      for (const int sign : {1, -1}) {
        CAPTURE(pieces);
        CAPTURE(sign);
        const Corners own = check::corners_of(joints(Form::separate, {1, 2}, pieces, sign));
        CHECK(counts(own, 1) == Counts(static_cast<std::size_t>(2 * pieces), sign));
        CHECK(own.squares(0) == 2 * pieces);
        CHECK(own.t == Counts{sign * 2.0 * pieces, sign * 2.0 * pieces});
        each_seating_once(own);
        const Corners row = check::corners_of(joints(Form::shared, {1, 2}, pieces, sign));
        Counts expected(static_cast<std::size_t>(pieces + 1), 2.0 * sign);
        expected.front() = expected.back() = sign;
        CHECK(counts(row, 0) == expected);
        CHECK(row.squares(1) == 4 * pieces - 2);
        CHECK(row.t == own.t);
        each_seating_once(row);
        CHECK(row.contrasts() == 1);
      }
    }
  }

  TEST_CASE("the seatings of a joint are one group, whatever each counts for") {
    CHECK(testable(check::corners_of(joints(Form::pair, {1, 2, 3, 4, 5}))) == 5);
    CHECK(testable(check::corners_of(joints(Form::separate, {1, 2, 3, 4, 5}, 4))) == 5);
    CHECK(testable(check::corners_of(joints(Form::shared, {1, 2, 3, 4, 5}, 4, -1))) == 5);
    CHECK(testable(check::corners_of(joints(Form::pair, {1}))) == 0);  // alone it is eta itself
    // Two joints: one over, or the other under.
    const Corners two = check::corners_of(joints(Form::shared, {1, 2}, 4));
    const auto groups = two.groups();
    REQUIRE(groups.size() == 1);
    CHECK(groups[0].members.size() == 10);
    CHECK(groups[0].sign.front() == 1);
    CHECK(groups[0].sign.back() == -1);
  }

  TEST_CASE("both joints of a board are one group: its own taper hides which of them it was") {
    const Corners corners = check::corners_of(joints(Form::halves, {1, 2, 3, 4, 5, 6}));
    const auto groups = corners.groups();
    REQUIRE(groups.size() == 3);
    for (const auto& group : groups) {
      CHECK(group.testable);
      CHECK(group.members.size() == 6);
      for (const int sign : group.sign) CHECK(sign == 1);
      const int first = corners.names[static_cast<std::size_t>(group.members.front())].panel;
      for (const int member : group.members)
        CHECK((corners.names[static_cast<std::size_t>(member)].panel + 1) / 2 == (first + 1) / 2);
    }
    // A board that was cut from one end only has none to test: all that it reads is its own taper.
    int untestable = 0;
    for (const auto& group : check::corners_of(joints(Form::halves, {1, 2, 3, 4, 5})).groups())
      untestable += group.testable ? 0 : static_cast<int>(group.members.size());
    CHECK(untestable == 3);
  }
}
