// SPDX-License-Identifier: MIT
/// The frame: what the gap at its last joint tells, against pieces that are really mitred and laid into a
/// ring.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "check/bow.hpp"
#include "station/geometry.hpp"
#include "support/near.hpp"
#include "support/oracle_gap.hpp"
#include "support/oracle_parts.hpp"
#include "support/tables.hpp"

using namespace quarterturn;
using test::near;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kExact = 1e-11;
constexpr double kBoardMm = 1200, kWidthMm = 80, kWasteMm = 140;

/// A board between edge 0 and edge -2, which open by `kappa_rad` counter-clockwise along edge 0.
test::Panel board(double kappa_rad = 0) {
  const double end_mm = kWidthMm + kBoardMm * std::tan(kappa_rad);
  return test::raw_panel({test::Point{0, 0}, {kBoardMm, 0}, {kBoardMm, end_mm}, {0, kWidthMm}});
}

/// The kept corner over its nominal.
double over_nominal(const test::Case& c, const test::Table& table) {
  return station::corner_sign(c.setup.keep, c.setup.panel_side) * test::exact_eps(table);
}
/// The edge on the fence is the outer one when the kept corner is the acute mitre; else the other edge is,
/// the acute mitre is what is left of 180 degrees, and what the corner is over the mitre is under.
bool outer_on_fence(const test::Case& c) {
  return test::nominal_corner_rad(c) < kPi / 2;
}
double mitre_sign(const test::Case& c) {
  return outer_on_fence(c) ? 1 : -1;
}

/// Both ends on one setup, edge 0 on the fence each time: for its second end the piece is turned over.
test::FramePiece mitred(const test::Case& c, const test::Table& table, const test::Panel& raw, double e_1,
                        double e_2) {
  const auto one = test::saw(table, raw, 0, 1, {kWasteMm, e_1});
  const auto two = test::saw(table, test::turned_over(one.kept), 0, 2, {kWasteMm, e_2});
  return {two.kept, outer_on_fence(c) ? 0 : -2};
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("four pieces mitred on one setup: the last joint opens outside by the sum of eta + e_i") {
    for (const auto& c : test::mitre_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      const double eta = mitre_sign(c) * over_nominal(c, table);
      REQUIRE(std::fabs(eta) > 3e-4);
      std::vector<test::FramePiece> pieces;
      double sum = 0;
      for (int i = 0; i < 4; ++i) {
        const double e_1 = 2e-4 * (i - 1), e_2 = i == 2 ? -5e-4 : 1e-4;
        pieces.push_back(mitred(c, table, board(), e_1, e_2));
        sum += 2 * eta + mitre_sign(c) * (e_1 + e_2);
      }
      const auto gap = test::frame_gap(pieces);
      CHECK(near(gap.angle_rad(), sum, 0, kExact));
      CHECK(near(gap.at(sum > 0 ? gap.length_mm() : 0), 0, 0, 1e-4));  // touches inside if open outside
      CHECK(gap.at(sum > 0 ? 0 : gap.length_mm()) > 0.05);
    }
  }

  TEST_CASE("a board that is wider at one end closes into the same ring") {
    for (const auto& c : test::mitre_cases()) {
      CAPTURE(c.name);
      const auto table = test::knocked_table(c);
      std::vector<test::FramePiece> pieces;
      for (const double kappa : {1e-3, 1e-3, -2.5e-3, 4e-4}) {
        pieces.push_back(mitred(c, table, board(kappa), 0, 0));
      }
      const double eta = mitre_sign(c) * over_nominal(c, table);
      CHECK(near(test::frame_gap(pieces).angle_rad(), 8 * eta, 0, kExact));
    }
  }

  TEST_CASE("rings of 3, 4, 6 and 8 pieces, drawn with their mitres out by different angles") {
    for (const int n : {3, 4, 6, 8}) {
      for (const double eta : {6e-4, -8e-4, 0.005, -0.005}) {
        CAPTURE(n);
        CAPTURE(eta);
        const double nominal = kPi / 2 - kPi / n;
        std::vector<test::FramePiece> pieces;
        double sum = 0;
        for (int i = 0; i < n; ++i) {
          const double first = eta + 1e-4 * i, second = eta - 3e-4 * (i % 3);
          pieces.push_back(test::drawn_piece(i % 2 == 0 ? 400 : 460, 60, nominal + first, nominal + second));
          sum += first + second;
        }
        const auto gap = test::frame_gap(pieces);
        CHECK(near(gap.angle_rad(), sum, 0, kExact));
        CHECK(near(std::min(gap.at(0), gap.at(gap.length_mm())), 0, 0, 1e-9));
      }
    }
  }

  // The board is turned over about its long axis after each cut, so each cut makes the second end of one
  // piece and the first end of the next. The piece is the offcut.
  TEST_CASE("two ends made by one cut share its seating; edges out of parallel add their angle each time") {
    for (const auto& c : test::mitre_cases()) {
      for (const double kappa : {0.0, 8e-4}) {
        CAPTURE(c.name);
        CAPTURE(kappa);
        const auto table = test::knocked_table(c);
        const double eta = mitre_sign(c) * over_nominal(c, table);
        const double e[] = {1e-4, -2e-4, 4e-4, -3e-4, 2.5e-4};
        // Edge 0 runs counter-clockwise towards the cut when the cut follows it.
        const bool runs_to_the_cut =
            (c.setup.keep == station::Side::left) == (c.setup.panel_side == station::PanelSide::beyond);
        test::Panel raw = test::raw_panel({test::Point{0, 0}, {3600, 0}, {3600, 80}, {0, 80}});
        raw.corners[runs_to_the_cut ? 2 : 3].y += 3600 * std::tan(kappa);  // wider towards the cut
        auto stock = test::saw(table, raw, 0, 1, {kWasteMm, e[0]}).kept;
        std::vector<test::FramePiece> pieces;
        double sum = 0;
        for (int i = 1; i <= 4; ++i) {
          const int seat = i % 2 == 0 ? 0 : -2;
          const auto sawn = test::saw(table, test::turned_over(stock), seat, i + 1, {420, e[i]});
          // The stock's acute mitre lies at the edge on the fence, the piece's at the other one, or the
          // reverse.
          const int other = seat == 0 ? -2 : 0;
          pieces.push_back({sawn.strip.shape, outer_on_fence(c) ? other : seat});
          sum += 2 * eta + mitre_sign(c) * (e[i - 1] + e[i]);
          stock = sawn.kept;
        }
        const double from_edges = mitre_sign(c) * 4 * kappa;
        CHECK(near(test::frame_gap(pieces).angle_rad(), sum + from_edges, 0, kExact));
      }
    }
  }

  // The first end on one diagonal, the second on the other.
  TEST_CASE("rings with one end from each of two setups: n (eta_1 + eta_2)") {
    for (const auto& c_1 : test::mitre_cases()) {
      for (const auto& c_2 : test::mitre_cases()) {
        if (c_1.setup.nominal_deg != 45 || c_2.setup.nominal_deg != 135) continue;
        if (c_1.setup.panel_side != c_2.setup.panel_side) continue;
        CAPTURE(c_1.name);
        CAPTURE(c_2.name);
        // Kept on opposite sides: the same long edge on the fence. Kept on the same side: the piece is turned
        // end for end in the plane, its other long edge on the fence, so the outer edge lies there in one
        // setup only.
        const bool same_edge = c_1.setup.keep != c_2.setup.keep;
        REQUIRE((outer_on_fence(c_1) == outer_on_fence(c_2)) == same_edge);
        const auto table_1 = test::knocked_table(c_1);
        auto table_2 = test::knocked_table(c_2);
        table_2.rail_far.shift.x = -0.4;
        const double eta_1 = mitre_sign(c_1) * over_nominal(c_1, table_1),
                     eta_2 = mitre_sign(c_2) * over_nominal(c_2, table_2);
        REQUIRE(std::fabs(eta_1 - eta_2) > 1e-4);
        for (const double kappa : {0.0, 6e-4}) {
          const auto one = test::saw(table_1, board(kappa), 0, 1, {kWasteMm, 0});
          const auto two = test::saw(table_2, one.kept, same_edge ? 0 : -2, 2, {kWasteMm, 0});
          const test::FramePiece piece{two.kept, outer_on_fence(c_1) ? 0 : -2};
          // An acute mitre told from the edge that lay away from the fence is short by kappa at the board's
          // wide end, over by it at the narrow one.
          const double wide = test::label_after(two.kept, 0) == 2 ? 1 : -1;
          const double from_edges = same_edge ? 0 : -mitre_sign(c_1) * wide * 4 * kappa;
          CHECK(near(test::frame_gap({piece, piece, piece, piece}).angle_rad(),
                     4 * (eta_1 + eta_2) + from_edges, 0, kExact));
        }
      }
    }
  }

  TEST_CASE("a bowed rail curves the last joint by -2h, and its corner at the chord counts eight times") {
    for (const auto& c : test::mitre_cases()) {
      for (const double h_mm : {0.004, -0.004}) {
        CAPTURE(c.name);
        CAPTURE(h_mm);
        auto table = test::table_of(c.station, c.setup);
        const double length_mm = kWidthMm * std::numbers::sqrt2;
        table.curvature_per_mm = 8 * h_mm / (length_mm * length_mm);
        const auto piece = mitred(c, table, board(), 0, 0);
        const auto gap = test::frame_gap({piece, piece, piece, piece});
        CHECK(near(gap.middle_minus_mean_of_ends(), -2 * h_mm, 2e-3, 0));
        const double corner = check::bow_in_corner(h_mm, length_mm, test::rail_middle_from_fence(table));
        REQUIRE(std::fabs(corner) > 5e-5);
        CHECK(near(gap.angle_rad() / 8, mitre_sign(c) * corner, 5e-3, 0));
      }
    }
  }
}
