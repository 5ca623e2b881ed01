// SPDX-License-Identifier: MIT
/// What a bow does in one setup, against panels sawn along a curved rail.
#include "check/bow_effects.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "check/bow.hpp"
#include "station/geometry.hpp"
#include "support/near.hpp"
#include "support/oracle.hpp"
#include "support/oracle_parts.hpp"
#include "support/tables.hpp"

using namespace quarterturn;
using test::near;

namespace {

/// The case with a rail of that width; 0 leaves it without one.
test::Case with_rail(test::Case c, double width_mm) {
  if (width_mm > 0) {
    c.setup.rail_name = "long";
    c.station.rails["long"] = {"long", units::Length::from_mm(1400), units::Length::from_mm(width_mm), false};
  }
  return c;
}

check::Bow bow_of(double h_mm, double u_mm, double over_mm) {
  check::Bow bow;
  bow.h_mm = h_mm;
  bow.u_mm = u_mm;
  bow.dof = 8;
  bow.half_width_mm = 2.306 * u_mm;
  bow.over_mm = over_mm;
  return bow;
}

struct FiveCuts {
  double first_corner_rad = 0, corner_over_last_two_rad = 0, strips_rad = 0;
  test::Sawn last;
};

FiveCuts five_cuts(const test::Table& table, double width_mm, double depth_mm) {
  FiveCuts out;
  test::Panel panel =
      test::raw_panel({test::Point{0, 0}, {width_mm, 0}, {width_mm, depth_mm}, {0, depth_mm}});
  for (int cut = 1; cut <= 5; ++cut) {
    out.last = test::saw(table, panel, cut - 1, cut);
    if (cut == 1) out.first_corner_rad = out.last.kept_corner_rad - std::numbers::pi / 2;
    panel = out.last.kept;
  }
  out.strips_rad = out.last.strip.line_taper_rad(41) / 4;
  return out;
}

/// By how much the middle of the edge stands off its chord along `direction`.
double bulge(const test::Panel& panel, int label, test::Point direction) {
  using test::operator-, test::operator+, test::operator*;
  const auto run = test::run_of(panel, label);
  const auto from = panel.corners[run.front()], to = panel.corners[run.back()];
  const auto middle = panel.corners[run[run.size() / 2]];
  return test::dot(middle - 0.5 * (from + to), direction);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE(
      "crown of the rail's edge and of the kept edge: alike over the kept piece, mould over the offcut") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      auto table = test::table_of(c.station, c.setup);
      table.rail_width_mm = 60;
      const int sign = check::kept_edge_sign(c.setup.keep, c.setup.rail_on_face);
      table.curvature_per_mm = sign * 8 * 0.1 / (550.0 * 550.0);  // an edge crowned by 0.1 mm over 550 mm
      const auto sawn =
          test::saw(table, test::raw_panel({test::Point{0, 0}, {600, 0}, {600, 550}, {0, 550}}), 0, 1);
      // The rail's body lies towards the dogs, so its guiding edge bulges along the normal of its line.
      CHECK(near(bulge(sawn.kept, 1, test::rail_line(table).normal), 0.1, 0.01, 0));
    }
  }

  TEST_CASE("contacts, dogs and length of a setup are those of the table") {
    for (const auto& plain : test::square_cases()) {
      for (const double width_mm : {0.0, 60.0}) {
        const auto c = with_rail(plain, width_mm);
        CAPTURE(c.name);
        const auto table = test::table_of(c.station, c.setup);
        const auto place = check::bow_place(c.station, c.setup, {620, 600, {}});
        REQUIRE(place);
        const auto contacts = test::contacts_from_cut(table);
        CHECK(near(place->fence_inner_mm, contacts[0], 0, 1e-9));
        CHECK(near(place->fence_outer_mm, contacts[1], 0, 1e-9));
        CHECK(near(place->rail_middle_mm, test::rail_middle_from_fence(table), 0, 1e-9));
        CHECK(place->q == station::corner_sign(c.setup.keep, c.setup.panel_side));
        CHECK(place->rail_width_known == (width_mm > 0));
        test::Panel panel = test::raw_panel({test::Point{0, 0}, {620, 0}, {620, 600}, {0, 600}});
        double before = 0;
        for (int cut = 1; cut <= 6; ++cut) {
          const auto sawn = test::saw(table, panel, cut - 1, cut);
          panel = sawn.kept;
          const double mean = cut > 1 ? (before + sawn.cut_length_mm) / 2 : sawn.cut_length_mm;
          const auto there = check::bow_place(c.station, c.setup, {620, 600, {}}, cut);
          CHECK(near(there->length_mm, mean, 0, 1e-6));
          before = sawn.cut_length_mm;
        }
      }
    }
  }

  TEST_CASE("corner, strips and b of a bow are those of panels sawn along it") {
    for (const auto& plain : test::square_cases()) {
      for (const double h_edge : {0.03, -0.03}) {
        for (const double width_mm : {0.0, 120.0}) {
          // Over the offcut a wide rail takes the cut past the inner contact.
          if (width_mm > 60 && plain.setup.keep == plain.setup.rail_on_face) continue;
          const auto c = with_rail(plain, width_mm);
          CAPTURE(c.name);
          CAPTURE(h_edge);
          auto table = test::table_of(c.station, c.setup);
          const auto place = check::bow_place(c.station, c.setup, {620, 600, {}});
          const auto first = check::bow_place(c.station, c.setup, {620, 600, {}}, 1);
          const check::Bow rail = bow_of(h_edge, 0.01, 1100);  // found over another length
          table.curvature_per_mm = place->kept_edge_sign * 8 * h_edge / (1100.0 * 1100.0);
          const auto cuts = five_cuts(table, 620, 600);

          const auto kept = check::kept_edge_bow(rail, *place);
          const auto at_first = check::bow_effects(kept, *first);
          CHECK(near(at_first.corner.rad, cuts.first_corner_rad, 5e-4, 0));
          const auto effects = check::bow_effects(kept, *place);
          REQUIRE(effects.strips);
          CHECK(near(effects.strips->rad, cuts.strips_rad, 0.01, 0));
          CHECK(near(*effects.eps_from_strips_rad, place->q * cuts.strips_rad, 0.01, 0));
          CHECK(near(effects.b->rad, cuts.strips_rad - effects.corner.rad, 0,
                     0.01 * std::fabs(cuts.strips_rad)));
          CHECK(near(effects.b->rad,
                     check::bow_bias(effects.over_cut.h_mm, place->length_mm, place->fence_inner_mm,
                                     place->fence_outer_mm) +
                         2 * effects.over_cut.h_mm * 28 / (place->length_mm * place->length_mm),
                     1e-9, 1e-15));
          // All are proportional to h: relative uncertainty stays.
          const double relative = 0.01 / 0.03;
          for (const auto& e : {effects.corner, *effects.strips, *effects.b})
            CHECK(near(e.u_rad, relative * std::fabs(e.rad), 1e-12, 0));
          CHECK(effects.over_cut.dof == 8);
          CHECK(!effects.rocks_up_to_rad);
        }
      }
    }
  }

  TEST_CASE("on a bar a hollow edge sits on its ends: b is nearly nothing") {
    auto c = test::square_cases()[1];
    c.setup.bar = station::Bar{units::Length::from_mm(900), {}, {}};
    auto table = test::table_of(c.station, c.setup);
    auto place = check::bow_place(c.station, c.setup, {600, 600, {}});
    REQUIRE(place);
    CHECK(place->bar);
    place->rail_middle_mm -= table.bar->width_mm;
    const double length = place->length_mm;
    table.curvature_per_mm = -8 * 0.05 / (length * length);
    const auto effects = check::bow_effects(bow_of(-0.05, 0.01, length), *place);
    const auto cuts = five_cuts(table, 600, 600);
    REQUIRE(effects.b);
    CHECK(near(effects.strips->rad, cuts.strips_rad, 0.005, 0));
    CHECK(near(effects.b->rad, cuts.strips_rad - effects.corner.rad, 0.02, 0));
    CHECK(std::fabs(effects.b->rad) < 0.2 * std::fabs(check::bow_bias(0.05, length, 96, 288)));
  }

  TEST_CASE("on a bar a crowned edge has a bound and no number") {
    auto c = test::square_cases()[1];
    c.setup.bar = station::Bar{units::Length::from_mm(900), {}, {}};
    auto table = test::table_of(c.station, c.setup);
    auto place = check::bow_place(c.station, c.setup, {600, 600, {}});
    place->rail_middle_mm -= table.bar->width_mm;
    const double length = place->length_mm;
    const auto effects = check::bow_effects(bow_of(0.05, 0, length), *place);
    CHECK(!effects.strips);
    CHECK(!effects.b);
    CHECK(!effects.eps_from_strips_rad);
    REQUIRE(effects.rocks_up_to_rad);

    // As far as the edge's last piece is turned against its chord, the panel can be.
    table.curvature_per_mm = 8 * 0.05 / (length * length);
    const auto cuts = five_cuts(table, 600, 600);
    const auto& kept = cuts.last.kept;
    const auto run = test::run_of(kept, 5);
    using test::operator-;
    const auto chord = kept.corners[run.back()] - kept.corners[run.front()];
    const auto end = kept.corners[run[1]] - kept.corners[run[0]];
    CHECK(near(*effects.rocks_up_to_rad, std::fabs(test::angle_between(chord, end)), 0.01, 0));
    CHECK(std::fabs(cuts.strips_rad - effects.corner.rad) < *effects.rocks_up_to_rad);

    // A straight edge that may be crowned by its ± is bounded by that; a surely hollow one is not.
    const auto maybe = check::bow_effects(bow_of(0, 0.01, length), *place);
    CHECK(near(*maybe.rocks_up_to_rad, 4 * 0.02306 / length, 1e-12, 0));
    CHECK(check::bow_effects(bow_of(-0.03, 0.01, length), *place).b);
    CHECK(!check::bow_effects(bow_of(-0.02, 0.01, length), *place).b);
  }

  TEST_CASE("no place at a mitre, nor where the panel leaves a contact") {
    for (const auto& c : test::mitre_cases()) CHECK(!check::bow_place(c.station, c.setup, {600, 600, {}}));
    const auto c = test::square_cases()[1];
    const auto contacts = test::contacts_from_cut(test::table_of(c.station, c.setup));
    const double enough = contacts[1] + 2 * 28 + 1;  // the fifth cut is two strips and kerfs shorter
    CHECK(check::bow_place(c.station, c.setup, {enough, enough, {}}));
    CHECK(!check::bow_place(c.station, c.setup, {enough - 2, enough - 2, {}}));
    const auto wide = with_rail(test::square_cases()[0], 120);
    REQUIRE(wide.setup.keep == wide.setup.rail_on_face);
    CHECK(
        !check::bow_place(wide.station, wide.setup, {600, 600, {}}));  // the cut lies past the inner contact
  }
}
