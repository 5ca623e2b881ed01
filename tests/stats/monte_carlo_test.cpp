// SPDX-License-Identifier: MIT
// Worked examples of JCGM 101:2008 (9.2, 9.3, 9.5; files and sources in data/reference/SOURCE.md),
// distributions whose intervals are known, and what must not depend on
// threads or blocks.
#include "stats/monte_carlo.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "stats/distributions.hpp"
#include "stats/uncertainty_budget.hpp"
#include "support/near.hpp"
#include "support/reference_json.hpp"
#include "support/trials.hpp"

namespace {

using namespace quarterturn;
using stats::Coverage;
using stats::CoverageInterval;
using stats::MonteCarlo;
using stats::MonteCarloOptions;
using stats::Stream;
using stats::TrialModel;
using test::near;
using test::reference_number;

const double kRoot3 = std::sqrt(3.0);

/// A model that makes one trial at a time.
template <class Trial>
TrialModel each(Trial trial) {
  return [trial](Stream& random, std::span<double> out) {
    for (double& y : out) y = trial(random);
  };
}

/// Sum of rectangular quantities about 0 with these half-widths.
TrialModel rectangular_sum(const std::vector<double>& half_widths) {
  return each([half_widths](Stream& random) {
    double y = 0;
    for (const double a : half_widths) y += random.uniform(-a, a);
    return y;
  });
}

/// Within what a published figure was rounded to, and what the trials are settled to.
bool published(double value, const char* file, const std::string& pointer, double half_unit, double settled) {
  const double printed = reference_number(file, pointer);
  CAPTURE(pointer);
  CAPTURE(value);
  CAPTURE(printed);
  CHECK(near(value, printed, 0, half_unit + settled));
  return near(value, printed, 0, half_unit + settled);
}

CoverageInterval around(double estimate, double half_width) {
  return {estimate - half_width, estimate + half_width};
}

void check_same(const MonteCarlo& a, const MonteCarlo& b) {
  CHECK(a.trials == b.trials);
  CHECK(a.converged == b.converged);
  CHECK(a.mean == b.mean);
  CHECK(a.u == b.u);
  CHECK(a.symmetric.low == b.symmetric.low);
  CHECK(a.symmetric.high == b.symmetric.high);
  CHECK(a.shortest.low == b.shortest.low);
  CHECK(a.shortest.high == b.shortest.high);
}

const char* const k92 = "gum/jcgm101_9_2_additive.json";
const char* const k93 = "gum/jcgm101_9_3_mass.json";
const char* const k95 = "gum/jcgm101_9_5_gauge_block.json";

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("JCGM 101 9.2: four normal, four rectangular, three and a wide rectangular quantity") {
    const double wide = 10 * kRoot3;
    const struct {
      std::string at;
      TrialModel model;
      std::string u, q, mcm, budget;  // pointers below `at`
      double unit;                    // half a unit of the last printed place of the interval
      bool valid;
    } cases[] = {
        {"/cases/0", each([](Stream& r) { return r.normal() + r.normal() + r.normal() + r.normal(); }),
         "/published/u", "/recomputed_exact/q975", "/published/interval95", "/published/interval95", 0.005,
         true},
        {"/cases/1", rectangular_sum({kRoot3, kRoot3, kRoot3, kRoot3}), "/published/u_guf",
         "/recomputed_exact/q975", "/published/interval95_mcm_and_analytic", "/published/interval95_guf",
         0.005, true},
        {"/cases/2", rectangular_sum({kRoot3, kRoot3, kRoot3, wide}), "/recomputed_exact/u",
         "/recomputed_exact/q975", "/published/interval95_mcm", "/published/interval95_guf", 0.05, false},
    };
    for (const auto& c : cases) {
      CAPTURE(c.at);
      MonteCarloOptions options;
      options.tolerance_share = 0.2;  // 8.2: the trials are to judge a budget
      const MonteCarlo found = stats::monte_carlo(c.model, options);
      REQUIRE(found.converged);
      const double settled = options.tolerance_share * found.delta;
      CHECK(published(found.mean, k92, c.at + "/published/y", 0, settled));
      CHECK(published(found.u, k92, c.at + c.u, 0, settled));
      CHECK(published(found.symmetric.high, k92, c.at + c.q, 0, settled));
      CHECK(published(-found.symmetric.low, k92, c.at + c.q, 0, settled));
      CHECK(published(found.symmetric.low, k92, c.at + c.mcm + "/0", c.unit, settled));
      CHECK(published(found.symmetric.high, k92, c.at + c.mcm + "/1", c.unit, settled));
      // 9.2 prints the shortest interval of these symmetric distributions as the same; its ends are not held
      CHECK(published(found.shortest.high - found.shortest.low, k92, c.at + c.q,
                      reference_number(k92, c.at + c.q), 2 * settled));

      const double x4 = c.at == "/cases/2" ? 10 : 1;
      const auto budget = stats::combine({{{"X1", 0, 1}, {"X2", 0, 1}, {"X3", 0, 1}, {"X4", 0, x4}}});
      const CoverageInterval gum = around(0, budget.expanded(0.95));
      CHECK(published(gum.low, k92, c.at + c.budget + "/0", c.unit, 0));
      CHECK(published(gum.high, k92, c.at + c.budget + "/1", c.unit, 0));
      const auto two = stats::validate_interval(gum, found.symmetric, budget.u, 2);
      CHECK(two.valid == c.valid);
      CHECK(two.delta == (c.at == "/cases/2" ? 0.5 : 0.05));
      // three digits: the four rectangular quantities differ by 0.04, more than 0.005
      if (c.at == "/cases/1") CHECK(!stats::validate_interval(gum, found.symmetric, budget.u, 3).valid);
    }
  }

  TEST_CASE("JCGM 101 9.3: mass calibration, where the first order of the budget is not enough") {
    const auto input = [](int i, const char* name) {
      return reference_number(k93, "/inputs/" + std::to_string(i) + "/" + name);
    };
    const double m = input(0, "mean_mg"), u_m = input(0, "sd_mg"), dm = input(1, "mean_mg"),
                 u_dm = input(1, "sd_mg");
    const double air[] = {input(2, "a"), input(2, "b")}, weight[] = {input(3, "a"), input(3, "b")},
                 reference[] = {input(4, "a"), input(4, "b")};
    MonteCarloOptions options;
    options.steady = Coverage::shortest;
    const MonteCarlo found =
        stats::monte_carlo(each([&](Stream& r) {
                             const double mass = m + u_m * r.normal(), added = dm + u_dm * r.normal();
                             const double density = r.uniform(air[0], air[1]);
                             const double buoyancy = 1 / r.uniform(weight[0], weight[1]) -
                                                     1 / r.uniform(reference[0], reference[1]);
                             return (mass + added) * (1 + (density - 1.2) * buoyancy) - m;
                           }),
                           options);
    REQUIRE(found.converged);
    CHECK(near(found.delta, 0.0005, 1e-12, 0));
    CHECK(published(found.mean, k93, "/published/MCM/y", 0.00005, found.delta));
    CHECK(published(found.u, k93, "/published/MCM/u", 0.00005, found.delta));
    CHECK(published(found.mean, k93, "/recomputed/MCM/mean", 0, found.delta));
    CHECK(published(found.u, k93, "/recomputed/MCM/sd", 0, found.delta));
    CHECK(published(found.symmetric.low, k93, "/recomputed/MCM/symmetric95/0", 0, found.delta));
    CHECK(published(found.symmetric.high, k93, "/recomputed/MCM/symmetric95/1", 0, found.delta));
    // the shortest interval is flat in position: its width is known better than its ends
    CHECK(published(found.shortest.low, k93, "/published/MCM/shortest95/0", 0.00005, 0.002));
    CHECK(published(found.shortest.high, k93, "/published/MCM/shortest95/1", 0.00005, 0.002));
    const double width = reference_number(k93, "/recomputed/MCM/shortest95/1") -
                         reference_number(k93, "/recomputed/MCM/shortest95/0");
    CHECK(near(found.shortest.high - found.shortest.low, width, 0, found.delta));

    // at the estimates the sensitivity to each density is 0; second order: m/rho^2 to each product
    const auto u_of = [](const double* limits) { return (limits[1] - limits[0]) / std::sqrt(12.0); };
    const std::vector<stats::BudgetRow> rows = {
        {"m_Rc", m, u_m},
        {"dm_Rc", dm, u_dm},
        {"rho_a", 1.2, u_of(air), stats::Evaluation::b, 1e9, 0},
        {"rho_W", 8000, u_of(weight), stats::Evaluation::b, 1e9, 0},
        {"rho_R", 8000, u_of(reference), stats::Evaluation::b, 1e9, 0}};
    const double second = (m + dm) / 8000 / 8000;
    const auto first_order = stats::combine(rows),
               with = stats::combine(rows, {}, {{{2, 3, -second}, {2, 4, second}}});
    const struct {
      const stats::Budget* budget;
      std::string name;
      double unit;
      bool valid;
    } budgets[] = {{&first_order, "GUF1", 0.00005, false}, {&with, "GUF2", 0.0005, true}};
    for (const auto& b : budgets) {
      CAPTURE(b.name);
      const CoverageInterval interval = around(dm, b.budget->expanded(0.95));
      CHECK(near(b.budget->u, reference_number(k93, "/recomputed/" + b.name + "/u"), 1e-6, 0));
      CHECK(near(interval.low, reference_number(k93, "/recomputed/" + b.name + "/interval95/0"), 1e-7, 0));
      CHECK(near(interval.high, reference_number(k93, "/recomputed/" + b.name + "/interval95/1"), 1e-7, 0));
      CHECK(published(b.budget->u, k93, "/published/" + b.name + "/u", b.unit, 0));
      CHECK(published(interval.low, k93, "/published/" + b.name + "/interval95/0", b.unit, 0));
      CHECK(published(interval.high, k93, "/published/" + b.name + "/interval95/1", b.unit, 0));
      // one significant digit, delta 0.005: the first order is refuted, the second order holds
      const auto v = stats::validate_interval(interval, found.shortest, found.u, 1);
      CHECK(near(v.delta, 0.005, 1e-12, 0));
      CHECK(v.valid == b.valid);
    }
  }

  TEST_CASE("JCGM 101 9.5: gauge block, with t, arc sine and curvilinear trapezoid") {
    MonteCarloOptions options;
    options.coverage = 0.99;
    options.steady = Coverage::shortest;
    const MonteCarlo found =
        stats::monte_carlo(each([](Stream& r) {
                             // table 10, in nm and degrees C; L_s is taken about its nominal length of 50 000
                             // 000 nm
                             const double standard = 623 + 25 * r.t(18), difference = 215 + 6 * r.t(24);
                             const double comparator = 4 * r.t(5) + 7 * r.t(8);
                             const double alpha = r.uniform(9.5e-6, 13.5e-6);
                             const double theta = -0.1 + 0.2 * r.normal() + r.arc_sine(-0.5, 0.5);
                             const double d_alpha = r.curvilinear_trapezoid(-1e-6, 1e-6, 0.1e-6);
                             const double d_theta = r.curvilinear_trapezoid(-0.05, 0.05, 0.025);
                             return standard + difference + comparator -
                                    (50'000'000 + standard) * (d_alpha * theta + alpha * d_theta);
                           }),
                           options);
    REQUIRE(found.converged);
    CHECK(found.delta == 0.5);
    CHECK(published(found.mean, k95, "/published/MCM/y_nm", 0.5, found.delta));
    CHECK(published(found.u, k95, "/published/MCM/u_nm", 0.5, found.delta));
    CHECK(published(found.mean, k95, "/recomputed/MCM/mean", 0, found.delta));
    CHECK(published(found.u, k95, "/recomputed/MCM/sd", 0, found.delta));
    CHECK(published(found.shortest.low, k95, "/published/MCM/interval99_nm/0", 0.5, 1));
    CHECK(published(found.shortest.high, k95, "/published/MCM/interval99_nm/1", 0.5, 1));
    CHECK(published(found.symmetric.low, k95, "/recomputed/MCM/symmetric99/0", 0, 2 * found.delta));
    CHECK(published(found.symmetric.high, k95, "/recomputed/MCM/symmetric99/1", 0, 2 * found.delta));

    // the budget of GUM H.1: 2.92 times 32 nm. It agrees to one significant digit, not to two.
    const CoverageInterval gum = {reference_number(k95, "/published/GUF/interval99_nm/0"),
                                  reference_number(k95, "/published/GUF/interval99_nm/1")};
    const double u = reference_number(k95, "/published/GUF/u_nm");
    CHECK(stats::validate_interval(gum, found.shortest, u, 1).valid);
    CHECK(stats::validate_interval(gum, found.shortest, u, 1).delta == 5);
    CHECK(!stats::validate_interval(around(838, 92.48), found.shortest, u, 2).valid);
  }

  TEST_CASE("shortest and symmetric interval of a skewed distribution") {
    // exponential: shortest from 0 to -ln 0.05, symmetric between the quantiles
    MonteCarloOptions options;
    options.seed = 3;
    const MonteCarlo found =
        stats::monte_carlo(each([](Stream& r) { return -std::log(r.uniform()); }), options);
    REQUIRE(found.converged);
    CHECK(near(found.mean, 1, 0, found.delta));
    CHECK(near(found.u, 1, 0, found.delta));
    CHECK(near(found.shortest.low, 0, 0, 0.002));
    CHECK(near(found.shortest.high, -std::log(0.05), 0, found.delta));
    CHECK(near(found.symmetric.low, -std::log(0.975), 0, found.delta));
    CHECK(near(found.symmetric.high, -std::log(0.025), 0, found.delta));
  }

  TEST_CASE("Monte Carlo: a run of three blocks against the same done naively") {
    const TrialModel model = each([](Stream& r) { return 1000 - std::log(r.uniform()); });
    for (const Coverage steady : {Coverage::symmetric, Coverage::shortest}) {
      MonteCarloOptions options;
      options.seed = 17;
      options.coverage = 0.9;
      options.steady = steady;
      options.significant_digits = 7;
      options.block = 4000;
      options.least_blocks = 2;
      options.most_trials = 15'999;
      const MonteCarlo found = stats::monte_carlo(model, options);
      CHECK(found.trials == 12'000);

      const auto mean_sd = [](const std::vector<double>& y) {
        long double sum = 0, ss = 0;
        for (const double x : y) sum += x;
        const long double mean = sum / static_cast<long double>(y.size());
        for (const double x : y) ss += (x - mean) * (x - mean);
        return std::pair(static_cast<double>(mean),
                         static_cast<double>(std::sqrt(ss / static_cast<long double>(y.size() - 1))));
      };
      std::vector<double> all, told[4];
      for (std::uint64_t block = 0; block < 3; ++block) {
        std::vector<double> trials(4000);
        for (std::uint64_t k = 0; k < 4; ++k) {
          Stream random(17, 4 * block + k);
          model(random, std::span(trials).subspan(1000 * k, 1000));
        }
        all.insert(all.end(), trials.begin(), trials.end());
        const auto both = stats::coverage_intervals(trials, 0.9);
        const CoverageInterval ends = steady == Coverage::symmetric ? both.symmetric : both.shortest;
        const auto [mean, sd] = mean_sd(trials);
        const double values[] = {mean, sd, ends.low, ends.high};
        for (std::size_t i = 0; i < 4; ++i) told[i].push_back(values[i]);
      }
      const auto [mean, sd] = mean_sd(all);
      CHECK(near(found.mean, mean, 1e-14, 0));
      CHECK(near(found.u, sd, 1e-12, 0));
      for (std::size_t i = 0; i < 4; ++i)
        CHECK(near(found.twice_s[i], 2 * mean_sd(told[i]).second / kRoot3, 1e-9, 0));
      const auto both = stats::coverage_intervals(all, 0.9);
      CHECK(found.symmetric.low == both.symmetric.low);
      CHECK(found.symmetric.high == both.symmetric.high);
      CHECK(found.shortest.low == both.shortest.low);
      CHECK(found.shortest.high == both.shortest.high);
    }
  }

  TEST_CASE("Monte Carlo: the same bits for any number of threads") {
    const TrialModel model = each([](Stream& r) { return 3 * r.normal() + r.t(4) + r.arc_sine(-2, 2); });
    for (const std::size_t most : {10'000'000U, 110'000U}) {  // stands still; comes to its cap
      MonteCarloOptions options;
      options.seed = 99;
      options.most_trials = most;
      options.threads = 1;
      std::vector<std::size_t> told;
      options.progress = [&](std::size_t trials) { told.push_back(trials); };
      const MonteCarlo one = stats::monte_carlo(model, options);
      CHECK(one.converged == (most > 1'000'000));
      for (std::size_t k = 0; k < told.size(); ++k) CHECK(told[k] == 10'000 * (k + 1));
      CHECK(told.size() * 10'000 == one.trials);
      for (const int threads : {2, 3, 7, 0}) {
        CAPTURE(threads);
        const std::vector<std::size_t> before = told;
        told.clear();
        options.threads = threads;
        check_same(stats::monte_carlo(model, options), one);
        CHECK(told == before);
      }
    }
  }

  TEST_CASE("Monte Carlo: blocks do not change the trials, and a seed is a seed") {
    const TrialModel model = each([](Stream& r) { return r.normal() + r.uniform(-1, 1); });
    MonteCarloOptions options;
    options.significant_digits = 6;
    options.least_blocks = 2;
    options.most_trials = 200'000;
    const MonteCarlo first = stats::monte_carlo(model, options);
    for (const std::size_t block : {2000U, 9001U, 20'000U, 50'000U, 100'000U}) {
      CAPTURE(block);
      options.block = block;  // 9001 is made 10'000
      check_same(stats::monte_carlo(model, options), first);
    }
    options.seed = 2;
    const MonteCarlo other = stats::monte_carlo(model, options);
    CHECK(other.mean != first.mean);
    CHECK(other.u != first.u);
    CHECK(other.shortest.low != first.shortest.low);
    CHECK(near(other.mean, first.mean, 0, 0.02));
  }

  TEST_CASE("Monte Carlo: coming to the cap is told, with how far the values are settled") {
    MonteCarloOptions options;
    options.significant_digits = 5;
    options.most_trials = 125'000;
    const MonteCarlo found = stats::monte_carlo(each([](Stream& r) { return r.normal(); }), options);
    CHECK(!found.converged);
    CHECK(found.trials == 120'000);  // whole blocks
    CHECK(near(found.delta, found.u < 1 ? 0.000005 : 0.00005, 1e-12, 0));
    for (const double twice_s : found.twice_s) CHECK(twice_s > found.delta);
    CHECK(near(found.twice_s[0], 2 / std::sqrt(120'000), 0.7, 0));
    // a coverage near 1 makes blocks larger: 100/(1 - p)
    options.coverage = 0.998;
    options.most_trials = 1'000'000;
    CHECK(stats::monte_carlo(each([](Stream& r) { return r.normal(); }), options).trials == 1'000'000);
    options.most_trials = 499'999;
    CHECK_THROWS_AS(stats::monte_carlo(each([](Stream& r) { return r.normal(); }), options),
                    std::domain_error);
  }

  TEST_CASE("Monte Carlo: what always comes out the same has no uncertainty") {
    const MonteCarlo found = stats::monte_carlo(each([](Stream&) { return 7.25; }));
    CHECK(found.converged);
    CHECK(found.trials == 100'000);
    CHECK(found.mean == 7.25);
    CHECK(found.u == 0);
    CHECK(found.delta == 0);
    CHECK(found.shortest.low == 7.25);
    CHECK(found.symmetric.high == 7.25);
  }

  TEST_CASE("Monte Carlo: how often the mean is as near as it says, with two blocks at least and with ten") {
    // rectangular with u = 9.9, where two digits ask for the most: delta 0.05
    const TrialModel model = each([](Stream& r) { return r.uniform(-9.9 * kRoot3, 9.9 * kRoot3); });
    const int runs = test::trials(40);
    int within[2] = {0, 0};
    for (int run = 0; run < runs; ++run)
      for (const int least : {2, 10}) {
        MonteCarloOptions options;
        options.seed = 5000 + static_cast<std::uint64_t>(run);
        options.least_blocks = static_cast<std::size_t>(least);
        const MonteCarlo found = stats::monte_carlo(model, options);
        within[least == 10] += std::fabs(found.mean) <= found.delta;
      }
    CAPTURE(runs);
    CAPTURE(within[0]);
    CAPTURE(within[1]);
    CHECK(within[1] >= 0.85 * runs);
    CHECK(within[0] <= within[1]);
  }

  TEST_CASE("numerical tolerance: half a unit of the last significant digit of u") {
    CHECK(stats::numerical_tolerance(35.8, 2) == 0.5);
    CHECK(stats::numerical_tolerance(32, 1) == 5);
    CHECK(near(stats::numerical_tolerance(0.00035, 2), 0.000005, 1e-14, 0));
    CHECK(near(stats::numerical_tolerance(0.0754, 1), 0.005, 1e-14, 0));
    CHECK(stats::numerical_tolerance(2, 2) == 0.05);
    CHECK(stats::numerical_tolerance(10, 2) == 0.5);
    CHECK(stats::numerical_tolerance(9.94, 2) == 0.05);
    CHECK(stats::numerical_tolerance(9.96, 2) == 0.5);  // rounds to 10
    CHECK(stats::numerical_tolerance(0.96, 1) == 0.5);
    CHECK(stats::numerical_tolerance(1000, 3) == 5);
    CHECK(near(stats::numerical_tolerance(0.001, 2), 0.00005, 1e-14, 0));
    CHECK(stats::numerical_tolerance(0, 2) == 0);
    for (const double u : {-1.0, std::nan(""), std::numeric_limits<double>::infinity()})
      CHECK_THROWS_AS(stats::numerical_tolerance(u, 2), std::domain_error);
    for (const int digits : {0, -1, 10})
      CHECK_THROWS_AS(stats::numerical_tolerance(1, digits), std::domain_error);
  }

  TEST_CASE("validation: each end by itself") {
    const auto v = stats::validate_interval({-1, 1}, {-1.04, 1.02}, 0.5, 1);
    CHECK(v.delta == 0.05);
    CHECK(near(v.d_low, 0.04, 1e-12, 0));
    CHECK(near(v.d_high, 0.02, 1e-12, 0));
    CHECK(v.valid);
    CHECK(!stats::validate_interval({-1, 1}, {-1.06, 1}, 0.5, 1).valid);
    CHECK(!stats::validate_interval({-1, 1}, {-1, 0.94}, 0.5, 1).valid);
  }

  TEST_CASE("Monte Carlo: faults of model, progress and options reach the caller") {
    const TrialModel good = each([](Stream& r) { return r.normal(); });
    for (const int threads : {1, 3}) {
      MonteCarloOptions options;
      options.threads = threads;
      CHECK_THROWS_WITH_AS(stats::monte_carlo(each([](Stream& r) { return std::sqrt(r.normal()); }), options),
                           "monte carlo: the model gave a trial that is not finite", std::domain_error);
      CHECK_THROWS_AS(
          stats::monte_carlo([](Stream&, std::span<double>) { throw std::runtime_error("no"); }, options),
          std::runtime_error);
      options.progress = [](std::size_t trials) {
        if (trials == 30'000) throw std::runtime_error("stopped by the person");
      };
      CHECK_THROWS_AS(stats::monte_carlo(good, options), std::runtime_error);
    }
    const auto refused = [&](auto change) {
      MonteCarloOptions options;
      change(options);
      CHECK_THROWS_AS(stats::monte_carlo(good, options), std::domain_error);
    };
    const double nan = std::nan("");
    for (const double p : {0.0, 1.0, -0.5, nan}) refused([p](auto& o) { o.coverage = p; });
    refused([](auto& o) { o.coverage = 1 - 1e-12; });
    for (const int digits : {0, 10}) refused([digits](auto& o) { o.significant_digits = digits; });
    for (const double share : {0.0, -1.0, nan}) refused([share](auto& o) { o.tolerance_share = share; });
    refused([](auto& o) { o.threads = -1; });
    refused([](auto& o) { o.least_blocks = 1; });
    refused([](auto& o) { o.most_trials = 99'999; });
    refused([](auto& o) { o.most_trials = 2'000'000'000; });
    refused([](auto& o) { o.block = std::numeric_limits<std::size_t>::max(); });
    CHECK_THROWS_AS(stats::monte_carlo(TrialModel{}), std::domain_error);
  }
}
