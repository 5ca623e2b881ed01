// SPDX-License-Identifier: MIT
/// What the next strip should read, against the next strip: the advised shim is put on exact dogs and a panel
/// is sawn again.
#include <doctest/doctest.h>

#include <cmath>

#include "requests.hpp"
#include "support/near.hpp"
#include "support/oracle.hpp"

using namespace quarterturn;
using correct::Means;
using test::near;

namespace {

constexpr double kNearPlace = 20, kApart = 500;

/// F end minus free end of the fifth strip.
double difference(const test::Table& table) {
  const auto strip = test::cut_panel(table, test::skewed_panel(620, 610), 5).back();
  return strip.width_mm(kNearPlace) - strip.width_mm(kNearPlace + kApart);
}

check::Fit fit_with(double eta_rad, double u_rad, double seating_rad) {
  check::Fit fit;
  fit.eta.x = eta_rad;
  fit.eta.u = u_rad;
  fit.seating_rad = seating_rad;
  return fit;
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE(
      "the strip cut after the advised shim reads what was expected, every quadrant and face, either sign") {
    for (auto c : test::square_cases()) {
      for (const double push : {-0.25, 0.25}) {
        CAPTURE(c.name);
        CAPTURE(push);
        c.station.shims = {test::shim("foil tape", 0.07, 8)};
        auto table = test::table_of(c.station, c.setup);
        table.rail_far.shift = {push, 0.1};
        const double eps = test::exact_eps(table);
        const auto advice = correct::advise(test::request_for(c, eps, 1e-6));
        const auto& move = advice.moves.front();
        REQUIRE(move.advised);
        REQUIRE(move.means == Means::shim);
        const int q = station::corner_sign(c.setup.keep, c.setup.panel_side);
        const double before = difference(table);
        const auto expected = correct::expected_strip(fit_with(q * eps, 1e-6, 0), kApart, 4, 4, before, q,
                                                      move.moved_rad, move.u_action_rad, 0);
        CHECK(expected.was_mm == before);
        test::dog_of(table, test::number_of(move.dog)).shim_mm = 0.07 * move.parts.at(0).layers;
        const double after = difference(table);
        CHECK(near(after, expected.expect_mm, 0, 0.001));
        CHECK(std::fabs(after) < std::fabs(before) / 4);
        CHECK(std::fabs(after - before) > 0.3);
        // What the same shim does on the wrong dog of the line.
        auto wrong = table;
        test::dog_of(wrong, test::number_of(move.dog)).shim_mm = 0;
        test::dog_of(wrong, test::number_of(move.dog) ^ 1).shim_mm = 0.07 * move.parts.at(0).layers;
        CHECK(near(difference(wrong), expected.wrong_dog_mm, 0, 0.001));
        CHECK(near(-after, expected.f_wrong_now_mm, 0, 0.001));
      }
    }
  }

  TEST_CASE("an F written on the wrong end the first time shows as the move less what was read") {
    const auto c = test::square_cases()[1];
    auto table = test::table_of(c.station, c.setup);
    table.rail_far.shift = {-0.2, 0};
    const double eps = test::exact_eps(table);
    const double read_wrong = -difference(table);  // F swapped: the corner seems under
    const auto shifts = test::moves_of(correct::advise(test::request_for(c, -eps, 1e-6)), Means::shift);
    const auto expected = correct::expected_strip(fit_with(-eps, 1e-6, 0), kApart, 4, 4, read_wrong, 1,
                                                  shifts[0].moved_rad, 0, 0);
    table.rail_far.shift.x += shifts[0].shift_x_mm;
    CHECK(near(difference(table), expected.f_wrong_before_mm, 0, 0.001));
    CHECK(near(expected.f_wrong_before_mm, 4 * kApart * 2 * eps, 0, 0.001));
  }

  TEST_CASE("uncertainty of the expected strip") {
    // D^2 [16 (u^2 + u_a^2) + 4 sigma_r^2 + v], D 500
    const auto expected =
        correct::expected_strip(fit_with(2e-4, 3e-5, 5e-5), 500, 4, 4, 0.4, 1, -2e-4, 2e-5, 9e-10);
    const double variance = 16 * (9e-10 + 4e-10) + 4 * 25e-10 + 9e-10;
    CHECK(near(expected.u_mm, 500 * std::sqrt(variance), 1e-12, 0));
    CHECK(near(expected.expect_mm, 0, 0, 1e-12));
    CHECK(near(expected.wrong_dog_mm, 0.8, 1e-12, 0));
    CHECK(near(correct::expected_strip(fit_with(0, 0, 0), 500, 2, 4, 0.1, -1, 1e-4, 0, 0).expect_mm, 0.0, 0,
               1e-12));
  }
}
