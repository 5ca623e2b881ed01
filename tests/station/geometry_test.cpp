// SPDX-License-Identifier: MIT
/// Lines, signs and effects of moves against exact tangents and clipped polygons.
#include "station/geometry.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "support/near.hpp"
#include "support/oracle.hpp"
#include "support/tables.hpp"
#include "units/angle.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using station::PanelSide;
using station::Side;
using test::near;

namespace {

/// Change of eps that the formulas give when dog `number` moves by (x, y).
double change_of(const station::Geometry& geometry, int number, station::Vec shift) {
  const bool second = number == 0 || number == 2;
  return number < 2 ? station::eps_change_rail(*geometry.rail, second, shift)
                    : station::eps_change_fence(*geometry.fence, second, shift);
}
const station::ContactLine& line_of(const station::Geometry& geometry, int number) {
  return number < 2 ? *geometry.rail : *geometry.fence;
}

}  // namespace

TEST_SUITE("station") {
  TEST_CASE("signs of the four quadrants") {
    CHECK(station::corner_sign(Side::left, PanelSide::before) == 1);
    CHECK(station::corner_sign(Side::right, PanelSide::before) == -1);
    CHECK(station::corner_sign(Side::left, PanelSide::beyond) == -1);
    CHECK(station::corner_sign(Side::right, PanelSide::beyond) == 1);
  }

  TEST_CASE("a true table has no squareness error, and its lines are those of its holes") {
    for (const auto& c : test::every_case()) {
      CAPTURE(c.name);
      const auto geometry = station::geometry_of(c.station, c.setup);
      const auto table = test::table_of(c.station, c.setup);
      CHECK(near(test::exact_eps(table), 0, 0, 1e-15));
      CHECK(near(geometry.nominal_rad, c.setup.nominal_deg * std::numbers::pi / 180, 1e-15, 0));
      const auto rail = test::rail_line(table), fence = test::fence_line(table);
      CHECK(near(rail.normal.x, geometry.rail->n.x, 0, 1e-14));
      CHECK(near(rail.normal.y, geometry.rail->n.y, 0, 1e-14));
      CHECK(near(fence.normal.x, geometry.fence->n.x, 0, 1e-14));
      CHECK(near(fence.normal.y, geometry.fence->n.y, 0, 1e-14));
    }
  }

  TEST_CASE("moving a dog changes eps as the formula says, every dog, quadrant, face and mitre") {
    for (const auto& c : test::every_case()) {
      const auto geometry = station::geometry_of(c.station, c.setup);
      for (int number = 0; number < 4; ++number) {
        CAPTURE(c.name);
        CAPTURE(number);
        auto table = test::table_of(c.station, c.setup);
        test::dog_of(table, number).shift = {0.05, -0.03};
        // second order: (0.06/192)^2 of the change
        CHECK(near(test::exact_eps(table), change_of(geometry, number, {0.05, -0.03}), 5e-4, 0));
      }
    }
  }

  // The line moves along n only. On a fence the right dog changes eps by -n_y z/B and the left one by +n_y
  // z/B: the fence turns by +n·m z/B at its right dog, and eps is rail minus fence.
  TEST_CASE("a shim on a dog's face changes eps as the formula says") {
    for (const auto& c : test::every_case()) {
      const auto geometry = station::geometry_of(c.station, c.setup);
      for (int number = 0; number < 4; ++number) {
        CAPTURE(c.name);
        CAPTURE(number);
        auto table = test::table_of(c.station, c.setup);
        test::dog_of(table, number).shim_mm = 0.07;
        const auto& line = line_of(geometry, number);
        CHECK(near(test::exact_eps(table), change_of(geometry, number, 0.07 * line.n), 1e-6, 0));
      }
    }
    const auto c = test::square_cases().front();
    auto table =
        test::table_of(c.station, c.setup);  // keep left, panel before: fence normal towards the operator
    table.fence_right.shim_mm = 0.288;
    CHECK(near(test::exact_eps(table), +0.001, 1e-6, 0));
    table.fence_right.shim_mm = 0;
    table.fence_left.shim_mm = 0.288;
    CHECK(near(test::exact_eps(table), -0.001, 1e-6, 0));
  }

  TEST_CASE("dogs of unequal diameter turn the line") {
    for (auto c : test::every_case()) {
      CAPTURE(c.name);
      c.station.dogs["tall-2"].diameter = units::Length::from_mm(20.1);
      c.station.dogs["low-1"].diameter = units::Length::from_mm(19.96);
      const auto geometry = station::geometry_of(c.station, c.setup);
      const double eps = geometry.rail->oversize_angle_rad - geometry.fence->oversize_angle_rad;
      CHECK(near(test::exact_eps(test::table_of(c.station, c.setup)), eps, 1e-6, 0));
    }
  }

  TEST_CASE("holes that do not make the nominal angle are refused") {
    auto c = test::square_cases().front();
    c.setup.nominal_deg = 89.98;
    CHECK_THROWS_AS(station::geometry_of(c.station, c.setup), units::InputError);
    c.setup.nominal_deg = 90.005;
    CHECK_NOTHROW(station::geometry_of(c.station, c.setup));
    c.setup.rail.second.hole.column += 1;
    CHECK_THROWS_AS(station::geometry_of(c.station, c.setup), units::InputError);
  }

  TEST_CASE("what a panel seats on: the fence dogs, or the bar") {
    auto c = test::square_cases().front();
    CHECK(near(station::geometry_of(c.station, c.setup).seating_span_mm().value(), 288, 1e-15, 0));
    c.setup.bar = station::Bar{units::Length::from_mm(600), {}, {}};
    CHECK(near(station::geometry_of(c.station, c.setup).seating_span_mm().value(), 600, 1e-15, 0));
    CHECK(!station::Geometry{}.seating_span_mm().has_value());
  }

  // Rail E2-E10, fence A9-D9, 96 mm pitch, 20 mm dogs: 7 pitches less two radii are free.
  TEST_CASE("room between near rail dog and fence") {
    auto table = test::bare_table();
    station::Setup setup = test::square_setup(Side::left, PanelSide::before, Side::right);
    setup.rail.first.hole = {5, 2};
    setup.rail.second.hole = {5, 10};
    setup.fence.first.hole = {1, 9};
    setup.fence.second.hole = {4, 9};
    const auto room = station::room_of(table, setup);
    REQUIRE(room.has_value());
    CHECK(near(room->between_near_dog_and_fence_mm, 652, 1e-12, 0));
    CHECK(near(room->fence_inner_mm, 106, 1e-12, 0));
    CHECK(near(room->fence_outer_mm, 394, 1e-12, 0));
    table.rails["long"] = {"long", units::Length::from_mm(1400), units::Length::from_mm(180), false};
    setup.rail_name = "long";
    CHECK(near(station::room_of(table, setup)->fence_outer_mm, 574, 1e-12, 0));
    // On the other face the rail lies on the kept part: the offcut never reaches the dogs.
    setup.rail_on_face = Side::left;
    CHECK(std::isinf(station::room_of(table, setup)->between_near_dog_and_fence_mm));
    CHECK(near(station::room_of(table, setup)->fence_outer_mm, 194, 1e-12, 0));
  }

  TEST_CASE("room and contacts agree with the exact lines in every quadrant") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto room = station::room_of(c.station, c.setup);
      REQUIRE(room.has_value());
      const auto contacts = test::contacts_from_cut(test::table_of(c.station, c.setup));
      CHECK(near(room->fence_inner_mm, contacts[0], 1e-12, 0));
      CHECK(near(room->fence_outer_mm, contacts[1], 1e-12, 0));
      CHECK(near(room->between_near_dog_and_fence_mm, 7 * 96 - 20, 1e-12, 0));
    }
    for (const auto& c : test::mitre_cases()) CHECK(!station::room_of(c.station, c.setup).has_value());
  }

  // Facts of the trade: common practice, no source.
  TEST_CASE("a 3-4-5 triangle of holes is right-angled") {
    const auto table = test::bare_table();
    const auto corner = station::hole_centre(table.grid, {2, 2});
    const auto across = station::hole_centre(table.grid, {5, 2}) - corner;
    const auto away = station::hole_centre(table.grid, {2, 6}) - corner;
    const auto long_side = across - away;
    CHECK(near(std::hypot(across.x, across.y), 3 * 96.0, 1e-15, 0));
    CHECK(near(std::hypot(away.x, away.y), 4 * 96.0, 1e-15, 0));
    CHECK(near(std::hypot(long_side.x, long_side.y), 5 * 96.0, 1e-15, 0));
    CHECK(near(station::dot(across, away), 0, 0, 1e-12));
  }

  TEST_CASE("a thousandth of a degree over 500 mm is 0.0087 mm a cut") {
    CHECK(near(units::Angle::from_deg(0.001).over(units::Length::from_mm(500)).mm(), 0.0087, 0, 0.00005));
  }
}
