// SPDX-License-Identifier: MIT
#include "check/budget.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using check::Budget;
using check::BudgetSource;
using test::near;

namespace {

const check::BudgetRow* row_of(const Budget& budget, BudgetSource source) {
  for (const auto& row : budget.rows) {
    if (row.source == source) return &row;
  }
  return nullptr;
}

check::Check simulated(int panels, int cuts, std::vector<double> positions, double step = 0.01,
                       std::uint64_t seed = 7, double sigma_f = 0.01) {
  std::mt19937_64 random(seed);
  test::Design d;
  d.panels = panels;
  d.cuts = cuts;
  d.positions = std::move(positions);
  d.sigma_f = sigma_f;
  d.sigma_r = 1e-4;
  d.step = step;
  return d.check(random);
}

const std::vector<check::Evidence> kCaliper{
    {check::Component::reading, 0.012 * 0.012, 8, check::Source::caliper, {}}};

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("budget: one strip by hand") {
    check::Check c;
    check::Spot ends[2];
    const double widths[2][3] = {{22.74, 22.73, 22.75}, {22.14, 22.13, 22.15}};
    for (int end = 0; end < 2; ++end) {
      ends[end].position_mm = 525.0 * end;
      for (const double w : widths[end]) {
        check::Reading reading;
        reading.mm = w;
        ends[end].readings.push_back(reading);
      }
    }
    c.strips.push_back({1, 1, 5, {ends[0], ends[1]}});
    check::FitOptions options;
    options.span_mm = 288;
    const auto fit = check::fit(c, kCaliper, {}, options);
    const Budget budget = check::budget_of(fit);
    REQUIRE(budget.rows.size() == 2);
    // Two means of three, four turns over 525 mm: sqrt(2/3)/2100. Seating is 0.02 mm, sqrt(2)/288 a cut, the
    // mean of four.
    const auto* reading = row_of(budget, BudgetSource::reading);
    const auto* seating = row_of(budget, BudgetSource::seating);
    REQUIRE(reading != nullptr);
    REQUIRE(seating != nullptr);
    CHECK(near(reading->sensitivity, std::sqrt(2.0 / 3) / 2100, 1e-9, 0));
    CHECK(near(seating->sensitivity, std::sqrt(2.0) / 288 / 2, 1e-9, 0));
    CHECK(near(seating->u, 0.02, 1e-9, 0));
    CHECK(near(seating->dof, 3, 1e-6, 0));
    CHECK(check::type_word(reading->type) == "A and B");
    CHECK(check::type_word(seating->type) == "B");
    CHECK(near(reading->u, std::sqrt((4e-4 + 8 * 1.44e-4) / 12), 1e-9, 0));
    CHECK(near(reading->dof, 12, 1e-9, 0));
    // Welch and Satterthwaite, [GUM] G.2b: the variances are known independently here.
    const double u2 = std::pow(reading->contribution, 2) + std::pow(seating->contribution, 2);
    const double dof =
        u2 * u2 / (std::pow(reading->contribution, 4) / 12 + std::pow(seating->contribution, 4) / 3);
    CHECK(near(budget.u, std::sqrt(u2), 1e-9, 0));
    CHECK(near(budget.dof, dof, 1e-6, 0));
    CHECK(near(budget.expanded, stats::t_quantile(0.975, dof) * std::sqrt(u2), 1e-6, 0));
    CHECK(near(budget.factor, stats::t_quantile(0.975, dof), 1e-6, 0));
    CHECK(near(reading->share + seating->share, 1, 1e-12, 0));
  }

  TEST_CASE("budget: the rows make the uncertainty that was told") {
    int satterthwaite = 0, widened = 0, rounded = 0;
    for (const int cuts : {5, 6, 8, 11}) {
      for (const auto& positions : {std::vector<double>{0, 500}, {0, 250, 500}, {0, 100, 250, 400, 500}}) {
        for (const double step : {0.01, 0.05}) {
          for (std::uint64_t seed = 1; seed <= 5; ++seed) {
            auto evidence = kCaliper;  // saw marks on few degrees of freedom beside seating that is known
            if (seed % 2 == 0)
              evidence.push_back({check::Component::seating, 4e-4, 12, check::Source::log, {}});
            const auto fit = check::fit(simulated(1, cuts, positions, step, seed, 0.03), evidence);
            const Budget budget = check::budget_of(fit);
            double shares = 0;
            for (const auto& row : budget.rows) {
              shares += row.share;
              CHECK(near(row.contribution, row.sensitivity * row.u, 1e-12, 0));
            }
            CHECK(near(shares, 1, 1e-12, 0));
            CHECK(near(budget.u * budget.factor, budget.expanded, 1e-12, 0));
            CHECK(budget.expanded == fit.eta.half_width);
            rounded += row_of(budget, BudgetSource::rounding) != nullptr ? 1 : 0;
            if (fit.rule == check::Rule::satterthwaite) {
              ++satterthwaite;
              CHECK(near(budget.root_sum, budget.u, 1e-9, 0));
            } else {
              ++widened;
            }
          }
        }
      }
    }
    CHECK(satterthwaite > 20);
    CHECK(widened > 0);
    CHECK(rounded > 5);
  }

  TEST_CASE("budget: independent panels stand as one row, or measuring alone when that is wider") {
    const auto fit = check::fit(simulated(5, 5, {0, 500}), kCaliper);
    REQUIRE(fit.rule == check::Rule::panels);
    const Budget budget = check::budget_of(fit);
    REQUIRE(budget.rows.size() == 1);
    CHECK(budget.rows[0].source == BudgetSource::panels);
    double sum = 0, squares = 0;
    for (const auto& taper : fit.tapers) sum += taper.taper_rad / 4 / 5;
    for (const auto& taper : fit.tapers) squares += std::pow(taper.taper_rad / 4 - sum, 2);
    CHECK(near(budget.rows[0].u, std::sqrt(squares / 4), 1e-9, 0));
    CHECK(budget.rows[0].dof == 4);
    CHECK(near(budget.root_sum, budget.u, 1e-12, 0));
    // Panels that agree better than they can be measured.
    auto alike = simulated(5, 5, {0, 500});
    for (std::size_t p = 1; p < 5; ++p) alike.strips[p].spots = alike.strips[0].spots;
    const auto luck = check::fit(alike, kCaliper);
    REQUIRE(luck.rule == check::Rule::panels);
    const Budget measured = check::budget_of(luck);
    CHECK(row_of(measured, BudgetSource::panels) == nullptr);
    CHECK(row_of(measured, BudgetSource::seating) == nullptr);
    CHECK(near(measured.root_sum, measured.u, 1e-9, 0));
  }

  TEST_CASE("budget: what nobody knows is not among the rows, and said so") {
    check::FitOptions options;
    options.use_assumed = false;
    const auto fit = check::fit(simulated(1, 5, {0, 500}), kCaliper, {}, options);
    REQUIRE(fit.eta.unknown);
    const Budget budget = check::budget_of(fit);
    CHECK(budget.seating_missing);
    CHECK(row_of(budget, BudgetSource::seating) == nullptr);
    CHECK(near(budget.root_sum, budget.u, 1e-9, 0));
  }
}
