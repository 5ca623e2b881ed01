// SPDX-License-Identifier: MIT
/// Three tests of one setup against each other: closed forms, panels sawn along a curved rail, simulation.
#include "check/cross_check.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stats/streams.hpp"
#include "support/near.hpp"
#include "support/oracle.hpp"
#include "support/tables.hpp"

using namespace quarterturn;
using check::Compared;
using check::CrossVerdict;
using test::near;

namespace {

/// Contacts at 96 and 288 mm, cuts of 544 mm, the rail over the kept piece.
check::BowPlace place_of() {
  return {.fence_inner_mm = 96,
          .fence_outer_mm = 288,
          .rail_middle_mm = 278,
          .length_mm = 544,
          .strip_and_kerf_mm = 28,
          .bar = false,
          .q = 1,
          .kept_edge_sign = 1,
          .rail_width_known = true};
}
constexpr double kPerMm = (4 * (96.0 + 288 - 544) + 2 * 28) / (544.0 * 544);

check::Bow bow_of(double h_mm, double u_mm, double dof, double over_mm) {
  check::Bow bow;
  bow.h_mm = h_mm;
  bow.u_mm = u_mm;
  bow.dof = dof;
  bow.half_width_mm = 3 * u_mm;
  bow.over_mm = over_mm;
  return bow;
}

const check::Comparison* find(const check::CrossCheck& made, Compared which) {
  const auto it = std::ranges::find(made.comparisons, which, &check::Comparison::which);
  return it == made.comparisons.end() ? nullptr : &*it;
}

/// p of Student's t on two degrees of freedom.
double p_on_two(double t) {
  return 1 - std::fabs(t) / std::sqrt(2 + t * t);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("p of each comparison, by the closed form on two degrees of freedom") {
    check::CrossCheckInput input;
    input.place = place_of();
    input.tolerance_rad = 1e-3;
    input.strips = {3e-4, 3e-5, 1};
    input.turn_over = {1e-4, 3e-5, 1};  // equal u on one each: two together
    input.rail = bow_of(-0.2, 0.03, 1, 1088);
    const double u_h = 0.03 / 4, u_d = std::sqrt(2.0) * 3e-5;
    input.pair = bow_of(-0.02, u_h, 1, 544);
    const auto made = check::cross_check(input);
    REQUIRE(made.comparisons.size() == 4);
    CHECK(near(*made.k_per_mm, kPerMm, 1e-12, 0));

    const auto* plain = find(made, Compared::strips_turn_over);
    CHECK(near(plain->found, 2e-4, 1e-12, 0));
    CHECK(plain->expected == 0);
    CHECK(near(plain->dof, 2, 1e-12, 0));
    CHECK(near(plain->p, p_on_two(2e-4 / u_d), 1e-9, 0));

    const auto* rail = find(made, Compared::strips_turn_over_by_rail);
    CHECK(near(rail->expected, kPerMm * -0.05, 1e-12, 0));  // 0.2 mm over 1088 is 0.05 over 544
    CHECK(near(rail->u, std::hypot(u_d, kPerMm * u_h), 1e-12, 0));
    const double v_d = u_d * u_d, v_h = std::pow(kPerMm * u_h, 2);
    CHECK(near(rail->dof, std::pow(v_d + v_h, 2) / (v_d * v_d / 2 + v_h * v_h), 1e-12, 0));

    const auto* both = find(made, Compared::rail_pair);
    CHECK(near(both->found, -0.03, 1e-12, 0));
    CHECK(near(both->dof, 2, 1e-12, 0));
    CHECK(near(both->p, p_on_two(0.03 / (std::sqrt(2.0) * u_h)), 1e-9, 0));

    REQUIRE(made.implied);
    CHECK(near(made.implied->h_mm, 2e-4 / kPerMm, 1e-12, 0));
    CHECK(near(made.implied->u_mm, u_d / std::fabs(kPerMm), 1e-12, 0));
    CHECK(near(made.implied->half_width_mm, 4.302653 * made.implied->u_mm, 1e-6, 0));
  }

  TEST_CASE("the level is that of all comparisons together") {
    check::CrossCheckInput input;
    input.place = place_of();
    input.tolerance_rad = 1e-3;
    // Normal p of 2.2 is 0.0278: below 0.05 alone, not below 0.05/4 among four.
    input.strips = {2.2 * 5e-5, 3e-5, check::kUnbounded};
    input.turn_over = {0, 4e-5, check::kUnbounded};
    auto made = check::cross_check(input);
    REQUIRE(made.comparisons.size() == 1);
    CHECK(near(made.comparisons[0].p, 0.02780690, 1e-6, 0));
    CHECK(!made.comparisons[0].agrees);
    CHECK(made.verdict == CrossVerdict::differ_unexplained);
    input.rail = bow_of(0, 0.001, check::kUnbounded, 544);
    input.pair = bow_of(0, 0.001, check::kUnbounded, 544);
    made = check::cross_check(input);
    REQUIRE(made.comparisons.size() == 4);
    for (const auto& c : made.comparisons) CHECK(c.agrees);
    CHECK(made.verdict == CrossVerdict::agree);
    // The step-down: 0.0099 twice and more is below 0.05/4, then 0.05/3; the third, 0.028, is not below
    // 0.05/2.
    input.pair = bow_of(0.01, 0.001, check::kUnbounded, 544);
    made = check::cross_check(input);
    CHECK(!find(made, Compared::rail_pair)->agrees);
    CHECK(find(made, Compared::strips_turn_over)->agrees);
    CHECK(made.verdict == CrossVerdict::differ_unexplained);
  }

  TEST_CASE("panels sawn along a bowed rail: the bow explains, its other sign does not") {
    for (const auto& c : test::square_cases()) {
      CAPTURE(c.name);
      const double h_edge = 0.12;  // over 1100 mm
      auto table = test::table_of(c.station, c.setup);
      const auto place = check::bow_place(c.station, c.setup, {600, 600, {}});
      table.curvature_per_mm = place->kept_edge_sign * 8 * h_edge / (1100.0 * 1100.0);
      table.rail_far.shift = {0.1, 0};  // and dogs out of place besides
      test::Panel panel = test::raw_panel({test::Point{0, 0}, {600, 0}, {600, 600}, {0, 600}});
      check::CrossCheckInput input;
      for (int cut = 1; cut <= 5; ++cut) {
        const auto sawn = test::saw(table, panel, cut - 1, cut);
        panel = sawn.kept;
        if (cut == 1) {
          // Its long edge is straight: what a turn-over test sees.
          input.turn_over = {sawn.kept_corner_rad - std::numbers::pi / 2, 1e-6, 8};
          input.joint_length_mm = sawn.cut_length_mm;
        }
        if (cut == 5) input.strips = {sawn.strip.line_taper_rad(41) / 4, 1e-6, 8};
      }
      input.place = *place;
      input.tolerance_rad = 0.1 / 600;
      input.rail = bow_of(h_edge, 0.002, 8, 1100);
      const auto made = check::cross_check(input);
      CHECK(made.verdict == CrossVerdict::bow_explains);
      const auto* by_rail = find(made, Compared::strips_turn_over_by_rail);
      // First order in h: of terms of about 4h/L that may nearly cancel.
      const double h = table.curvature_per_mm * place->length_mm * place->length_mm / 8;
      const double slack = 0.02 * 4 * std::fabs(h) / place->length_mm;
      CHECK(near(by_rail->expected, by_rail->found, 0, slack));
      REQUIRE(made.implied);
      CHECK(near(made.implied->h_mm, h, 0, slack / std::fabs(*made.k_per_mm)));
      CHECK(made.bow->routes == 2);
      CHECK(*made.bow->p > 0.05);

      input.rail->h_mm = -h_edge;
      CHECK(check::cross_check(input).verdict == CrossVerdict::differ_unexplained);
      input.rail->u_mm = 2;  // so wide a ± explains anything
      CHECK(check::cross_check(input).verdict == CrossVerdict::cannot_tell);
      input.rail.reset();
      CHECK(check::cross_check(input).verdict == CrossVerdict::differ_unexplained);
    }
  }

  TEST_CASE("the mean of all ways to h, and whether they are alike") {
    check::CrossCheckInput input;
    input.place = place_of();
    input.tolerance_rad = 1e-3;
    input.rail = bow_of(0.04, 0.003, check::kUnbounded, 544);
    input.pair = bow_of(0.05, 0.006, check::kUnbounded, 544);
    input.strips = {kPerMm * 0.02, std::fabs(kPerMm) * 0.006, check::kUnbounded};
    input.turn_over = {0, 1e-12, check::kUnbounded};
    auto made = check::cross_check(input);
    REQUIRE(made.bow);
    CHECK(made.bow->routes == 3);
    // Weights 4, 1, 1.
    const double mean = (4 * 0.04 + 0.05 + 0.02) / 6;
    CHECK(near(made.bow->mean.h_mm, mean, 1e-9, 0));
    const double q = (4 * std::pow(0.04 - mean, 2) + std::pow(0.05 - mean, 2) + std::pow(0.02 - mean, 2)) /
                     (0.006 * 0.006);
    CHECK(near(*made.bow->birge, std::sqrt(q / 2), 1e-6, 0));
    REQUIRE(q > 2);
    CHECK(near(made.bow->mean.u_mm, 0.006 / std::sqrt(6.0) * std::sqrt(q / 2), 1e-6, 0));
    CHECK(near(*made.bow->p, std::exp(-q / 2), 1e-6, 0));  // chi-square on two

    // One degree of freedom weighs by its half-width: 12.7062/1.95996 times u.
    input.pair->dof = 1;
    input.strips.reset();
    made = check::cross_check(input);
    const double w = std::pow(1.959964 / 12.70620 / 2, 2);
    CHECK(near(made.bow->mean.h_mm, (0.04 + w * 0.05) / (1 + w), 1e-7, 0));
    const double doubt = 1 + 4 * w / ((1 + w) * (1 + w));  // on one degree of freedom
    REQUIRE(*made.bow->birge < 1);
    CHECK(near(made.bow->mean.u_mm, 0.003 * std::sqrt(doubt / (1 + w)), 1e-6, 0));

    // Unknown takes part in nothing.
    input.pair->unknown = check::kReadingUnseen;
    made = check::cross_check(input);
    CHECK(made.bow->routes == 1);
    CHECK(!made.bow->p);
    CHECK(made.comparisons.empty());
    CHECK(made.verdict == CrossVerdict::cannot_tell);
    input.rail.reset();
    CHECK(!check::cross_check(input).bow);
  }

  TEST_CASE("what the ± cannot tell is not told") {
    check::CrossCheckInput input;
    input.place = place_of();
    input.strips = {1e-4, 5e-5, 8};
    input.turn_over = {1.2e-4, 5e-5, 8};
    input.tolerance_rad = 1e-3;
    CHECK(check::cross_check(input).verdict == CrossVerdict::agree);
    input.tolerance_rad = 1e-4;  // half-width: 2.12 times 7.1e-5
    CHECK(check::cross_check(input).verdict == CrossVerdict::cannot_tell);
    // Contacts symmetric about the middle: no bow can be implied, yet strips and turn-over are compared.
    input.tolerance_rad = 1e-3;
    input.place.fence_outer_mm = 544 - 14 - 96;
    const auto made = check::cross_check(input);
    CHECK(!made.implied);
    CHECK(made.verdict == CrossVerdict::agree);
  }

  TEST_CASE("a rail found straight explains nothing, also where its ± hides the difference") {
    check::CrossCheckInput input;
    input.place = place_of();
    input.tolerance_rad = 1e-3;
    input.strips = {2.5 * 5e-5, 3e-5, check::kUnbounded};
    input.turn_over = {0, 4e-5, check::kUnbounded};
    input.rail = bow_of(0, 5e-5 / std::fabs(kPerMm), check::kUnbounded, 544);  // 2.5/root 2: p 0.077
    const auto made = check::cross_check(input);
    CHECK(!find(made, Compared::strips_turn_over)->agrees);
    CHECK(find(made, Compared::strips_turn_over_by_rail)->agrees);
    CHECK(made.verdict == CrossVerdict::differ_unexplained);
    input.rail->h_mm = 2.5 * 5e-5 / kPerMm;
    CHECK(check::cross_check(input).verdict == CrossVerdict::bow_explains);
  }

  TEST_CASE("on a bar a crowned edge explains as far as it can rock, a hollow one makes no difference") {
    check::CrossCheckInput input;
    input.place = place_of();
    input.place.bar = true;
    input.tolerance_rad = 1e-3;
    input.strips = {3e-4, 1e-5, check::kUnbounded};
    input.turn_over = {0, 1e-5, check::kUnbounded};
    input.rail = bow_of(0.05, 0.001, check::kUnbounded, 544);  // rocks by 4 (0.05 + 0.002)/544: 3.8e-4
    auto made = check::cross_check(input);
    CHECK(!made.k_per_mm);
    CHECK(!made.implied);
    CHECK(made.comparisons.size() == 1);
    CHECK(made.verdict == CrossVerdict::bow_explains);
    input.rail->h_mm = 0.03;  // 2.4e-4
    CHECK(check::cross_check(input).verdict == CrossVerdict::differ_unexplained);
    input.rail->h_mm = -0.05;
    made = check::cross_check(input);
    REQUIRE(made.k_per_mm);
    CHECK(near(*made.k_per_mm, -2 * 28 / (544.0 * 544), 1e-9, 0));
    CHECK(made.verdict == CrossVerdict::differ_unexplained);
  }

  TEST_CASE("tests that fit are called different in at most 0.05; the mean of the ways to h covers it") {
    constexpr int kTrials = 10'000;
    for (const double dof : {2.0, 8.0}) {
      int different = 0, held = 0;
      for (int trial = 0; trial < kTrials; ++trial) {
        stats::Stream random(20260302, static_cast<std::uint64_t>(trial));
        const auto mean_square = [&] {
          double sum = 0;
          for (int i = 0; i < static_cast<int>(dof); ++i) sum += std::pow(random.normal(), 2);
          return sum / dof;
        };
        constexpr double kBowMm = 0.05, kEta = 1e-4, kAngle = 2e-5, kSagitta = 0.01;
        check::CrossCheckInput input;
        input.place = place_of();
        input.tolerance_rad = 1e-3;
        input.strips = {kEta + kPerMm * kBowMm + kAngle * random.normal(), kAngle * std::sqrt(mean_square()),
                        dof};
        input.turn_over = {kEta + kAngle * random.normal(), kAngle * std::sqrt(mean_square()), dof};
        input.rail =
            bow_of(kBowMm + kSagitta * random.normal(), kSagitta * std::sqrt(mean_square()), dof, 544);
        input.pair =
            bow_of(kBowMm + kSagitta * random.normal(), kSagitta * std::sqrt(mean_square()), dof, 544);
        const auto made = check::cross_check(input);
        different += made.verdict == CrossVerdict::differ_unexplained ? 1 : 0;
        held += std::fabs(made.bow->mean.h_mm - kBowMm) <= made.bow->mean.half_width_mm ? 1 : 0;
      }
      const double false_alarms = static_cast<double>(different) / kTrials;
      const double coverage = static_cast<double>(held) / kTrials;

      CHECK(false_alarms < 0.05);
      CHECK(false_alarms > 0.01);
      CHECK(coverage > 0.93);
      CHECK(coverage < 0.98);
    }
  }
}
