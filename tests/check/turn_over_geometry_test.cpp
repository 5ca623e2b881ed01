// SPDX-License-Identifier: MIT
/// The turn-over test, pair and halves: what the gap tells, against pieces that are really sawn, turned over
/// and butted.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "check/bow.hpp"
#include "station/geometry.hpp"
#include "support/near.hpp"
#include "support/oracle_gap.hpp"
#include "support/tables.hpp"

using namespace quarterturn;
using test::near;

namespace {

/// What is left of straight edges is rounding.
constexpr double kExact = 1e-11;

double eta_of(const test::Case& c, const test::Table& table) {
  return station::corner_sign(c.setup.keep, c.setup.panel_side) * test::exact_eps(table);
}

/// A board, wider towards one of its ends: `kappa_rad` between its long edges 0 and -2, positive when edge 0
/// goes from the narrow end to the wide one.
test::Panel board(double length_mm, double width_mm, double kappa_rad) {
  const double wide_mm = width_mm + length_mm * std::tan(kappa_rad);
  return test::raw_panel({test::Point{0, 0}, {length_mm, 0}, {length_mm, wide_mm}, {0, width_mm}});
}
/// Whether edge 0 runs, counter-clockwise round the panel, towards the cut.
bool runs_to_the_cut(const test::Case& c) {
  return (c.setup.keep == station::Side::left) == (c.setup.panel_side == station::PanelSide::beyond);
}
/// `kappa_rad` positive: wider towards the offcut.
test::Panel board_on(const test::Case& c, double kappa_rad) {
  return board(1000, 320, runs_to_the_cut(c) ? kappa_rad : -kappa_rad);
}

double narrowest(const test::OracleGap& gap) {
  double least = gap.at(0);
  for (int i = 1; i <= 256; ++i) least = std::min(least, gap.at(gap.length_mm() * i / 256));
  return least;
}

test::OracleGap halves_of(const test::Table& table, const test::Panel& panel, double seating_rad,
                          const test::Laying& laying = {}) {
  const auto sawn = test::saw(table, panel, 0, 1, {380, seating_rad});
  return test::halves_gap(sawn.kept, sawn.strip.shape, 0, -2, 1, laying);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("a pair's gap opens by 2 eta + e_1 + e_2 + s_A + s_B, every quadrant, either rail face") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const double eta = eta_of(c, table);
      REQUIRE(std::fabs(eta) > 3e-4);
      for (const double sign : {1.0, -1.0}) {
        const double e_1 = 1.1e-4 * sign, e_2 = -3e-4, s_a = 2.3e-4, s_b = -0.7e-4 * sign;
        const auto a = test::saw(table, test::skewed_panel(620, 500), 0, 1, {25, e_1});
        const auto b = test::saw(table, test::skewed_panel(700, 480), 0, 1, {40, e_2});
        const test::Laying laying{{60, 300}, {40, 410}, s_a, s_b};
        const auto gap = test::pair_gap(a.kept, b.kept, 0, 1, laying);
        CHECK(near(gap.angle_rad(), 2 * eta + e_1 + e_2 + s_a + s_b, 0, kExact));
        // straight edges touch at one end: the free end if the gap is open at the fence
        const bool open_at_fence = gap.angle_rad() > 0;
        CHECK(near(gap.at(open_at_fence ? gap.length_mm() : 0), 0, 0, 1e-5));
        CHECK(gap.at(open_at_fence ? 0 : gap.length_mm()) > 0.1);
        CHECK(near(gap.middle_minus_mean_of_ends(), 0, 0, 1e-10));
        CHECK(near(gap.length_mm(), b.cut_length_mm, 0, 0.01));  // as long as the shorter cut
      }
    }
  }

  TEST_CASE("which of two pieces is turned over does not matter, and one must be") {
    const auto c = test::square_cases()[1];
    const auto table = test::knocked_table(c);
    const auto a = test::saw(table, test::skewed_panel(620, 500), 0, 1, {25, 4e-4}).kept;
    const auto b = test::saw(table, test::skewed_panel(640, 500), 0, 1).kept;
    const double taper = test::pair_gap(a, b, 0, 1).angle_rad();
    CHECK(near(test::pair_gap(b, a, 0, 1).angle_rad(), taper, 0, kExact));
    CHECK_THROWS(test::butted(a, 0, b, 0, 1));
  }

  TEST_CASE("a bowed rail curves a pair's gap by -2h and its taper tells the corner at the chord") {
    for (const auto& c : test::square_cases()) {
      for (const double h_mm : {0.02, -0.02, 0.05, -0.12, 0.4}) {
        for (const double rail_width_mm : {0.0, 60.0}) {
          CAPTURE(c.name);
          CAPTURE(h_mm);
          auto table = test::table_of(c.station, c.setup);
          table.rail_width_mm = rail_width_mm;
          table.curvature_per_mm = 8 * h_mm / (550.0 * 550);
          const auto a = test::saw(table, board(640, 550, 0), 0, 1);
          const auto b = test::saw(table, board(700, 550, 0), 0, 1);
          const double length_mm = a.cut_length_mm,
                       cut_h_mm = table.curvature_per_mm * length_mm * length_mm / 8;
          const auto gap = test::pair_gap(a.kept, b.kept, 0, 1);
          CHECK(near(gap.middle_minus_mean_of_ends(), -2 * cut_h_mm, 1e-8, 0));
          const double corner =
              check::bow_in_corner(cut_h_mm, length_mm, test::rail_middle_from_fence(table));
          CHECK(near(gap.angle_rad() / 2, corner, 2e-7, 0));
          CHECK(near(gap.angle_rad() / 2, a.kept_corner_rad - std::numbers::pi / 2, 1e-9, 0));
          CHECK(near(narrowest(gap), 0, 0, 1e-5));
        }
      }
    }
  }

  TEST_CASE("of cuts of unequal length the joint tells the chord over the shorter one") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      auto table = test::table_of(c.station, c.setup);
      table.curvature_per_mm = 8 * 0.08 / (550.0 * 550);
      const auto a = test::saw(table, board(640, 550, 0), 0, 1),
                 b = test::saw(table, board(700, 430, 0), 0, 1);
      const double h_mm = table.curvature_per_mm * 430 * 430 / 8;
      for (const auto& gap : {test::pair_gap(a.kept, b.kept, 0, 1), test::pair_gap(b.kept, a.kept, 0, 1)}) {
        CHECK(near(gap.middle_minus_mean_of_ends(), -2 * h_mm, 2e-3, 0));
        const double corner = check::bow_in_corner(h_mm, 430, test::rail_middle_from_fence(table));
        CHECK(near(gap.angle_rad() / 2, corner, 2e-3, 0));
      }
    }
  }

  TEST_CASE("long edges that are bowed themselves do no harm while they lie on the contacts of their cut") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      auto table = test::table_of(c.station, c.setup);
      table.curvature_per_mm = 8 * 0.06 / (550.0 * 550);
      const auto first = test::saw(table, board(640, 560, 0), 0, 1);
      const auto sawn = test::saw(table, first.kept, 1, 2);  // edge 1 on the fence is crowned
      const double length_mm = sawn.cut_length_mm, h_mm = table.curvature_per_mm * length_mm * length_mm / 8;
      const double corner = check::bow_in_corner(h_mm, length_mm, test::rail_middle_from_fence(table));
      const auto f = test::contacts_from_cut(table);
      const test::Laying same{f, f};
      CHECK(near(test::pair_gap(sawn.kept, sawn.kept, 1, 2, same).angle_rad() / 2, corner, 2e-3, 0));
      for (const std::array<double, 2> g : {std::array{30.0, 300.0}, std::array{200.0, 450.0}}) {
        const auto gap = test::pair_gap(sawn.kept, sawn.kept, 1, 2, {g, g});
        const double other_slope = table.curvature_per_mm * (f[0] + f[1] - g[0] - g[1]) / 2;
        CHECK(near(gap.angle_rad() / 2 - corner, other_slope, 5e-3, 0));
      }
    }
  }

  TEST_CASE("halves tell 2 (eta + e) + kappa + s_A + s_B, and the board end for end turns kappa round") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const double eta = eta_of(c, table);
      for (const double kappa : {0.0, 2e-3, -7e-4}) {
        const double e_1 = -2.1e-4, e_2 = 1.3e-4, s_a = 3e-4, s_b = 1.9e-4;
        const auto one = halves_of(table, board_on(c, kappa), e_1, {{60, 450}, {50, 320}, s_a, s_b});
        CHECK(near(one.angle_rad(), 2 * (eta + e_1) + kappa + s_a + s_b, 0, kExact));
        // The board's other end in the cut. Turned in the plane its other long edge comes to the fence,
        // turned over about its short axis the same one: edge 0 of the mirrored board.
        const auto two = halves_of(table, board_on(c, -kappa), e_2);
        CHECK(near(two.angle_rad(), 2 * (eta + e_2) - kappa, 0, kExact));
        const auto over = halves_of(table, test::turned_over(board_on(c, kappa)), e_2);
        CHECK(near(over.angle_rad(), 2 * (eta + e_2) - kappa, 0, kExact));
        const double eta_hat = (one.angle_rad() + two.angle_rad()) / 4;
        CHECK(near(eta_hat, eta + (e_1 + e_2) / 2 + (s_a + s_b) / 4, 0, kExact));
        const double kappa_hat = (one.angle_rad() - two.angle_rad()) / 2;
        CHECK(near(kappa_hat, kappa + e_1 - e_2 + (s_a + s_b) / 2, 0, kExact));
      }
    }
  }

  TEST_CASE("the kept piece turned over instead turns the sign of the whole reading") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const double kappa = 1.1e-3, e = 2e-4;
      const auto sawn = test::saw(table, board_on(c, kappa), 0, 1, {380, e});
      // both with the long edge on the fence that the kept piece had away from it
      const auto gap = test::butted(test::turned_over(sawn.kept), -2, sawn.strip.shape, 0, 1);
      CHECK(near(gap.angle_rad(), -(2 * (eta_of(c, table) + e) + kappa), 0, kExact));
    }
  }

  TEST_CASE("halves are blind to a symmetric bow, which still is in the corner they tell") {
    for (const auto& c : test::square_cases()) {
      for (const double h_mm : {0.05, -0.12}) {
        CAPTURE(c.name);
        CAPTURE(h_mm);
        auto table = test::table_of(c.station, c.setup);
        table.curvature_per_mm = 8 * h_mm / (320.0 * 320);
        const auto gap = halves_of(table, board_on(c, 0), 0);
        CHECK(near(gap.middle_minus_mean_of_ends(), 0, 0, 1e-9));
        const double corner = check::bow_in_corner(h_mm, 320, test::rail_middle_from_fence(table));
        REQUIRE(std::fabs(corner) > 3e-4);
        CHECK(near(gap.angle_rad() / 2, corner, 5e-6, 0));
      }
    }
  }

  // A bow of changing curvature: both tests show twice what of it is odd about the middle of the joint, and
  // the pair alone twice what is even.
  TEST_CASE("an S shape of the rail shows in pair and halves alike, twice as deep as on the edge") {
    const auto c = test::square_cases()[1];
    auto table = test::table_of(c.station, c.setup);
    table.s_shape_per_mm2 = 1e-9;
    const auto sawn = test::saw(table, board_on(c, 0), 0, 1, {380, 0});
    const auto pair = test::pair_gap(sawn.kept, sawn.kept, 0, 1);
    const auto halves = test::halves_gap(sawn.kept, sawn.strip.shape, 0, -2, 1);
    const double length = halves.length_mm();
    const auto odd = [length](const test::OracleGap& gap) {
      const double line = (gap.at(0) - gap.at(length)) / 2;
      return gap.at(length / 4) - gap.at(3 * length / 4) - line;
    };
    // k t^3 of half a length l: at half of it k (l^3/2 - l^3/8) = 3 k l^3/8 beside the chord, at both places
    const double l = length / 2;
    CHECK(near(std::fabs(odd(pair)), 2 * 2 * 3.0 / 8 * 1e-9 * l * l * l, 1e-3, 0));
    CHECK(near(odd(halves), odd(pair), 1e-3, 0));
    CHECK(near(halves.middle_minus_mean_of_ends(), 0, 0, 1e-5));
    CHECK(near(pair.middle_minus_mean_of_ends(), -2 * test::crown_mm(sawn.kept, 1), 1e-3, 0));
  }
}
