// SPDX-License-Identifier: MIT
/// The written-out bow of the rail against panels sawn along a curved rail.
#include "check/bow.hpp"

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

struct FiveCuts {
  std::vector<test::Sawn> cuts;
  double h_mm = 0, length_mm = 0, middle_mm = 0, strip_and_kerf_mm = 0;
  std::array<double, 2> contacts_mm{};
};

FiveCuts sawn(const test::Table& table, double width_mm, double depth_mm) {
  FiveCuts made;
  test::Panel panel =
      test::raw_panel({test::Point{0, 0}, {width_mm, 0}, {width_mm, depth_mm}, {0, depth_mm}});
  for (int cut = 1; cut <= 5; ++cut) {
    made.cuts.push_back(test::saw(table, panel, cut - 1, cut));
    panel = made.cuts.back().kept;
  }
  made.length_mm = (made.cuts[3].cut_length_mm + made.cuts[4].cut_length_mm) / 2;
  made.h_mm = table.curvature_per_mm * made.length_mm * made.length_mm / 8;
  made.middle_mm = test::rail_middle_from_fence(table);
  made.contacts_mm = test::contacts_from_cut(table);
  const auto& strip = made.cuts.back().strip;
  made.strip_and_kerf_mm = strip.width_mm(strip.length_mm() / 2) + table.kerf_mm;
  return made;
}

double curvature_of(double h_mm, double length_mm) {
  return 8 * h_mm / (length_mm * length_mm);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("corner and strips of a bowed rail, every quadrant, crowned and hollow") {
    for (const auto& c : test::square_cases()) {
      for (const double h_mm : {0.02, -0.02, 0.05, -0.12, 0.4}) {
        for (const double rail_width_mm : {0.0, 60.0}) {
          CAPTURE(c.name);
          CAPTURE(h_mm);
          auto table = test::table_of(c.station, c.setup);
          table.rail_width_mm = rail_width_mm;
          table.curvature_per_mm = curvature_of(h_mm, 550);
          const auto made = sawn(table, 600, 600);
          const double first_mm = made.cuts[0].cut_length_mm;
          const double corner = check::bow_in_corner(table.curvature_per_mm * first_mm * first_mm / 8,
                                                     first_mm, made.middle_mm);
          CHECK(near(made.cuts[0].kept_corner_rad - kHalfPi, corner, 5e-4, 0));
          const double strip =
              check::bow_in_strip(made.h_mm, made.length_mm, made.middle_mm, made.contacts_mm[0],
                                  made.contacts_mm[1], made.strip_and_kerf_mm);
          // The bow itself shifts contacts and lengths by up to twice h: second order, it matters from h 0.05
          // on where the first-order terms nearly cancel.
          const double second_order = std::fabs(h_mm) > 0.03 ? table.curvature_per_mm * 2 * h_mm : 0;
          CHECK(near(made.cuts[4].strip.line_taper_rad(41) / 4, strip, 0.005, second_order));
        }
      }
    }
  }

  TEST_CASE("a bow adds to what the dogs do") {
    const auto c = test::square_cases()[1];
    auto table = test::table_of(c.station, c.setup);
    table.rail_far.shift = {0.05, 0};
    table.curvature_per_mm = curvature_of(0.02, 550);
    table.rail_width_mm = 60;
    const double q_eps = station::corner_sign(c.setup.keep, c.setup.panel_side) * test::exact_eps(table);
    const auto made = sawn(table, 600, 600);
    const double strip = check::bow_in_strip(made.h_mm, made.length_mm, made.middle_mm, made.contacts_mm[0],
                                             made.contacts_mm[1], made.strip_and_kerf_mm);
    CHECK(near(made.cuts[4].strip.line_taper_rad(41) / 4 - q_eps, strip, 0.005, 0));
  }

  TEST_CASE("a panel that is not square goes by the mean length of its last two cuts") {
    const auto c = test::square_cases()[1];
    auto table = test::table_of(c.station, c.setup);
    table.rail_width_mm = 60;
    table.curvature_per_mm = curvature_of(0.02, 550);
    for (const double depth_mm : {560.0, 640.0}) {
      const auto made = sawn(table, 600, depth_mm);
      const double strip = check::bow_in_strip(made.h_mm, made.length_mm, made.middle_mm, made.contacts_mm[0],
                                               made.contacts_mm[1], made.strip_and_kerf_mm);
      CHECK(near(made.cuts[4].strip.line_taper_rad(41) / 4, strip, 0.005, 0));
    }
  }

  TEST_CASE("strips are told from the corner by b, within 2h(strip + kerf)/L^2") {
    for (const double h_mm : {0.05, -0.1}) {
      const auto c = test::square_cases()[1];
      auto table = test::table_of(c.station, c.setup);
      table.curvature_per_mm = curvature_of(h_mm, 550);
      const auto made = sawn(table, 600, 600);
      const double corner = check::bow_in_corner(made.h_mm, made.length_mm, made.middle_mm);
      const double b = check::bow_bias(made.h_mm, made.length_mm, made.contacts_mm[0], made.contacts_mm[1]);
      const double strip = made.cuts[4].strip.line_taper_rad(41) / 4;
      const double slack =
          2 * std::fabs(made.h_mm) * made.strip_and_kerf_mm / (made.length_mm * made.length_mm);
      CHECK(near(strip - corner, b, 0, 1.02 * slack));
      CHECK(std::fabs(b) > 2 * slack);
    }
  }

  TEST_CASE("five-cut strips of a bowed rail stay straight") {
    const auto c = test::square_cases().front();
    auto table = test::table_of(c.station, c.setup);
    table.curvature_per_mm = curvature_of(0.1, 550);
    const auto strip = sawn(table, 600, 600).cuts[4].strip;
    const double length = strip.length_mm();
    const double sag = strip.width_mm(length / 2) - (strip.width_mm(5) + strip.width_mm(length - 5)) / 2;
    CHECK(near(sag, 0, 0, 1e-5));  // of a bow of 0.1 mm
  }

  TEST_CASE("a four-cut shows the bow as curvature: edge 0 is straight") {
    const auto c = test::square_cases().front();
    auto table = test::table_of(c.station, c.setup);
    table.curvature_per_mm = curvature_of(0.1, 550);
    const auto made = sawn(table, 600, 600);
    const auto& strip = made.cuts[3].strip;
    REQUIRE(strip.from_cut == 0);
    const double length = strip.length_mm();
    const double sag = strip.width_mm(length / 2) - (strip.width_mm(1) + strip.width_mm(length - 1)) / 2;
    CHECK(near(std::fabs(sag), 0.1 * std::pow(length / 550, 2), 0.02, 0));
  }

  TEST_CASE("figures: contacts at 96 and 288 mm, h 0.05 mm, are -0.06 to -0.07 mm over 600 mm") {
    for (const double length_mm : {500.0, 550.0, 600.0}) {
      const double over_600 = 600 * check::bow_bias(0.05, length_mm, 96, 288);
      CHECK(over_600 < -0.0545);
      CHECK(over_600 > -0.0725);
    }
    CHECK(near(check::bow_bias(0.05, 550, 175, 375), 0, 0, 1e-18));  // contacts symmetric about the middle
    CHECK(near(check::bow_over(0.2, 1200, 600), 0.05, 1e-15, 0));
  }
}
