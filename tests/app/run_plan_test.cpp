// SPDX-License-Identifier: MIT
#include "app/run_plan.hpp"

#include <doctest/doctest.h>

#include "app/fit_inputs.hpp"
#include "app/run_check.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using quarterturn::test::near;

namespace {

app::PlanRequest of_dock() {
  app::PlanRequest request;
  request.station = test::dock();
  request.most_cuts = 8;
  return request;
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a plan for a station takes its fence, its tolerance and its caliper") {
    const auto result = app::run_plan(of_dock());
    CHECK(result.station == "dock");
    CHECK(result.setup == "crosscut");
    CHECK(near(result.span_mm, 288, 0, 1e-9));
    CHECK(!result.span_assumed);
    CHECK(!result.caliper_assumed);
    REQUIRE(result.aim);
    CHECK(near(result.aim->tolerance_rad, 0.10 / 600, 1e-12, 0));
    CHECK(near(result.over_mm, 600, 0, 1e-9));
    CHECK(result.seating == plan::From::assumed);
    CHECK(result.saw_marks == plan::From::nothing);
    CHECK(near(result.bench.sizes.seating_mm, check::kAssumedSeatingMm, 0, 1e-12));
    // The outer fence dog stands 394 mm from the cut; a panel has to reach it.
    CHECK(result.least_mm > check::kSmallestPanelMm);
  }

  TEST_CASE("without a station: the usual things, and said to be so") {
    app::PlanRequest request;
    request.most_cuts = 8;
    auto result = app::run_plan(request);
    CHECK(result.caliper_assumed);
    CHECK(result.panel_assumed);
    CHECK(result.span_assumed);
    CHECK(near(result.span_mm, check::kDefaultSpanMm, 0, 1e-9));
    CHECK(!result.aim);
    CHECK(result.least_mm == check::kSmallestPanelMm);
    const double usual = result.plan.rows.front().half_width;
    // Seating alone falls with the distance of the fence dogs.
    request.fence_baseline_mm = 768;
    result = app::run_plan(request);
    CHECK(!result.span_assumed);
    CHECK(near(result.plan.rows.front().half_width, usual / 2, 0.05, 0));
  }

  TEST_CASE("sizes that are given win over those of the log, whose checks then stand aside") {
    auto request = of_dock();
    request.earlier.push_back({test::ends_check(), 288, "", ""});
    CHECK(app::run_plan(request).bench.earlier.size() == 1);
    request.seating_mm = 0.01;
    request.saw_marks_mm = 0.03;
    const auto result = app::run_plan(request);
    CHECK(result.seating == plan::From::given);
    CHECK(result.saw_marks == plan::From::given);
    CHECK(result.bench.sizes.seating_mm == 0.01);
    CHECK(result.bench.sizes.saw_marks_mm == 0.03);
    CHECK(result.bench.earlier.empty());
  }

  TEST_CASE("before the first cut: one strip, and the cheapest that settles, as the whole plan has them") {
    auto request = test::station_request();
    request.check.strips.clear();
    request.check.panel_size = check::PanelSize{600, 600, {}};
    const auto told = app::outlook_of(request);
    REQUIRE(told);
    auto whole = of_dock();
    whole.most_cuts = app::kMostCuts;
    whole.panel = request.check.panel_size;
    const auto plan = app::run_plan(whole).plan;
    REQUIRE(plan.cheapest);
    REQUIRE(told->plan.cheapest);
    CHECK(told->plan.rows.size() == *told->plan.cheapest + 1);
    CHECK(told->plan.rows.back().design == plan.rows.at(*plan.cheapest).design);
    CHECK(told->plan.rows.front().half_width == plan.rows.front().half_width);
    auto none = request;
    none.station->setups["crosscut"].tolerance.reset();
    CHECK(!app::outlook_of(none));
    none = request;
    none.station.reset();
    CHECK(!app::outlook_of(none));
    none = request;
    none.check.panel_size = check::PanelSize{380, 600, {}};
    CHECK(!app::outlook_of(none));
  }

  TEST_CASE("what cannot be planned is refused with what must be") {
    auto request = of_dock();
    request.panel = check::PanelSize{380, 600, {}};
    CHECK_THROWS_AS(app::run_plan(request), units::InputError);
    request = of_dock();
    request.apart_mm = 600;
    CHECK_THROWS_AS(app::run_plan(request), units::InputError);
    request.apart_mm = 40;
    CHECK_THROWS_AS(app::run_plan(request), units::InputError);
    request = of_dock();
    request.setup = "crosscat";
    CHECK_THROWS_AS(app::run_plan(request), units::InputError);
    request = of_dock();
    request.station->setups["crosscut"].nominal_deg = 45;
    CHECK_THROWS_AS(app::run_plan(request), units::InputError);
  }

  TEST_CASE("mm are told over the same length as the check tells them") {
    for (const char* tolerance : {"0.10 over 500", "0.01 deg"}) {
      for (const bool named : {false, true}) {
        for (const auto unit : {units::Unit::mm, units::Unit::inch}) {
          auto checked = test::station_request();
          checked.check.unit = unit;
          auto planned = of_dock();
          planned.most_cuts = 5;
          planned.unit = unit;
          // A fence so near that less than a usual panel finds room.
          auto& fence = checked.station->setups["crosscut"].fence;
          fence.first.hole = station::parse_hole("A8");
          fence.second.hole = station::parse_hole("D8");
          planned.station = checked.station;
          checked.tolerance = planned.tolerance = units::parse_tolerance(tolerance);
          if (named) checked.check.panel_size = planned.panel = check::PanelSize{540, 520, {}};
          const auto outcome = app::run_check(checked);
          CAPTURE(tolerance);
          CAPTURE(named);
          CHECK(near(app::run_plan(planned).over_mm, outcome.panel_mm, 0, 1e-9));
          CHECK(near(app::settle_check(checked, outcome).over_mm, outcome.panel_mm, 0, 1e-9));
        }
      }
    }
  }

  TEST_CASE("a check and a plan give their fits the same") {
    const auto outcome = app::run_check(test::station_request());
    const auto result = app::run_plan(of_dock());
    const auto evidence = app::evidence_of(outcome.check.caliper);
    REQUIRE(evidence.size() == result.bench.evidence.size());
    CHECK(evidence.front().s2 == result.bench.evidence.front().s2);
    CHECK(evidence.front().nu == result.bench.evidence.front().nu);
    // One strip with seating assumed: what was foretold is what the check prints, its places lying nearer.
    auto request = of_dock();
    request.apart_mm = 525;
    CHECK(near(app::run_plan(request).plan.rows.front().half_width, outcome.fit.eta.half_width, 0.01, 0));
  }
}
