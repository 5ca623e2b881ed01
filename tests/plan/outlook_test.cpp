// SPDX-License-Identifier: MIT
/// What a plan foretells, against simulated tests read and fitted one by one, against a power that can be
/// computed, and against the figure of METHOD.md.
#include "plan/outlook.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include "plan/plan.hpp"
#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"
#include "support/trials.hpp"

using namespace quarterturn;
using quarterturn::test::near;

namespace {

constexpr double kTolerance = 0.10 / 600;
constexpr std::uint64_t kSeed = 20260303;  // fixed once

/// One design, and what is known beside its readings.
struct Case {
  const char* name;
  int panels, cuts, spots, repeats;
  double sigma_m, sigma_f, sigma_r;
  int log_checks;  ///< earlier checks of two strips and three spots each; 0: no log
  bool assumed;
};

test::Design design_of(const Case& c) {
  test::Design d;
  d.panels = c.panels;
  d.cuts = c.cuts;
  d.repeats = c.repeats;
  d.positions.clear();
  for (int i = 0; i < c.spots; ++i) d.positions.push_back(500.0 * i / (c.spots - 1));
  d.sigma_m = c.sigma_m;
  d.sigma_f = c.sigma_f;
  d.sigma_r = c.sigma_r;
  // In hundredths few readings give half-widths a lattice of values.
  d.step = 0.001;
  return d;
}

plan::Bench bench_of(const Case& c) {
  plan::Bench bench;
  bench.spots = c.spots;
  bench.readings = c.repeats;
  bench.apart_mm = 500;
  check::Caliper caliper;
  caliper.resolution_mm = 0.001;
  bench.caliper = caliper;
  bench.sizes = {c.sigma_m, c.sigma_f, c.sigma_r * 384 / std::sqrt(2.0)};
  bench.evidence.push_back({check::Component::reading, 0.012 * 0.012, 8, check::Source::caliper, ""});
  bench.options.span_mm = 384;
  bench.options.use_assumed = c.assumed;
  std::mt19937_64 random(7);
  test::Design old = design_of(c);
  old.panels = 1;
  old.cuts = 6;
  old.positions = {0, 250, 500};
  for (int i = 0; i < c.log_checks; ++i) bench.earlier.push_back({old.check(random), 384, "", ""});
  return bench;
}

struct Counted {
  double half_width, within, outside, within_strict, outside_strict;
};
/// The same by the readings: exact geometry, rounded, fitted whole.
Counted counted(const Case& c, const plan::Bench& bench, int n) {
  std::mt19937_64 random(kSeed);
  std::vector<double> half_widths;
  int within = 0, outside = 0, within_strict = 0, outside_strict = 0;
  for (int i = 0; i < n; ++i) {
    for (const double share : {1.0 / 3, 2.0}) {
      test::Design d = design_of(c);
      d.eta = share * kTolerance;
      const check::Fit fit = check::fit(d.check(random), bench.evidence, bench.earlier, bench.options);
      const auto answer = check::verdict_of(fit, kTolerance).setup;
      if (share < 1) half_widths.push_back(fit.eta.half_width);
      if (share < 1 && answer == check::Answer::within) ++within;
      if (share > 1 && answer == check::Answer::outside) ++outside;
      // By hand: the whole interval on one side.
      if (share < 1 && fit.eta.low() >= -kTolerance && fit.eta.high() <= kTolerance) ++within_strict;
      if (share > 1 && (fit.eta.low() > kTolerance || fit.eta.high() < -kTolerance)) ++outside_strict;
    }
  }
  std::ranges::nth_element(half_widths, half_widths.begin() + n / 2);
  return {half_widths[static_cast<std::size_t>(n / 2)], static_cast<double>(within) / n,
          static_cast<double>(outside) / n, static_cast<double>(within_strict) / n,
          static_cast<double>(outside_strict) / n};
}

plan::Bench of_the_figure() {
  // METHOD.md: 500 mm, two spots of three readings, 0.015 mm, seating 3e-5 rad.
  plan::Bench bench;
  bench.apart_mm = 500;
  bench.sizes = {0.015, 0, 3e-5 * 384 / std::sqrt(2.0)};
  check::Caliper caliper;
  bench.caliper = caliper;
  bench.options.span_mm = 384;
  bench.options.use_assumed = false;
  return bench;
}

int fewest_five_cuts(const plan::Bench& bench, double half_width) {
  for (int panels = 1; panels < 20; ++panels) {
    const plan::Outlook outlook(bench, {panels, 5});
    if (!outlook.unknown() && outlook.mean_half_width() <= half_width) return panels;
  }
  return 0;
}

}  // namespace

TEST_SUITE("plan") {
  TEST_CASE("what a plan foretells is what simulated tests show" * doctest::test_suite("coverage")) {
    const double assumed = check::kAssumedSeatingMm * std::sqrt(2.0) / 384;
    const Case cases[] = {
        {"one strip, assumed seating", 1, 5, 2, 3, 0.012, 0, assumed, 0, true},
        {"one strip, three spots, assumed seating", 1, 5, 3, 3, 0.012, 0.02, assumed, 0, true},
        {"one strip, a log of three checks", 1, 5, 2, 3, 0.012, 0, 5e-5, 3, true},
        {"one strip, a log of twelve checks", 1, 5, 3, 3, 0.012, 0.01, 5e-5, 12, true},
        {"two panels, nothing known of seating", 2, 5, 2, 3, 0.015, 0, 5e-5, 0, false},
        {"two panels, assumed seating", 2, 5, 2, 3, 0.012, 0, assumed, 0, true},
        {"five panels", 5, 5, 3, 3, 0.012, 0.01, 8e-5, 0, true},
        {"seven cuts, assumed seating", 1, 7, 3, 3, 0.012, 0.01, assumed, 0, true},
        {"eight cuts", 1, 8, 2, 3, 0.012, 0, 7e-5, 0, true},
        {"eight cuts, hardly any seating", 1, 8, 2, 3, 0.015, 0, 3e-5, 0, true},
        {"twelve cuts, three spots", 1, 12, 3, 3, 0.012, 0.02, 7e-5, 0, true},
        {"two panels of eight cuts", 2, 8, 2, 2, 0.012, 0, 7e-5, 0, true},
    };
    const int n = test::trials(1000);
    for (const Case& c : cases) {
      const plan::Bench bench = bench_of(c);
      const plan::Outlook outlook(bench, {c.panels, c.cuts});
      REQUIRE(!outlook.unknown());
      const double within = outlook.probability(check::Answer::within, kTolerance / 3, kTolerance),
                   outside = outlook.probability(check::Answer::outside, 2 * kTolerance, kTolerance);
      const Counted sim = counted(c, bench, n);
      const std::string label = std::string(c.name) + ": ± " + std::to_string(outlook.half_width() * 600) +
                                " / " + std::to_string(sim.half_width * 600) + ", within " +
                                std::to_string(within) + " / " + std::to_string(sim.within) + ", outside " +
                                std::to_string(outside) + " / " + std::to_string(sim.outside);
      INFO(label);
      MESSAGE(label);
      // Beside what is claimed, the scatter of the simulation itself.
      const double se = 2.6 * 0.5 / std::sqrt(n);
      CHECK(std::fabs(outlook.half_width() / sim.half_width - 1) <= 0.05 + 2.6 * 1.25 * 0.5 / std::sqrt(n));
      CHECK(std::fabs(within - sim.within) <= 0.03 + se);
      CHECK(std::fabs(outside - sim.outside) <= 0.03 + se);
      const double within_strict =
                       outlook.probability(check::Answer::within, kTolerance / 3, kTolerance, true),
                   outside_strict =
                       outlook.probability(check::Answer::outside, 2 * kTolerance, kTolerance, true);
      CHECK(std::fabs(within_strict - sim.within_strict) <= 0.03 + se);
      CHECK(std::fabs(outside_strict - sim.outside_strict) <= 0.03 + se);
    }
  }

  TEST_CASE("independent panels: the power of Student's t, by its noncentral form") {
    // Seating alone: the n tapers are one normal sample, and 'outside' is a one-sided t test at T.
    for (const int panels : {4, 5, 6}) {
      plan::Bench bench;
      bench.apart_mm = 500;
      bench.sizes = {1e-6, 0, 0.02};
      check::Caliper caliper;
      caliper.resolution_mm = 1e-6;
      bench.caliper = caliper;
      bench.options.span_mm = 384;
      const plan::Outlook outlook(bench, {panels, 5});
      CHECK(outlook.rule() == check::Rule::panels);
      CHECK_FALSE(outlook.provisional());
      const double sd = 0.02 * std::sqrt(2.0) / 384 / std::sqrt(4.0 * panels), dof = panels - 1;
      for (const double share : {1.3, 1.6, 2.0}) {
        const double eta = share * kTolerance;
        const double power =
            1 - stats::noncentral_t_probability(stats::t_quantile(0.95, dof), dof, (eta - kTolerance) / sd);
        CAPTURE(panels);
        CAPTURE(share);
        CHECK(near(outlook.probability(check::Answer::outside, eta, kTolerance), power, 0, 0.01));
        const double strict =
            1 - stats::noncentral_t_probability(stats::t_quantile(0.975, dof), dof, (eta - kTolerance) / sd);
        CHECK(near(outlook.probability(check::Answer::outside, eta, kTolerance, true), strict, 0, 0.01));
      }
      // The median of s over sigma is the root of the chi-square median over its degrees of freedom.
      const double median =
          stats::t_quantile(0.975, dof) * sd * std::sqrt(stats::chi2_quantile(0.5, dof) / dof);
      CHECK(near(outlook.half_width(), median, 0.01, 0));
    }
  }

  TEST_CASE(
      "± 0.001 degrees over 500 mm: six five-cuts without a log, five with one, four if seating is steady") {
    const double wanted = 0.001 * std::acos(-1.0) / 180;
    plan::Bench bench = of_the_figure();
    CHECK(fewest_five_cuts(bench, wanted) == 6);
    // A log of twelve degrees of freedom counts 5.5 when seating varies from check to check (M18).
    const double s2 = bench.sizes.seating_mm * bench.sizes.seating_mm;
    bench.evidence = {{check::Component::seating, s2, 1 / (1 / 12.0 + 0.1), check::Source::log, ""}};
    CHECK(fewest_five_cuts(bench, wanted) == 5);
    bench.evidence = {{check::Component::seating, s2, 12, check::Source::log, ""}};
    CHECK(fewest_five_cuts(bench, wanted) == 4);
  }

  TEST_CASE("the same plan twice is the same to the last digit") {
    const plan::Bench bench = of_the_figure();
    const plan::Outlook a(bench, {1, 8}), b(bench, {1, 8});
    CHECK(a.half_width() == b.half_width());
    CHECK(a.probability(check::Answer::within, 5e-5, kTolerance) ==
          b.probability(check::Answer::within, 5e-5, kTolerance));
  }

  TEST_CASE("probabilities of the three answers add up, whichever way the error lies") {
    plan::Bench bench = of_the_figure();
    bench.options.use_assumed = true;
    const plan::Outlook outlook(bench, {1, 7});
    for (const double eta : {0.0, 5e-5, -5e-5, 2e-4, 1e-3}) {
      double sum = 0;
      for (const auto answer : {check::Answer::within, check::Answer::outside, check::Answer::cannot_tell}) {
        const double p = outlook.probability(answer, eta, kTolerance);
        CHECK(p >= -1e-12);
        CHECK(near(p, outlook.probability(answer, -eta, kTolerance), 0, 0.03));
        sum += p;
      }
      CHECK(near(sum, 1, 1e-9, 0));
    }
    CHECK(outlook.probability(check::Answer::outside, 1e-2, kTolerance) > 0.999);
  }

  TEST_CASE("nothing known of seating and one strip: no ±, and no answer") {
    const plan::Outlook outlook(of_the_figure(), {1, 5});
    CHECK(outlook.unknown() == "seating-unseen");
    CHECK(outlook.probability(check::Answer::within, 0, kTolerance) == 0);
    CHECK(outlook.probability(check::Answer::cannot_tell, 0, kTolerance) == 1);
    plan::Bench bench = of_the_figure();
    bench.readings = 1;
    CHECK(plan::Outlook(bench, {1, 5}).unknown() == "no-scatter");
  }
}
