// SPDX-License-Identifier: MIT
/// What strips tell of the corner, against panels that are really seated, sawn and turned in exact plane
/// geometry.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "station/geometry.hpp"
#include "support/near.hpp"
#include "support/oracle.hpp"
#include "support/tables.hpp"

using namespace quarterturn;
using test::near;

namespace {

constexpr double kHalfPi = std::numbers::pi / 2;

double sign_of(const test::Case& c) {
  return station::corner_sign(c.setup.keep, c.setup.panel_side);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE(
      "five-cut, four-cut and twelve progressive cuts give eta = q eps, every quadrant, either rail face") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const double eta = sign_of(c) * test::exact_eps(table);
      REQUIRE(std::fabs(eta) > 3e-4);
      const auto strips = test::cut_panel(table, test::skewed_panel(620, 600), 12);
      REQUIRE(strips.size() == 9);
      CHECK(strips[0].from_cut == 0);  // four-cut
      CHECK(strips[1].from_cut == 1);  // five-cut
      CHECK(strips[8].to_cut == 12);
      double sum = 0;
      for (const auto& strip : strips) {
        CHECK(strip.to_cut - strip.from_cut == 4);
        CHECK(near(strip.taper_rad() / 4, eta, 0, 1e-7));
        sum += strip.taper_rad() / 4;
      }
      CHECK(near(sum / 9, eta, 0, 1e-7));
    }
  }

  TEST_CASE(
      "the kept corner itself is over by q eps, and four turns multiply it by four") {  // common practice, no
                                                                                        // source
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const auto first = test::saw(table, test::skewed_panel(620, 600), 0, 1);
      CHECK(near(first.kept_corner_rad - kHalfPi, sign_of(c) * test::exact_eps(table), 0, 1e-14));
      const auto strip = test::cut_panel(table, test::skewed_panel(620, 600), 5).back();
      CHECK(near(strip.taper_rad(), 4 * (first.kept_corner_rad - kHalfPi), 1e-5, 0));
    }
  }

  TEST_CASE("the edge just cut goes to the fence by a quarter turn whose sense is that of q") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const auto first = test::saw(table, test::skewed_panel(620, 600), 0, 1);
      const auto second = test::saw(table, first.kept, 1, 2);
      CHECK(near(second.turned_rad, sign_of(c) * kHalfPi, 0, 0.01));  // counter-clockwise positive
    }
  }

  TEST_CASE("a cut that seats crookedly adds its angle to the corner before it") {
    for (const auto& each : test::square_cases()) {
      CAPTURE(each.name);
      const auto table = test::knocked_table(each);
      const double eta = sign_of(each) * test::exact_eps(table);
      const auto seating = [](int cut) { return 1e-4 * (cut == 2) - 3e-4 * (cut == 6); };
      const auto strips = test::cut_panel(table, test::skewed_panel(620, 600), 8, seating);
      const double expected[] = {4 * eta + 1e-4, 4 * eta + 1e-4, 4 * eta - 3e-4, 4 * eta - 3e-4,
                                 4 * eta - 3e-4};
      REQUIRE(strips.size() == 5);
      for (std::size_t i = 0; i < 5; ++i) CHECK(near(strips[i].taper_rad(), expected[i], 0, 1e-7));
    }
  }

  TEST_CASE("where the panel's width is taken square to does not matter") {
    const auto table = test::knocked_table(test::square_cases().front());
    const auto strip = test::cut_panel(table, test::skewed_panel(620, 600), 5).back();
    CHECK(near(strip.line_taper_rad(7), strip.taper_rad(), 0, 1e-12));
    // Square to one edge instead of the axis: the distance times cos(taper/2).
    const double taper = strip.taper_rad();
    CHECK(near(taper * std::cos(taper / 2), taper, 0, 4e-7 / 10));
    CHECK(near(strip.width_mm(20) - strip.width_mm(120), 100 * taper, 1e-9, 0));
  }

  TEST_CASE("on a straight bar strips tell the same; its taper turns the fence") {
    for (auto c : test::square_cases()) {
      CAPTURE(c.name);
      c.setup.bar = station::Bar{units::Length::from_mm(500), {}, units::Length::from_mm(0.2)};
      const auto table = test::knocked_table(c);
      const double eta = sign_of(c) * test::exact_eps(table);
      for (const auto& strip : test::cut_panel(table, test::skewed_panel(620, 600), 8)) {
        CHECK(near(strip.taper_rad() / 4, eta, 0, 1e-7));
      }
      auto straight = table;
      straight.bar->taper_mm = 0;
      const auto geometry = station::geometry_of(c.station, c.setup);
      const double by_taper = station::dot(geometry.fence->n, geometry.fence->m) * 0.2 / 500;
      CHECK(near(test::exact_eps(table) - test::exact_eps(straight), by_taper, 1e-6, 0));
    }
  }

  TEST_CASE("a mitre's kept corner is over its nominal by q eps") {
    for (const auto& c : test::mitre_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const double q = sign_of(c);
      const auto sawn = test::saw(table, test::skewed_panel(900, 600), 0, 1, {200, 0});
      CHECK(near(sawn.kept_corner_rad - test::nominal_corner_rad(c), q * test::exact_eps(table), 0, 1e-13));
    }
  }

  TEST_CASE("a panel that no longer reaches the outer fence dog is refused") {
    const auto table = test::knocked_table(test::square_cases().front());
    CHECK_THROWS(test::cut_panel(table, test::skewed_panel(480, 480), 12));
    CHECK_NOTHROW(test::cut_panel(table, test::skewed_panel(480, 480), 5));
  }

  TEST_CASE("measured strips carry exact widths, then noise and rounding as asked") {
    const auto table = test::knocked_table(test::square_cases().front());
    const auto strip = test::cut_panel(table, test::skewed_panel(620, 600), 5).back();
    const auto exact = test::measured(strip, 3, {20, 300}, 2);
    CHECK(exact.panel == 3);
    CHECK(exact.from_cut == 1);
    CHECK(exact.to_cut == 5);
    REQUIRE(exact.spots.size() == 2);
    REQUIRE(exact.spots[1].readings.size() == 2);
    CHECK(near(exact.spots[1].readings[0].mm, strip.width_mm(300), 1e-15, 0));
    double next = 1;
    const auto noisy = test::measured(strip, 1, {20}, 2, {0.1, 0.01, 0.01, [&next] { return next++; }});
    // one draw for the spot, then one a reading
    CHECK(near(noisy.spots[0].readings[0].mm, strip.width_mm(20) + 0.1 + 0.02, 0, 0.00501));
    CHECK(near(noisy.spots[0].readings[1].mm, strip.width_mm(20) + 0.1 + 0.03, 0, 0.00501));
    const auto& typed = noisy.spots[0].readings[0].as_typed;
    CHECK(typed.size() - typed.find('.') == 3);
  }
}
