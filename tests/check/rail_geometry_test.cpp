// SPDX-License-Identifier: MIT
/// A rail turned end for end against its own line, and what its edge does to the edge that is kept.
///
/// The rail's back rests on the dogs' face `rail_on_face`, so the rail lies on that side of its dogs and its
/// guiding edge looks the same way. Where the kept piece lies on the other side of the cut (`keep` is not
/// `rail_on_face`) the rail lies over the kept piece: what stands out of the rail stands out of the panel,
/// h_kept = +h_edge. Where `keep` is `rail_on_face` the rail lies over the offcut: h_kept = -h_edge.
#include <doctest/doctest.h>

#include <cmath>

#include "check/bow.hpp"
#include "station/geometry.hpp"
#include "support/near.hpp"
#include "support/oracle_gap.hpp"
#include "support/oracle_parts.hpp"
#include "support/tables.hpp"

using namespace quarterturn;
using test::near;

namespace {

double kept_sign(const station::Setup& setup) {
  return setup.rail_on_face != setup.keep ? 1 : -1;
}

/// Largest distance of the guiding edge from the path of the saw, away from its constant offset in the
/// middle.
double off_the_path(const test::Table& table, const std::vector<test::Point>& edge) {
  const auto path = test::path_of(table);
  const double middle = path.beyond(edge[edge.size() / 2], 0);
  double worst = 0;
  for (const test::Point p : edge) worst = std::max(worst, std::fabs(path.beyond(p, 0) - middle));
  return worst;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("a rail turned end for end: middle minus mean of the ends is -2h, an S is not seen") {
    for (const double h_mm : {0.05, -0.05, 0.4, -0.02}) {
      for (const double s_mm : {0.0, 0.15}) {
        const auto gap = test::turned_rail_gap(test::bowed_rail(1100, h_mm, s_mm));
        CHECK(near(gap.middle_minus_mean_of_ends(), -2 * h_mm, 1e-6, 0));
        CHECK(near(gap.line_taper_rad(41), 0, 0, 1e-12));
        // crowned: it touches in the middle and rocks; hollow: it stands on its ends
        CHECK(near(h_mm > 0 ? gap.at(550) : gap.at(0) + gap.at(1100), 0, 0, 1e-9));
      }
    }
    CHECK(near(test::turned_rail_gap(test::bowed_rail(1100, 0, 0.2)).at(275), 0, 0, 1e-12));
  }

  TEST_CASE("rocked or slid along, the rail tells the same bow; a slid S shows as taper") {
    for (const double h_mm : {0.05, -0.08}) {
      const auto rail = test::bowed_rail(1100, h_mm);
      for (const double rocked_rad : {1e-4, -3e-4}) {
        const auto gap = test::turned_rail_gap(rail, {0, rocked_rad});
        CHECK(near(gap.middle_minus_mean_of_ends(), -2 * h_mm, 1e-6, 0));
        CHECK(near(gap.line_taper_rad(41), -rocked_rad, 1e-6, 0));
      }
      const auto slid = test::turned_rail_gap(rail, {60, 0});
      CHECK(near(slid.middle_minus_mean_of_ends(), -2 * check::bow_over(h_mm, 1100, slid.length_mm()), 1e-4,
                 0));
    }
  }

  // h_kept = +h_edge where the rail lies over the kept piece, -h_edge where it lies over the offcut; over the
  // length of the cut it counts by the square of the lengths.
  TEST_CASE(
      "the crown of the rail's edge becomes the crown of the kept edge, or its hollow, every orientation") {
    for (const auto& c : test::every_case()) {
      for (const double h_edge_mm : {0.2, -0.3}) {
        CAPTURE(c.name);
        CAPTURE(h_edge_mm);
        const double rail_mm = 1000;
        const auto rail = test::bowed_rail(rail_mm, h_edge_mm);
        auto table = test::knocked_table(c);
        table.rail_width_mm = rail.width_mm;
        const auto straight = table;
        table.curvature_per_mm = kept_sign(c.setup) * 8 * h_edge_mm / (rail_mm * rail_mm);
        const auto edge = test::guiding_edge(table, rail);
        CHECK(off_the_path(table, edge) < 1e-9);
        CHECK(off_the_path(straight, edge) > 0.99 * std::fabs(h_edge_mm));

        const auto sawn = test::saw(table, test::skewed_panel(900, 560), 0, 1, {200, 0});
        const double tested_mm = test::turned_rail_gap(rail).middle_minus_mean_of_ends() / -2;
        const double expected = kept_sign(c.setup) * check::bow_over(tested_mm, rail_mm, sawn.cut_length_mm);
        CHECK(near(test::crown_mm(sawn.kept, 1), expected, 1e-4, 0));
        const auto offcut_edge = test::points_of(sawn.strip.shape, 1);
        const double offcut_mm = test::size(offcut_edge.back() - offcut_edge.front());
        CHECK(near(test::crown_mm(sawn.strip.shape, 1),
                   -kept_sign(c.setup) * check::bow_over(tested_mm, rail_mm, offcut_mm), 1e-4, 0));
        // which piece lies under the middle of the rail's body
        const test::Point under = edge[edge.size() / 2] - (rail.width_mm / 2) * test::rail_line(table).normal;
        CHECK((test::path_of(table).beyond(under, 0) < 0) == (kept_sign(c.setup) > 0));
      }
    }
  }

  TEST_CASE("the rail's test foretells the curve of a pair's gap, as it stands on the table") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const auto rail = test::bowed_rail(1000, 0.25);
      auto table = test::table_of(c.station, c.setup);
      table.rail_width_mm = rail.width_mm;
      table.curvature_per_mm = kept_sign(c.setup) * 8 * 0.25 / (1000.0 * 1000);
      const auto a = test::saw(table, test::skewed_panel(640, 500), 0, 1);
      const auto pair = test::pair_gap(a.kept, a.kept, 0, 1);
      const double share = pair.length_mm() / 1000;
      const double of_rail = test::turned_rail_gap(rail).middle_minus_mean_of_ends();
      CHECK(near(pair.middle_minus_mean_of_ends(), kept_sign(c.setup) * share * share * of_rail, 1e-3, 0));
    }
  }
}
