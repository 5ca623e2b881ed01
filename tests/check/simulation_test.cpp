// SPDX-License-Identifier: MIT
#include "check/simulation.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "check/replicates.hpp"
#include "stats/distributions.hpp"
#include "support/gap_checks.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using test::near;

namespace {

check::Check drawn(int panels, int cuts, std::vector<double> positions, std::uint64_t seed = 11) {
  std::mt19937_64 random(seed);
  test::Design d;
  d.panels = panels;
  d.cuts = cuts;
  d.positions = std::move(positions);
  d.sigma_r = 5e-5;
  return d.check(random);
}

std::vector<check::Evidence> known(double seating_nu) {
  std::vector<check::Evidence> all{{check::Component::reading, 0.015 * 0.015, 8, check::Source::caliper, {}}};
  if (seating_nu > 0)
    all.push_back({check::Component::seating, std::pow(0.02, 2), seating_nu, check::Source::log, {}});
  return all;
}

/// P(|a t1 + b t2| <= h), by the distribution of the one over a fine grid of quantiles of the other.
double inside(double a, double nu_a, double b, double nu_b, double h) {
  constexpr int kGrid = 4000;
  double sum = 0;
  for (int i = 0; i < kGrid; ++i) {
    const double x = b * stats::t_quantile((i + 0.5) / kGrid, nu_b);
    sum += stats::t_probability((h - x) / a, nu_a) - stats::t_probability((-h - x) / a, nu_a);
  }
  return sum / kGrid;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("simulation: two sources against a double sum, and the told interval against both") {
    const auto c = drawn(1, 5, {0, 500});
    const auto evidence = known(12);
    const auto fit = check::fit(c, evidence);
    const auto budget = check::budget_of(fit);
    REQUIRE(budget.rows.size() == 2);
    check::SimulationOptions options;
    options.refits = 0;
    const auto told = check::simulate(c, evidence, fit, {}, options);
    const auto& rows = budget.rows;
    const double half = 0.5 * (told.trials.symmetric.high - told.trials.symmetric.low);
    CHECK(near(inside(rows[0].contribution, rows[0].dof, rows[1].contribution, rows[1].dof, half), 0.95, 0,
               0.002));
    CHECK(near(told.trials.mean, fit.eta.x, 0, 2 * told.trials.twice_s[0]));
    // t has more than its scale: variance nu/(nu - 2).
    double variance = 0;
    for (const auto& row : rows) variance += row.contribution * row.contribution * row.dof / (row.dof - 2);
    CHECK(near(told.trials.u, std::sqrt(variance), 0.02, 0));
    CHECK(!told.heavy_tails);
    CHECK(told.validation.delta > 0);
    // Welch and Satterthwaite's t is not quite the sum of two.
    CHECK(near(half, fit.eta.half_width, 0.05, 0));
    CHECK(told.validation.valid ==
          (std::max(told.validation.d_low, told.validation.d_high) <= told.validation.delta));
  }

  TEST_CASE("simulation: panels are one t, and the shortest interval is theirs") {
    const auto c = drawn(5, 5, {0, 500});
    const auto fit = check::fit(c, known(0));
    REQUIRE(fit.rule == check::Rule::panels);
    check::SimulationOptions options;
    options.refits = 0;
    const auto told = check::simulate(c, known(0), fit, {}, options);
    const double half = 0.5 * (told.trials.shortest.high - told.trials.shortest.low);
    CHECK(near(half, fit.eta.half_width, 0.02, 0));
    CHECK(told.validation.valid);
  }

  TEST_CASE("simulation: two degrees of freedom have no standard deviation, and that is said") {
    const auto c = drawn(2, 5, {0, 500});
    check::FitOptions bare;
    bare.use_assumed = false;
    const auto fit = check::fit(c, known(0), {}, bare);
    REQUIRE(fit.rule == check::Rule::panels);
    check::SimulationOptions options;
    options.refits = 0;
    options.most_trials = 200'000;
    CHECK(check::simulate(c, known(0), fit, bare, options).heavy_tails);
  }

  TEST_CASE("simulation: sources on next to no degrees of freedom count one") {
    auto c = drawn(1, 8, {0, 250, 500});
    auto fit = check::fit(c, known(12));
    fit.scatter[1].dof = 0.05;
    fit.scatter[2].dof = 0;
    check::SimulationOptions options;
    options.refits = 10;
    options.most_trials = 100'000;
    const auto told = check::simulate(c, known(12), fit, {}, options);
    CHECK(told.heavy_tails);
    CHECK(told.trials.shortest.high - told.trials.shortest.low < 60 * fit.eta.u);
  }

  TEST_CASE("simulation: the same seed gives the same, whatever the threads; another seed another") {
    const auto c = drawn(1, 8, {0, 250, 500});
    const auto fit = check::fit(c, known(12));
    check::SimulationOptions options;
    options.refits = 40;
    options.most_trials = 100'000;
    options.threads = 1;
    double done = 0;
    options.progress = [&](double share) {
      CHECK(share >= done);
      done = share;
    };
    const auto one = check::simulate(c, known(12), fit, {}, options);
    CHECK(done == 1);
    options.progress = {};
    options.threads = 3;
    const auto three = check::simulate(c, known(12), fit, {}, options);
    CHECK(one.trials.shortest.low == three.trials.shortest.low);
    CHECK(one.trials.u == three.trials.u);
    CHECK(one.covered == three.covered);
    options.seed = 2;
    CHECK(check::simulate(c, known(12), fit, {}, options).trials.shortest.low != one.trials.shortest.low);
  }

  TEST_CASE("simulation: checks drawn like this one scatter as the fit says") {
    const auto c = drawn(1, 8, {0, 250, 500});
    const auto fit = check::fit(c, known(12));
    const check::Replicates replicates(c, known(12), fit, {}, 5);
    double mean = 0, squares = 0;
    constexpr int kDraws = 2000;
    for (int k = 0; k < kDraws; ++k) {
      const double x = replicates.by_itself(static_cast<std::size_t>(k)).eta;
      mean += x / kDraws;
      squares += std::pow(x - fit.eta.x, 2) / kDraws;
    }
    CHECK(near(mean, fit.eta.x, 0, 3 * fit.eta.u / std::sqrt(kDraws)));
    CHECK(near(std::sqrt(squares), fit.eta.u, 0.08, 0));  // weights are fitted anew in each
  }

  TEST_CASE("simulation: fewer are fitted again where every tenth asks for the quadrature") {
    std::mt19937_64 random(2);
    test::GapDesign joints;  // two joints of three places
    joints.joints = 2;
    joints.sigma_f = 0.05;
    const check::Check pair = joints.check(random);
    const auto fit = check::fit(pair);
    check::SimulationOptions options;
    options.most_trials = 100'000;
    const auto told = check::simulate(pair, {}, fit, {}, options);
    CHECK(told.refits == options.most_by_itself);
    options.threads = 1;
    CHECK(check::simulate(pair, {}, fit, {}, options).holding_half_width == told.holding_half_width);
    options.refits = 50;
    CHECK(check::simulate(pair, {}, fit, {}, options).refits == 50);
  }

  TEST_CASE("simulation: the told kind of interval holds the truth in about 95 of 100") {
    for (const auto& cell : {std::tuple(1, 5, 12.0), std::tuple(1, 8, 12.0), std::tuple(5, 5, 0.0)}) {
      const int panels = std::get<0>(cell), cuts = std::get<1>(cell);
      const double nu = std::get<2>(cell);
      CAPTURE(cuts);
      CAPTURE(panels);
      const auto c = drawn(panels, cuts, {0, 250, 500});
      const auto fit = check::fit(c, known(nu));
      check::SimulationOptions options;
      options.most_trials = 100'000;
      const auto told = check::simulate(c, known(nu), fit, {}, options);
      CHECK(told.refits == 10'000);
      const double share = static_cast<double>(told.covered) / told.refits;
      CHECK(told.covered_low < share);
      CHECK(share < told.covered_high);
      CHECK(share > 0.93);
      CHECK(share < 0.985);
      // What holds in 95 of 100 is wider where fewer are held, and the other way round.
      CHECK((told.holding_half_width > fit.eta.half_width) == (share < 0.95));
      CHECK(near(told.holding_half_width, fit.eta.half_width, 0.25, 0));
    }
  }
}
