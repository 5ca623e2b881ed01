// SPDX-License-Identifier: MIT
// Readings are invented, in the scenery workshop of the examples.
#include "app/settle_check.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using quarterturn::test::near;

namespace {

/// One strip that reads so many times what is allowed.
app::CheckRequest reads(double share) {
  auto request = test::station_request();
  const double wide = 4 * share * (0.10 / 600) * 525;
  auto& spots = request.check.strips.front().spots;
  for (std::size_t i = 0; i < spots.back().readings.size(); ++i)
    spots.back().readings[i].mm = spots.front().readings[i].mm - wide;
  request.check.panel_size = check::PanelSize{600, 600, {}};
  return request;
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("what settles a check goes by its own outcome") {
    auto request = test::station_request();
    const auto outcome = app::run_check(request);
    const auto settling = app::settle_check(request, outcome);
    CHECK(settling.station == "dock");
    CHECK(settling.setup == "crosscut");
    CHECK(!settling.panel_known);
    CHECK(near(settling.further.eta_rad, outcome.fit.eta.x, 1e-12, 0));
    CHECK(settling.further.provisional_now);
    CHECK(settling.further.cheapest);
    // No tolerance, nothing to settle.
    request.station->setups["crosscut"].tolerance.reset();
    CHECK_THROWS_AS(app::settle_check(request, app::run_check(request)), units::InputError);
  }

  TEST_CASE("what cannot tell yet says what settles it, and nothing else does") {
    const auto open = reads(0.4);
    const auto outcome = app::run_check(open);
    REQUIRE(outcome.verdict->setup == check::Answer::cannot_tell);
    const auto told = app::what_settles(open, outcome);
    REQUIRE(told);
    const auto at_length = app::settle_check(open, outcome);
    REQUIRE(told->further.cheapest);
    const auto& step = told->further.steps.at(*told->further.cheapest);
    CHECK(step.chance == at_length.further.steps.at(*at_length.further.cheapest).chance);
    CHECK(step.fresh_panels == 0);
    REQUIRE(step.side_after_mm);
    // Half of all cuts, rounded up, shorten one side by strip and kerf.
    CHECK(near(*step.side_after_mm, 600 - (5 + step.cuts + 1) / 2 * (22.74 + check::kKerfMm), 0, 0.1));
    const auto outside = reads(2);
    CHECK(!app::what_settles(outside, app::run_check(outside)));
    auto no_verdict = open;
    no_verdict.station->setups["crosscut"].tolerance.reset();
    CHECK(!app::what_settles(no_verdict, app::run_check(no_verdict)));
    auto by_plan = open;
    by_plan.planned_strips = 8;
    CHECK(!app::what_settles(by_plan, app::run_check(by_plan)));
    // A second panel whose strip mirrors the first: a mistake to be cleared up.
    auto mirrored = reads(2);
    auto strip = mirrored.check.strips[0];
    strip.panel = 2;
    std::swap(strip.spots[0].readings, strip.spots[1].readings);
    mirrored.check.strips.push_back(strip);
    const auto mistaken = app::run_check(mirrored);
    REQUIRE(mistaken.settle_first);
    REQUIRE(mistaken.verdict->setup == check::Answer::cannot_tell);
    CHECK(!app::what_settles(mirrored, mistaken));
  }

  TEST_CASE(
      "what two more cuts would bring is what the settling at length finds for two, wherever a verdict rests "
      "on something") {
    const auto open = reads(0.4);
    const auto outcome = app::run_check(open);
    REQUIRE(outcome.verdict->setup == check::Answer::cannot_tell);
    const auto brought = app::what_two_more_bring(open, outcome);
    REQUIRE(brought);
    CHECK(brought->cuts == 2);
    const auto at_length = app::settle_check(open, outcome, 0.999);
    const auto same = std::ranges::find_if(at_length.further.steps, [](const plan::FurtherStep& step) {
      return step.fresh_panels == 0 && step.cuts == 2;
    });
    REQUIRE(same != at_length.further.steps.end());
    CHECK(near(brought->half_width, same->half_width, 0.05, 0));
    CHECK(brought->provisional == same->provisional);
    CHECK(brought->half_width < outcome.fit.eta.half_width);
    // Also where no tolerance was stated; of joints and of a panel too small it is not told.
    auto no_verdict = open;
    no_verdict.station->setups["crosscut"].tolerance.reset();
    const auto untold = app::run_check(no_verdict);
    REQUIRE(!untold.verdict);
    CHECK(
        near(app::what_two_more_bring(no_verdict, untold).value().half_width, brought->half_width, 1e-12, 0));
    auto small = open;
    small.check.panel_size = check::PanelSize{180, 180, {}};
    CHECK(!app::what_two_more_bring(small, app::run_check(small)));
  }

  TEST_CASE("the strict verdict is the one that is settled when it was asked for") {
    // Four strips a little apart; by share of what is allowed, up to where only the strict verdict is open.
    app::CheckRequest request;
    for (double share = 0.1; share < 1; share += 0.01) {
      request = reads(share);
      request.check.test = check::TestKind::progressive;
      for (int cut = 6; cut <= 8; ++cut) {
        auto strip = request.check.strips.front();
        strip.from_cut = cut - 4;
        strip.to_cut = cut;
        for (auto& reading : strip.spots.front().readings) reading.mm += cut % 2 == 0 ? 0.02 : -0.02;
        request.check.strips.push_back(strip);
      }
      const auto eta = app::run_check(request).fit.eta;
      if (std::fabs(eta.x) + eta.half_width > 0.10 / 600) break;
    }
    const auto plain = app::run_check(request);
    REQUIRE(plain.verdict->setup == check::Answer::within);
    CHECK(app::settle_check(request, plain).further.settled);
    request.strict = true;
    const auto strict = app::run_check(request);
    REQUIRE(strict.verdict->setup == check::Answer::cannot_tell);
    const auto told = app::what_settles(request, strict);
    REQUIRE(told);
    CHECK(told->further.strict);
    CHECK(!told->further.settled);
    CHECK(told->further.now == check::Answer::cannot_tell);
  }
}
