// SPDX-License-Identifier: MIT
#include "check/fit.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "check/resolution.hpp"
#include "check/verdict.hpp"
#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using test::near;

namespace {

check::Spot spot(double position, std::initializer_list<double> widths, double step = 0.01) {
  check::Spot s;
  s.position_mm = position;
  for (const double w : widths) {
    check::Reading r;
    r.mm = w;
    r.step_mm = step;
    s.readings.push_back(r);
  }
  return s;
}

check::Check one_strip(check::Spot fence_end, check::Spot free_end) {
  check::Check c;
  c.strips.push_back({1, 1, 5, {std::move(fence_end), std::move(free_end)}});
  return c;
}

bool has(const check::Fit& fit, const char* code) {
  return std::any_of(fit.findings.begin(), fit.findings.end(), [&](const auto& f) { return f.code == code; });
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("one strip: the arithmetic of the trade and the budget of Welch and Satterthwaite") {
    // 0.60 mm over 525 mm in four turns (common practice, no source: four turns multiply the error by four).
    const check::Check c = one_strip(spot(0, {22.74, 22.73, 22.75}), spot(525, {22.14, 22.13, 22.15}));
    check::FitOptions options;
    options.span_mm = 288;
    const std::vector<check::Evidence> evidence{
        {check::Component::reading, 0.012 * 0.012, 8, check::Source::caliper, ""}};
    const check::Fit fit = check::fit(c, evidence, {}, options);
    CHECK(near(fit.eta.x, 0.60 / 525 / 4, 1e-9, 0));
    CHECK(fit.provisional);
    CHECK(has(fit, "seating-unseen"));
    CHECK(has(fit, "saw-marks-unseen"));
    // By hand: s^2 pooled on 4 + 8, two spot means of three; seating 0.02 mm on 3 (GUM G.4.1, eq. G.2b).
    const double s2 = (4 * 1e-4 + 8 * 1.44e-4) / 12, v = 2 * s2 / 3 / (525.0 * 525.0) / 16;
    const double seat = 4 * 2 * 4e-4 / (288.0 * 288.0) / 16, u2 = v + seat;
    const double dof = u2 * u2 / (v * v / 12 + seat * seat / 3);
    CHECK(near(fit.eta.u, std::sqrt(u2), 1e-6, 0));
    CHECK(near(fit.eta.dof, dof, 1e-5, 0));
    CHECK(near(fit.eta.half_width, stats::t_quantile(0.975, dof) * std::sqrt(u2), 1e-5, 0));
    CHECK(fit.scatter[0].source == check::Source::readings);
    CHECK(fit.scatter[2].source == check::Source::assumed);
    CHECK_FALSE(fit.next_panel.has_value());
  }

  TEST_CASE("nothing known of seating and nothing assumed: unknown, because") {
    const check::Check c = one_strip(spot(0, {22.74, 22.73, 22.75}), spot(525, {22.14, 22.13, 22.15}));
    check::FitOptions options;
    options.use_assumed = false;
    const check::Fit fit = check::fit(c, {}, {}, options);
    REQUIRE(fit.eta.unknown.has_value());
    CHECK(*fit.eta.unknown == "seating-unseen");
    CHECK(check::verdict_of(fit, 1e-2).setup == check::Answer::cannot_tell);
  }

  TEST_CASE("no repeat, no residual, no caliper: no interval") {
    const check::Check c = one_strip(spot(0, {22.74}), spot(525, {22.14}));
    bool thrown = false;
    try {
      (void)check::fit(c);
    } catch (const check::NoInterval& no) {
      thrown = true;
      CHECK(near(no.eta_rad, 0.60 / 525 / 4, 1e-9, 0));
    }
    CHECK(thrown);
    // the caliper's statement alone is enough
    const std::vector<check::Evidence> evidence{
        {check::Component::reading, 0.012 * 0.012, 8, check::Source::caliper, ""}};
    CHECK(check::fit(c, evidence).eta.half_width > 0);
  }

  TEST_CASE("resolution: digits as typed, the caliper's step, multiples") {
    check::Check c = one_strip(spot(0, {14.83, 14.8}), spot(500, {14.7, 14.7}));
    c.strips[0].spots[0].readings[1].step_mm = 0.1;
    CHECK(near(check::resolution_mm(c), 0.01, 0, 1e-12));  // 14.8 beside 14.83 is 14.80
    c = one_strip(spot(0, {14.85, 14.80, 14.85}), spot(500, {14.70, 14.75, 14.70}));
    CHECK(near(check::resolution_mm(c), 0.05, 0, 1e-12));
    c.strips[0].spots[1].readings.pop_back();
    CHECK(near(check::resolution_mm(c), 0.01, 0, 1e-12));  // five readings may agree by chance
    c.caliper = check::Caliper{"vernier", 0.02, 0.02, 0.25, 150};
    CHECK(near(check::resolution_mm(c), 0.02, 0, 1e-12));
    // (M16): s at least d/2 already holds the rounding; below it a mean keeps d^2/12
    CHECK(near(check::spot_variance(0.01 * 0.01, 4, 0.01).share, 0.25, 1e-12, 0));
    CHECK(near(check::spot_variance(0.001 * 0.001, 4, 0.01).fixed, 1e-4 / 12, 1e-12, 0));
    CHECK(near(check::spot_variance(0.004 * 0.004, 1, 0.01).share, 1.0, 1e-12, 0));
  }

  TEST_CASE(
      "readings that are merely equal show no coarser step; a sure caliper and many repeats stay "
      "computable") {
    const check::Check equal = one_strip(spot(0, {25.00, 25.00, 25.00}), spot(525, {25.00, 25.00, 25.00}));
    CHECK(near(check::resolution_mm(equal), 0.01, 0, 1e-12));
    std::mt19937_64 random(17);
    test::Design design;
    design.positions = {20, 270, 520};
    design.repeats = 120;
    CHECK(check::fit(design.check(random)).eta.half_width > 0);
    design.repeats = 3;
    for (const double reliability : {0.03, 1e-4, 1e-9}) {
      const std::vector<check::Evidence> sure{{check::Component::reading, 0.012 * 0.012,
                                               0.5 / (reliability * reliability), check::Source::caliper,
                                               ""}};
      CHECK(std::isfinite(check::fit(design.check(random), sure).eta.half_width));
    }
  }

  TEST_CASE("the next panel is never surer than measuring allows") {
    check::Check c;
    for (int panel = 1; panel <= 4; ++panel) {
      c.strips.push_back({panel, 1, 5, {spot(0, {22.14, 22.15}), spot(525, {22.14, 22.15})}});
    }
    const check::Fit fit = check::fit(c);
    REQUIRE(fit.next_panel.has_value());
    CHECK(fit.next_panel->u > 0);
    CHECK(fit.next_panel->u >= fit.eta.u);
  }

  TEST_CASE("what no saw makes is refused") {
    CHECK_THROWS_AS((void)check::fit(one_strip(spot(0, {60, 60}), spot(525, {22, 22}))), units::InputError);
    check::Check many;
    many.test = check::TestKind::progressive;
    for (int cut = 1; cut <= 101; ++cut) {
      many.strips.push_back({1, cut, cut + 4, {spot(0, {22.1, 22.2}), spot(525, {22.1, 22.2})}});
    }
    CHECK_THROWS_AS((void)check::fit(many), units::InputError);
  }

  TEST_CASE("identical readings stay finite and keep the rounding") {
    const check::Check c = one_strip(spot(0, {22.14, 22.14, 22.14}), spot(525, {22.14, 22.14, 22.14}));
    const check::Fit fit = check::fit(c);
    CHECK(fit.eta.x == 0);
    const double rounding = std::sqrt(2 * 1e-4 / 12) / 525 / 4;
    CHECK(fit.measuring_half_width >= 1.9 * rounding);
    CHECK(std::isfinite(fit.eta.half_width));
  }

  TEST_CASE("the order of rows and the unit do not matter") {
    std::mt19937_64 random(5);
    test::Design design;
    design.panels = 2;
    design.cuts = 7;
    design.positions = {15, 250, 505};
    design.sigma_r = 5e-5;
    const check::Check c = design.check(random);
    const check::Fit a = check::fit(c);
    check::Check shuffled = c;
    std::reverse(shuffled.strips.begin(), shuffled.strips.end());
    for (auto& strip : shuffled.strips) {
      for (auto& s : strip.spots) std::reverse(s.readings.begin(), s.readings.end());
    }
    const check::Fit b = check::fit(shuffled);
    CHECK(near(a.eta.x, b.eta.x, 1e-9, 0));
    CHECK(near(a.eta.half_width, b.eta.half_width, 1e-6, 0));
  }

  TEST_CASE("earlier checks sharpen the interval through the same likelihood") {
    std::mt19937_64 random(11);
    test::Design design;
    design.cuts = 8;
    design.positions = {0, 250, 500};
    design.sigma_r = 3e-5;
    std::vector<check::ScatterEvidence> log;
    for (int i = 0; i < 6; ++i) log.push_back({design.check(random), design.span, "", ""});
    const check::Check today = design.check(random);
    check::FitOptions options;
    options.span_mm = design.span;
    const check::Fit alone = check::fit(today, {}, {}, options), with = check::fit(today, {}, log, options);
    CHECK(with.eta.half_width < alone.eta.half_width);
    CHECK(with.scatter[2].source == check::Source::log);
    CHECK_FALSE(with.provisional);
    // checks of one strip each know nothing of seating (M18)
    design.cuts = 5;
    std::vector<check::ScatterEvidence> blind;
    for (int i = 0; i < 6; ++i) blind.push_back({design.check(random), design.span, "", ""});
    CHECK(check::fit(design.check(random), {}, blind, options).provisional);
  }

  TEST_CASE("verdicts: probabilities and the strict rule") {
    const check::Check c = one_strip(spot(0, {22.74, 22.73, 22.75}), spot(525, {22.14, 22.13, 22.15}));
    const check::Fit fit = check::fit(c);
    const double t = std::fabs(fit.eta.x);
    CHECK(check::verdict_of(fit, 20 * t).setup == check::Answer::within);
    CHECK(check::verdict_of(fit, t / 20).setup == check::Answer::outside);
    CHECK(check::verdict_of(fit, t).setup == check::Answer::cannot_tell);
    const double edge = t + 0.9 * fit.eta.half_width;  // one-sided 95 % lies inside, the interval reaches out
    CHECK(check::verdict_of(fit, edge).setup == check::Answer::within);
    CHECK(check::verdict_of(fit, edge, true).setup == check::Answer::cannot_tell);
    CHECK_FALSE(check::verdict_of(fit, t).next_panel.has_value());
  }

  TEST_CASE("the next panel scatters by its own seating") {
    std::mt19937_64 random(8);
    test::Design design;
    design.panels = 5;
    design.sigma_r = 2e-4;
    design.eta = 0;
    const check::Fit fit = check::fit(design.check(random));
    REQUIRE(fit.next_panel.has_value());
    CHECK(fit.next_panel->u > fit.eta.u);
    CHECK(fit.next_panel->dof == 4);
    CHECK(check::verdict_of(fit, 1.6667e-4).seating_too_wide);  // sigma_r 2e-4 against 0.10 over 600
  }

  TEST_CASE("a fit that is repeated for one design gives the interval of the fit itself") {
    std::mt19937_64 random(20260307);
    test::Design design;
    design.positions = {0, 250, 500};
    design.sigma_r = 5e-5;
    design.sigma_f = 0.01;
    const std::vector<check::Evidence> evidence{
        {check::Component::reading, 0.012 * 0.012, 8, check::Source::caliper, ""}};
    check::FitOptions options;
    options.span_mm = 384;
    for (const int earlier_checks : {0, 2, 8}) {
      std::vector<check::ScatterEvidence> earlier;
      design.panels = 1;
      design.cuts = 7;
      for (int i = 0; i < earlier_checks; ++i) earlier.push_back({design.check(random), 384, "", ""});
      for (const auto& shape : {std::pair{1, 5}, {1, 8}, {4, 5}}) {
        const int panels = shape.first, cuts = shape.second;
        design.panels = panels;
        design.cuts = cuts;
        const check::Refit refit(design.check(random), evidence, earlier, options);
        for (int i = 0; i < 3; ++i) {
          const check::Check check = design.check(random);
          const check::Fit fit = check::fit(check, evidence, earlier, options), again = refit(check);
          CAPTURE(earlier_checks);
          CAPTURE(cuts);
          CHECK(again.rule == fit.rule);
          CHECK(again.provisional == fit.provisional);
          CHECK(near(again.eta.x, fit.eta.x, 1e-9, 1e-15));
          // The quadrature of few degrees of freedom has coarser steps; under one its tails are long.
          const bool tails = fit.scatter[2].dof < 1;
          const double rel = fit.rule != check::Rule::few_df ? 1e-9 : tails ? 0.1 : 1e-3;
          CHECK(near(again.eta.half_width, fit.eta.half_width, rel, 0));
          CHECK(near(again.probability_within_at(fit.eta.x, 2e-4), fit.probability_within(2e-4), 0,
                     tails ? 5e-3 : 1e-3));
        }
      }
    }
  }
}
