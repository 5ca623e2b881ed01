// SPDX-License-Identifier: MIT
#include "plan/plan.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "plan/sizes.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using quarterturn::test::near;

namespace {

constexpr double kTolerance = 0.10 / 600;

plan::Bench usual() {
  plan::Bench bench;
  bench.caliper = check::Caliper{"digital", 0.01, 0.012, 0.25, 150};
  bench.evidence.push_back({check::Component::reading, 0.012 * 0.012, 8, check::Source::caliper, ""});
  bench.sizes = {0.012, 0, check::kAssumedSeatingMm};
  return bench;
}

const plan::Row& row(const plan::Plan& plan, const plan::Design& design) {
  return *std::ranges::find(plan.rows, design, &plan::Row::design);
}

bool sees(const plan::Row& row, const char* code) {
  return std::ranges::find(row.unseen, code) == row.unseen.end();
}

}  // namespace

TEST_SUITE("plan") {
  TEST_CASE("what a design costs: minutes, and what is left of the panel") {
    CHECK(plan::Design{1, 5}.minutes() == 15);
    CHECK(plan::Design{1, 7}.minutes() == 20);
    CHECK(plan::Design{1, 8}.minutes() == 25);
    CHECK(plan::Design{3, 5}.minutes() == 45);
    CHECK(plan::Design{2, 7}.strips() == 6);
    // A strip of 25 mm and a kerf of 3 mm every second cut: 600 - 3 x 28.
    CHECK(near(check::shorter_side_after({700, 600, {}}, 5), 516, 0, 1e-9));
    CHECK(plan::most_cuts_on({600, 600, {}}, 300) == 20);
    CHECK(plan::most_cuts_on({384, 600, {}}, 300) == 6);
    CHECK(plan::most_cuts_on({383, 600, {}}, 300) == 4);
    for (const auto& design : plan::designs(12, 9)) {
      CHECK(design.all_cuts() <= 12);
      CHECK(design.cuts <= 9);
    }
  }

  TEST_CASE("strips are as long as the cuts before have left them") {
    const check::Check check = plan::shape_of(usual(), {1, 8});
    REQUIRE(check.strips.size() == 4);
    // Strip 5 lies along a side that two cuts have shortened by 28 mm each, strip 8 along one that four have.
    CHECK(near(check.strips[0].spots.back().position_mm, 600 - 2 * 28 - 20, 0, 1e-9));
    CHECK(near(check.strips[3].spots.back().position_mm, 600 - 4 * 28 - 20, 0, 1e-9));
    plan::Bench bench = usual();
    bench.apart_mm = 400;
    CHECK(near(plan::shape_of(bench, {1, 8}).strips[3].spots.back().position_mm, 420, 0, 1e-9));
  }

  TEST_CASE("the cheapest that settles is the first that does; a cheaper one may rest on the assumption") {
    const plan::Aim aim{kTolerance};
    const plan::Plan plan = plan::plan_of(usual(), aim, 30, 300);
    REQUIRE(plan.cheapest);
    CHECK(plan.rows[*plan.cheapest].design == plan::Design{1, 8});
    REQUIRE(plan.cheapest_provisional);
    CHECK(plan.rows[*plan.cheapest_provisional].design == plan::Design{1, 7});
    for (std::size_t i = 0; i < plan.rows.size(); ++i) {
      const auto& r = plan.rows[i];
      CHECK(r.settles == (*r.within >= 0.8 && *r.outside >= 0.8));
      CHECK(r.provisional == (r.design.strips() < 4));
      if (i < *plan.cheapest) CHECK((!r.settles || r.provisional));
      if (i > 0) CHECK(r.minutes >= plan.rows[i - 1].minutes);
      CHECK(r.half_width_low <= r.half_width);
      CHECK(r.half_width <= r.half_width_high);
    }
    plan::Aim surer = aim;
    surer.chance = 0.97;
    CHECK(plan::plan_of(usual(), surer, 30, 300).cheapest > plan.cheapest);
    // An error at what is allowed is settled by nothing.
    plan::Aim edge = aim;
    edge.share_within = 0.99;
    CHECK(!plan::plan_of(usual(), edge, 30, 300).cheapest);
  }

  TEST_CASE("without a tolerance there are half-widths and no probabilities") {
    const plan::Plan plan = plan::plan_of(usual(), std::nullopt, 10, 300);
    REQUIRE(!plan.rows.empty());
    for (const auto& r : plan.rows) {
      CHECK(r.half_width > 0);
      CHECK(!r.within);
      CHECK(!r.settles);
    }
    CHECK(!plan.cheapest);
  }

  TEST_CASE("what each design cannot see") {
    const plan::Plan plan = plan::plan_of(usual(), std::nullopt, 30, 300);
    CHECK(!sees(row(plan, {1, 5}), "seating-unseen"));
    CHECK(!sees(row(plan, {1, 5}), plan::kEndsUnseen));
    CHECK(sees(row(plan, {1, 7}), plan::kEndsUnseen));
    CHECK(sees(row(plan, {1, 7}), "seating-unseen"));
    CHECK(!sees(row(plan, {1, 8}), "slips-not-seen"));
    CHECK(sees(row(plan, {1, 10}), "slips-not-seen"));
    CHECK(!sees(row(plan, {4, 5}), "slips-not-seen"));
    CHECK(sees(row(plan, {5, 5}), "slips-not-seen"));
    CHECK(!sees(row(plan, {1, 8}), "saw-marks-unseen"));
    plan::Bench three = usual();
    three.spots = 3;
    CHECK(sees(row(plan::plan_of(three, std::nullopt, 8, 300), {1, 8}), "saw-marks-unseen"));
  }

  TEST_CASE("the sizes that a log tells are those of its tests") {
    std::mt19937_64 random(20260304);
    test::Design design;
    design.cuts = 7;
    design.positions = {0, 250, 500};
    design.sigma_m = 0.012;
    design.sigma_f = 0.02;
    design.sigma_r = 8e-5;
    std::vector<check::ScatterEvidence> earlier;
    for (int i = 0; i < 200; ++i) earlier.push_back({design.check(random), 384, "", ""});
    check::FitOptions options;
    const auto sizes = plan::sizes_of_log(earlier, {}, options);
    CHECK(sizes.checks == 200);
    REQUIRE(sizes.seating_mm);
    REQUIRE(sizes.saw_marks_mm);
    // 400 degrees of freedom of seating: a standard deviation to 3.5 %, three of those allowed.
    CHECK(near(*sizes.seating_mm, 8e-5 * 384 / std::sqrt(2.0), 0.11, 0));
    CHECK(near(*sizes.saw_marks_mm, 0.02, 0.11, 0));
    CHECK(near(*sizes.reading_mm, std::hypot(0.012, 0.01 / std::sqrt(12.0)), 0.05, 0));
    CHECK(near(sizes.seating_dof, 1 / (1 / 400.0 + 0.1), 1e-9, 0));
    // One strip a check tells nothing of seating, and no log nothing at all.
    design.cuts = 5;
    const std::vector<check::ScatterEvidence> one{{design.check(random), 384, "", ""}};
    CHECK(!plan::sizes_of_log(one, {}, options).seating_mm);
    CHECK(plan::sizes_of_log({}, {}, options).checks == 0);
  }

  TEST_CASE("a plan with a log needs fewer cuts, and rests on no assumption") {
    std::mt19937_64 random(20260305);
    test::Design design;
    design.cuts = 8;
    design.positions = {0, 250, 500};
    design.sigma_m = 0.012;
    design.sigma_r = 5e-5;
    plan::Bench bench = usual();
    bench.options.span_mm = 384;
    for (int i = 0; i < 4; ++i) bench.earlier.push_back({design.check(random), 384, "", ""});
    bench.sizes.seating_mm = *plan::sizes_of_log(bench.earlier, bench.evidence, bench.options).seating_mm;
    const plan::Aim aim{kTolerance};
    const plan::Plan plan = plan::plan_of(bench, aim, 20, 300);
    REQUIRE(plan.cheapest);
    CHECK(plan.rows[*plan.cheapest].design == plan::Design{1, 5});
    CHECK(!plan.rows[0].provisional);
    CHECK(sees(plan.rows[0], "seating-unseen"));
  }
}
