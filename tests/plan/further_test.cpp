// SPDX-License-Identifier: MIT
/// How many more cuts settle a check: against simulated tests of which those count whose first strips came
/// out as measured.
#include "plan/further.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "check/test_cost.hpp"
#include "check/verdict.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"
#include "support/trials.hpp"

using namespace quarterturn;
using quarterturn::test::near;

namespace {

constexpr double kTolerance = 0.10 / 600;
const double kAssumed = check::kAssumedSeatingMm * std::sqrt(2.0) / 384;

const std::vector<check::Evidence>& caliper() {
  static const std::vector<check::Evidence> evidence{
      {check::Component::reading, 0.012 * 0.012, 8, check::Source::caliper, ""}};
  return evidence;
}
check::FitOptions usual_options() {
  check::FitOptions options;
  options.span_mm = 384;
  return options;
}

/// So many cuts that show that corner error in every strip, readings 0.012 mm apart as usual.
check::Check measured(double eta, int cuts, std::optional<check::PanelSize> panel = {}) {
  test::Design d;
  d.eta = eta;
  d.cuts = cuts;
  d.repeats = 3;
  d.step = 0;
  std::mt19937_64 random(1);
  check::Check check = d.check(random);
  for (auto& strip : check.strips) {
    for (auto& spot : strip.spots) {
      const double width = 25 - 4 * eta * spot.position_mm;
      spot.readings[0].mm = width - 0.012;
      spot.readings[1].mm = width;
      spot.readings[2].mm = width + 0.012;
      for (auto& reading : spot.readings) reading.step_mm = 0.001;
    }
  }
  check.panel_size = panel;
  return check;
}

plan::Further further(const check::Check& check, double tolerance = kTolerance, bool strict = false) {
  const auto options = usual_options();
  const check::Fit fit = check::fit(check, caliper(), {}, options);
  return plan::further_cuts(check, fit, caliper(), {}, options,
                            {.tolerance_rad = tolerance, .strict = strict});
}

const plan::FurtherStep& step(const plan::Further& further, int cuts) {
  for (const auto& s : further.steps) {
    if (s.fresh_panels == 0 && s.cuts == cuts) return s;
  }
  FAIL("no such step");
  return further.steps.front();
}

}  // namespace

TEST_SUITE("plan") {
  TEST_CASE("more cuts on a panel: as simulated tests whose first strip came out as measured") {
    const double eta = 0.35 * kTolerance;
    const check::Check check = measured(eta, 5);
    const auto foretold = further(check), foretold_strict = further(check, kTolerance, true);
    CHECK(foretold.provisional_now);
    const auto options = usual_options();
    std::mt19937_64 random(20260306);
    const int n = test::trials(600);
    for (const int cuts : {2, 3}) {
      test::Design d;
      d.eta = eta;
      d.cuts = 5 + cuts;
      d.sigma_m = 0.012;
      d.sigma_r = kAssumed;
      d.step = 0.001;
      int taken = 0, right = 0, right_strict = 0;
      std::vector<double> half_widths;
      while (taken < n) {
        check::Check all = d.check(random);
        const auto& spots = all.strips.front().spots;
        const double taper =
            (check::mean_mm(spots.front().readings) - check::mean_mm(spots.back().readings)) / 500;
        // A tenth of the standard deviation of such a taper, 2 x 7.4e-5.
        if (std::fabs(taper - 4 * eta) > 1.5e-5) continue;
        ++taken;
        const check::Fit fit = check::fit(all, caliper(), {}, options);
        half_widths.push_back(fit.eta.half_width);
        if (check::verdict_of(fit, kTolerance).setup == check::Answer::within) ++right;
        if (fit.eta.low() >= -kTolerance && fit.eta.high() <= kTolerance) ++right_strict;
      }
      std::ranges::nth_element(half_widths, half_widths.begin() + n / 2);
      const auto& told = step(foretold, cuts);
      const double rate = static_cast<double>(right) / n;
      CAPTURE(cuts);
      CAPTURE(told.chance);
      CAPTURE(rate);
      CHECK(std::fabs(told.chance - rate) <= 0.03 + 2.6 * 0.5 / std::sqrt(n));
      const auto& strictly = step(foretold_strict, cuts);
      const double strict_rate = static_cast<double>(right_strict) / n;
      CAPTURE(strictly.chance);
      CAPTURE(strict_rate);
      CHECK(std::fabs(strictly.chance - strict_rate) <= 0.03 + 2.6 * 0.5 / std::sqrt(n));
      CHECK(strictly.chance < told.chance);
      CHECK(near(told.half_width, half_widths[static_cast<std::size_t>(n / 2)],
                 0.05 + 2.6 * 1.25 * 0.5 / std::sqrt(n), 0));
    }
  }

  TEST_CASE("a provisional verdict is settled by the strip from which on nothing is assumed") {
    const auto f = further(measured(2 * kTolerance, 5, check::PanelSize{600, 600, {}}));
    CHECK(f.now == check::Answer::outside);
    CHECK(f.provisional_now);
    CHECK(!f.settled);
    REQUIRE(f.cheapest_provisional);
    CHECK(f.steps[*f.cheapest_provisional].cuts == 2);
    REQUIRE(f.cheapest);
    const auto& best = f.steps[*f.cheapest];
    CHECK(best.cuts == 3);
    CHECK(best.fresh_panels == 0);
    CHECK(best.minutes == 10);
    CHECK(best.chance >= 0.8);
    REQUIRE(best.side_after_mm);
    // Eight cuts: 600 - 4 x (25 + 3); readings of the widest place.
    CHECK(near(*best.side_after_mm, 600 - 4 * 28.0, 0, 1));
  }

  TEST_CASE("a panel that is used up: a fresh one") {
    const auto f = further(measured(2 * kTolerance, 5, check::PanelSize{386, 600, {}}));
    CHECK(!f.used_up);  // the sixth cut shortens the other side
    for (const auto& s : f.steps) {
      REQUIRE(s.side_after_mm);
      CHECK(*s.side_after_mm >= check::kSmallestPanelMm);
    }
    const auto six = further(measured(2 * kTolerance, 6, check::PanelSize{386, 600, {}}));
    CHECK(six.used_up);
    REQUIRE(six.cheapest);
    CHECK(six.steps[*six.cheapest].fresh_panels > 0);
    for (const auto& s : six.steps) CHECK(s.fresh_panels > 0);
  }

  TEST_CASE("at what is allowed no number of cuts will do; what is settled needs none") {
    const auto edge = further(measured(0.98 * kTolerance, 6));
    CHECK(edge.at_tolerance);
    CHECK(edge.steps.empty());
    CHECK(!edge.settled);
    const auto done = further(measured(0.1 * kTolerance, 9));
    CHECK(done.settled);
    CHECK(done.now == check::Answer::within);
    CHECK(done.steps.empty());
    // Near it, many cuts do not: none is named.
    const auto hard = further(measured(0.9 * kTolerance, 5));
    CHECK(!hard.at_tolerance);
    CHECK(!hard.cheapest);
    CHECK(!hard.steps.empty());
  }

  TEST_CASE("a fresh panel comes after all that the panel on the table still bears") {
    // Open so far, and a fresh five-cut takes no longer than six more cuts.
    const auto f = further(measured(0.7 * kTolerance, 5, check::PanelSize{600, 600, {}}));
    CHECK(f.now == check::Answer::cannot_tell);
    bool fresh = false;
    for (const auto& s : f.steps) {
      CHECK((s.fresh_panels > 0 || !fresh));
      fresh = fresh || s.fresh_panels > 0;
    }
    REQUIRE(f.cheapest);
    CHECK(f.steps[*f.cheapest].fresh_panels == 0);
    // 440 mm bear eight cuts, too few for it: only then a fresh one.
    const auto small = further(measured(0.7 * kTolerance, 5, check::PanelSize{420, 420, {}}));
    CHECK(!small.used_up);
    REQUIRE(small.cheapest);
    CHECK(small.steps[*small.cheapest].fresh_panels > 0);
  }

  TEST_CASE("the brief answer is the long one's, with less looked at") {
    const auto options = usual_options();
    for (const double share : {0.3, 0.7, 0.9, 2.0}) {
      for (const double side : {600.0, 420.0}) {
        const check::Check check = measured(share * kTolerance, 5, check::PanelSize{side, side, {}});
        const check::Fit fit = check::fit(check, caliper(), {}, options);
        const auto asked = [&](bool brief) {
          return plan::further_cuts(check, fit, caliper(), {}, options,
                                    {.tolerance_rad = kTolerance, .brief = brief});
        };
        const auto full = asked(false), brief = asked(true);
        CAPTURE(share);
        CAPTURE(side);
        CHECK(brief.steps.size() <= full.steps.size());
        REQUIRE(brief.cheapest.has_value() == full.cheapest.has_value());
        const auto& a = brief.steps.at(brief.cheapest.value_or(plan::nearest(brief)));
        const auto& b = full.steps.at(full.cheapest.value_or(plan::nearest(full)));
        CHECK(a.cuts == b.cuts);
        CHECK(a.fresh_panels == b.fresh_panels);
        CHECK(a.chance == b.chance);
        if (!full.cheapest && full.steps.size() > 10) CHECK(brief.steps.size() < full.steps.size());
      }
    }
  }

  TEST_CASE("why nothing will do") {
    const auto reason = [](const plan::Further& f) { return plan::no_way(f); };
    CHECK(reason(further(measured(0.98 * kTolerance, 5))) == plan::NoWay::at_tolerance);
    const auto hard = further(measured(0.9 * kTolerance, 5));
    CHECK(reason(hard) == plan::NoWay::not_likely);
    const auto& best = hard.steps[plan::nearest(hard)];
    CHECK(!best.provisional);
    for (const auto& s : hard.steps) CHECK((s.provisional || s.chance <= best.chance));
    CHECK(reason(further(measured(0.5 * kTolerance, 6, check::PanelSize{350, 350, {}}))) ==
          plan::NoWay::panel_too_small);
    CHECK(!reason(further(measured(2 * kTolerance, 5))));
    CHECK(!reason(further(measured(0.1 * kTolerance, 9))));
  }

  TEST_CASE("nothing known of seating: the usual size is planned with") {
    auto options = usual_options();
    options.use_assumed = false;
    const check::Check check = measured(2 * kTolerance, 5);
    const check::Fit fit = check::fit(check, caliper(), {}, options);
    REQUIRE(fit.eta.unknown);
    const auto f = plan::further_cuts(check, fit, caliper(), {}, options, {.tolerance_rad = kTolerance});
    CHECK(f.now == check::Answer::cannot_tell);
    CHECK(step(f, 2).half_width > 0);
    CHECK(!step(f, 2).provisional);
  }
}
