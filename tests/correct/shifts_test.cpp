// SPDX-License-Identifier: MIT
/// The plain shift of each of the four dogs, carried out on exact dogs.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "requests.hpp"
#include "support/near.hpp"
#include "support/oracle.hpp"

using namespace quarterturn;
using correct::Means;
using test::near;

namespace {

double apart(const test::OracleDog& a, const test::OracleDog& b) {
  return std::hypot(a.hole.x + a.shift.x - b.hole.x - b.shift.x, a.hole.y + a.shift.y - b.hole.y - b.shift.y);
}

/// Holes out of place square to their lines only by a little: eps near 6e-4.
void knock(test::Table& table, double along) {
  const auto u = [](const test::OracleDog& a, const test::OracleDog& b) {
    const double length = std::hypot(b.hole.x - a.hole.x, b.hole.y - a.hole.y);
    return test::Point{(b.hole.x - a.hole.x) / length, (b.hole.y - a.hole.y) / length};
  };
  const auto push = [](test::OracleDog& dog, test::Point direction, double along_mm, double across_mm) {
    dog.shift = {along_mm * direction.x - across_mm * direction.y,
                 along_mm * direction.y + across_mm * direction.x};
  };
  const auto rail = u(table.rail_near, table.rail_far), fence = u(table.fence_left, table.fence_right);
  push(table.rail_near, rail, -along / 2, -0.06);
  push(table.rail_far, rail, along / 2, 0.2);
  push(table.fence_left, fence, along / 2, 0.03);
  push(table.fence_right, fence, -along / 2, -0.02);
}

/// What each of the four shifts leaves of eps.
double worst_left(const test::Case& c, const test::Table& table, const correct::Request& request) {
  const auto advice = correct::advise(request);
  const auto shifts = test::moves_of(advice, Means::shift);
  CHECK(shifts.size() == 4);
  double worst = 0;
  for (const auto& shift : shifts) {
    CAPTURE(c.name);
    auto corrected = table;
    auto& dog = test::dog_of(corrected, test::number_of(shift.dog));
    dog.shift.x += shift.shift_x_mm;
    dog.shift.y += shift.shift_y_mm;
    worst = std::max(worst, std::fabs(test::exact_eps(corrected)));
    CHECK(near(shift.remaining_rad, 0, 0, 1e-15));
  }
  return worst;
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE(
      "each shift nulls eps to 1e-8 rad with true hole distances, every quadrant, either face, mitres too") {
    for (const auto& c : test::every_case()) {
      auto table = test::table_of(c.station, c.setup);
      knock(table, 0.6);
      const double eps = test::exact_eps(table);
      REQUIRE(std::fabs(eps) > 4e-4);
      auto request = test::request_for(c, eps);
      request.geometry.rail->baseline_mm = apart(table.rail_near, table.rail_far);
      request.geometry.fence->baseline_mm = apart(table.fence_left, table.fence_right);
      CHECK(worst_left(c, table, request) < 1e-8);
    }
  }

  TEST_CASE(
      "and to 2e-6 rad with the nominal distances and hole errors of 0.6 mm along the lines, mitres too") {
    for (const auto& c : test::every_case()) {
      for (const double along : {0.6, -0.6}) {
        auto table = test::table_of(c.station, c.setup);
        knock(table, along);
        const double eps = test::exact_eps(table);
        const auto request = test::request_for(c, eps);
        const double left = worst_left(c, table, request);
        // what is known of it, (M1): eps delta/B, of the shorter line
        const double shortest_mm =
            std::min(request.geometry.rail->baseline_mm, request.geometry.fence->baseline_mm);
        CHECK(near(left, std::fabs(eps) * 0.6 / shortest_mm, 0.02, 0));
        CHECK(left < 2e-6);
      }
    }
  }

  TEST_CASE("holes knocked every way, not square to their lines: what is left is second order, mitres too") {
    for (const auto& c : test::every_case()) {
      auto table = test::knocked_table(c);
      const double eps = test::exact_eps(table);
      auto request = test::request_for(c, eps);
      // along its line a hole is out by 0.4 mm at most, and a move square to the holes' line as drilled meets
      // a line that is turned by its own error
      CHECK(worst_left(c, table, request) < std::fabs(eps) * 0.4 / 192);
      request.geometry.rail->baseline_mm = apart(table.rail_near, table.rail_far);
      request.geometry.fence->baseline_mm = apart(table.fence_left, table.fence_right);
      CHECK(worst_left(c, table, request) < 1e-8);
    }
  }

  TEST_CASE("the shift table: far right, near left, right fence dog away, left one towards, for eps > 0") {
    const auto c = test::square_cases().front();
    const auto shifts = test::moves_of(correct::advise(test::request_for(c, 3e-4)), Means::shift);
    REQUIRE(shifts.size() == 4);
    CHECK(near(shifts[0].shift_x_mm, +3e-4 * 768, 1e-12, 0));
    CHECK(near(shifts[1].shift_x_mm, -3e-4 * 768, 1e-12, 0));
    CHECK(near(shifts[2].shift_y_mm, +3e-4 * 288, 1e-12, 0));
    CHECK(near(shifts[3].shift_y_mm, -3e-4 * 288, 1e-12, 0));
    CHECK(shifts[0].text == "Move the FAR rail dog (F10) by {amount} to the right.");
    CHECK(shifts[3].text == "Move the LEFT fence dog (B9) by {amount} towards you.");
    CHECK(near(shifts[0].numbers.at("amount"), 3e-4 * 768, 1e-12, 0));
  }

  TEST_CASE("dogs of unequal diameter and shims already there are no obstacle, mitres too") {
    for (auto c : test::every_case()) {
      c.station.dogs["tall-1"].diameter = units::Length::from_mm(20.15);
      c.station.dogs["low-2"].diameter = units::Length::from_mm(19.9);
      auto table = test::table_of(c.station, c.setup);
      table.fence_left.shim_mm = 0.04;
      const double eps = test::exact_eps(table);
      REQUIRE(std::fabs(eps) > 5e-5);
      CHECK(worst_left(c, table, test::request_for(c, eps)) < 1e-8);
    }
  }

  TEST_CASE("no error, no shift; a line that is not known, no shift of its dogs") {
    const auto c = test::square_cases().front();
    CHECK(test::moves_of(correct::advise(test::request_for(c, 0)), Means::shift).empty());
    auto request = test::request_for(c, 3e-4);
    request.geometry.fence.reset();
    CHECK(test::moves_of(correct::advise(request), Means::shift).size() == 2);
  }

  TEST_CASE("at a mitre a rail dog moves along the right normal") {
    const auto c = test::mitre_cases().front();
    const auto shifts = test::moves_of(correct::advise(test::request_for(c, 4e-4)), Means::shift);
    const double each = 4e-4 * 6 * 96 * std::sqrt(2.0) / std::sqrt(2.0);
    CHECK(near(shifts[0].shift_x_mm, each, 1e-12, 0));
    CHECK(near(shifts[0].shift_y_mm, -each, 1e-12, 0));
    CHECK(shifts[0].text.find("at right angles to its line ({x} to the right, {y} towards you)") !=
          std::string::npos);
  }

  TEST_CASE("on the other diagonal as well, and its near dog the opposite way") {
    const auto c = test::mitre_cases().back();
    REQUIRE(c.setup.nominal_deg == 135);
    const auto shifts = test::moves_of(correct::advise(test::request_for(c, 4e-4)), Means::shift);
    REQUIRE(shifts.size() == 4);
    const double each = 4e-4 * 6 * 96;
    CHECK(near(shifts[0].shift_x_mm, each, 1e-12, 0));
    CHECK(near(shifts[0].shift_y_mm, each, 1e-12, 0));
    CHECK(near(shifts[1].shift_x_mm, -each, 1e-12, 0));
    CHECK(near(shifts[1].shift_y_mm, -each, 1e-12, 0));
    CHECK(
        shifts[0].text ==
        "Move the FAR rail dog (C9) by {amount} at right angles to its line ({x} to the right, {y} away from "
        "you).");
    CHECK(near(shifts[2].shift_y_mm, 4e-4 * 192, 1e-12, 0));
    CHECK(shifts[2].shift_x_mm == 0);
  }
}
