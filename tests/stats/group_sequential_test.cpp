// SPDX-License-Identifier: MIT
// Constants of planned looks against published ones [JENNTURN], tables 2.1 and 2.3, from memory; against
// Simpson's rule written out; and against Brownian motion drawn look by look (M92).
#include "stats/group_sequential.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"
#include "support/trials.hpp"

namespace {

using namespace quarterturn;
using stats::BoundaryShape;
using test::near;

std::vector<double> equal_steps(int looks) {
  std::vector<double> t;
  for (int j = 1; j <= looks; ++j) t.push_back(static_cast<double>(j) / looks);
  return t;
}

double constant(int looks, double confidence, BoundaryShape shape = BoundaryShape::obrien_fleming) {
  return stats::group_sequential(equal_steps(looks), confidence, shape).constant;
}

struct Published {
  double confidence;
  BoundaryShape shape;
  std::vector<double> constants;  // of two looks, three, …
};

/// Probability that no boundary is crossed: the joint density on an even grid, Simpson's rule.
double stays_inside(const std::vector<double>& t, const std::vector<double>& boundary, double drift) {
  constexpr int kPoints = 801;
  std::vector<double> at{0}, mass{1};
  for (std::size_t j = 0; j < t.size(); ++j) {
    const double step = t[j] - (j == 0 ? 0 : t[j - 1]), sd = std::sqrt(step),
                 half = boundary[j] * std::sqrt(t[j]);
    std::vector<double> x, m;
    for (int i = 0; i < kPoints; ++i) {
      x.push_back(-half + 2 * half * i / (kPoints - 1));
      double density = 0;
      for (std::size_t k = 0; k < at.size(); ++k) {
        density += mass[k] * stats::normal_density((x.back() - at[k] - drift * step) / sd) / sd;
      }
      const double simpson = i == 0 || i == kPoints - 1 ? 1 : i % 2 == 1 ? 4 : 2;
      m.push_back(density * simpson * 2 * half / (3 * (kPoints - 1)));
    }
    at = x;
    mass = m;
  }
  double sum = 0;
  for (const double m : mass) sum += m;
  return sum;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("constants of equal steps are the published ones") {
    const std::vector<Published> all{
        {0.95, BoundaryShape::obrien_fleming, {1.977, 2.004, 2.024, 2.040, 2.053, 2.063, 2.072}},
        {0.90, BoundaryShape::obrien_fleming, {1.678, 1.710, 1.733, 1.751, 1.765, 1.776, 1.786}},
        {0.99, BoundaryShape::obrien_fleming, {2.580, 2.595, 2.609, 2.621, 2.631, 2.640, 2.648}},
        {0.95, BoundaryShape::pocock, {2.178, 2.289, 2.361, 2.413}},
    };
    for (const Published& row : all) {
      CAPTURE(row.confidence);
      for (std::size_t i = 0; i < row.constants.size(); ++i) {
        const int looks = static_cast<int>(i) + 2;
        CAPTURE(looks);
        // Printed with three decimals: half a unit of the last, and what rounding adds.
        CHECK(near(constant(looks, row.confidence, row.shape), row.constants[i], 0, 5.1e-4));
      }
    }
    // Recomputed by others to four decimals.
    const double four[] = {1.9774, 2.0040, 2.0243, 2.0401, 2.0528, 2.0633, 2.0722};
    for (int looks = 2; looks <= 8; ++looks) CHECK(near(constant(looks, 0.95), four[looks - 2], 0, 1e-4));
  }

  TEST_CASE("drift that gives a power is the published one") {
    // Inflation of the information of one look, [JENNTURN] tables 2.2 and 2.4, from memory, three decimals.
    const double single = stats::normal_quantile(0.975) + stats::normal_quantile(0.9);
    const auto power = [&](int looks, BoundaryShape shape, double inflation) {
      const auto plan = stats::group_sequential(equal_steps(looks), 0.95, shape);
      return stats::crossing_probability(equal_steps(looks), plan.boundary, single * std::sqrt(inflation));
    };
    // Half a thousandth of the inflation is 1.5e-4 of the power.
    CHECK(near(power(2, BoundaryShape::obrien_fleming, 1.007), 0.9, 0, 2e-4));
    CHECK(near(power(5, BoundaryShape::obrien_fleming, 1.026), 0.9, 0, 2e-4));
    CHECK(near(power(2, BoundaryShape::pocock, 1.100), 0.9, 0, 2e-4));
    CHECK(near(power(5, BoundaryShape::pocock, 1.207), 0.9, 0, 2e-4));
  }

  TEST_CASE("probabilities of crossing equal Simpson's rule, unequal steps and drifts included") {
    const std::vector<std::vector<double>> shares{
        {0.5, 1}, {0.1, 0.15, 0.6, 0.61, 1}, {0.375, 0.429, 0.5, 0.6, 0.75, 1}};
    for (const auto& t : shares) {
      for (const auto shape : {BoundaryShape::obrien_fleming, BoundaryShape::pocock}) {
        const auto plan = stats::group_sequential(t, 0.95, shape);
        CHECK(near(stays_inside(t, plan.boundary, 0), 0.95, 0, 1e-8));
        for (const double drift : {-1.5, 2.8}) {
          CHECK(near(stats::crossing_probability(t, plan.boundary, drift),
                     1 - stays_inside(t, plan.boundary, drift), 0, 1e-8));
        }
      }
    }
  }

  TEST_CASE("Brownian motion drawn at unequal shares errs as often as planned") {
    const std::vector<double> t{0.08, 0.3, 0.34, 0.8, 1};
    const auto plan = stats::group_sequential(t, 0.95);
    const int n = test::trials(40'000);
    for (const double drift : {0.0, 2.5}) {
      const auto expected = stats::first_crossings(t, plan.boundary, drift);
      std::vector<int> above(t.size(), 0), below(t.size(), 0);
      std::mt19937_64 random(20260301);
      for (int i = 0; i < n; ++i) {
        double b = 0, before = 0;
        for (std::size_t j = 0; j < t.size(); ++j) {
          b += drift * (t[j] - before) + std::sqrt(t[j] - before) * test::normal(random);
          before = t[j];
          const double z = b / std::sqrt(t[j]);
          if (std::fabs(z) <= plan.boundary[j]) continue;
          ++(z > 0 ? above : below)[j];
          break;
        }
      }
      double sum = 0;
      int crossed = 0;
      for (std::size_t j = 0; j < t.size(); ++j) {
        for (const auto& [count, p] :
             {std::pair{above[j], expected[j].above}, {below[j], expected[j].below}}) {
          // Twenty counts are looked at: 3.5 standard errors, and one count where less than one is expected.
          CHECK(std::fabs(count - n * p) <= 1 + 3.5 * std::sqrt(n * p));
          sum += p;
          crossed += count;
        }
      }
      if (drift == 0) CHECK(near(sum, 0.05, 0, 1e-10));
      CHECK(std::fabs(crossed - n * sum) <= 2.6 * std::sqrt(n * sum * (1 - sum)));
    }
  }

  TEST_CASE("one look is the normal quantile; its power the textbook's") {
    for (const double c : {0.5, 0.9, 0.95, 0.999}) {
      const auto plan = stats::group_sequential(equal_steps(1), c);
      CHECK(near(plan.constant, stats::normal_quantile(0.5 * (1 + c)), 1e-12, 0));
      CHECK(near(plan.level[0], 1 - c, 1e-12, 0));
      const auto once = stats::first_crossings(equal_steps(1), plan.boundary, 2);
      CHECK(near(once[0].above, stats::normal_probability(2 - plan.constant), 1e-12, 0));
      CHECK(near(once[0].below, stats::normal_probability(-2 - plan.constant), 1e-12, 0));
    }
  }

  TEST_CASE("more looks and more confidence reach further; early looks furthest") {
    double before = 0;
    for (int looks = 1; looks <= 12; ++looks) {
      const double c = constant(looks, 0.95);
      CHECK(c > before);
      CHECK(constant(looks, 0.99) > c);
      before = c;
    }
    const std::vector<double> t{0.2, 0.25, 0.7, 1};
    const auto plan = stats::group_sequential(t, 0.95);
    for (std::size_t j = 0; j < t.size(); ++j) {
      CHECK(near(plan.boundary[j], plan.constant / std::sqrt(t[j]), 1e-12, 0));
      CHECK(near(plan.level[j], 2 * stats::normal_probability(-plan.boundary[j]), 1e-12, 0));
    }
    CHECK(std::is_sorted(plan.level.begin(), plan.level.end()));
    CHECK(plan.level.back() < 0.05);
    double power = 0;
    for (const double drift : {0.0, 0.5, 1.0, 2.0, 4.0}) {
      const double p = stats::crossing_probability(t, plan.boundary, drift);
      CHECK(p > power);
      power = p;
      CHECK(near(p, stats::crossing_probability(t, plan.boundary, -drift), 1e-12, 0));
    }
    // A look that cannot stop is no look; one that hardly differs from the next costs hardly anything.
    const double inf = std::numeric_limits<double>::infinity();
    CHECK(near(stats::crossing_probability(equal_steps(2), std::vector{inf, 1.96}, 1),
               stats::crossing_probability(equal_steps(1), std::vector{1.96}, 1), 0, 1e-12));
    const double two = stats::group_sequential(std::vector{0.3, 1.0}, 0.95).constant;
    CHECK(near(stats::group_sequential(std::vector{0.3, 0.300001, 1.0}, 0.95).constant, two, 0, 1e-5));
  }

  TEST_CASE("shares that do not rise to one are refused, and the message says which") {
    const auto message = [](const std::vector<double>& t, double c) -> std::string {
      try {
        stats::group_sequential(t, c);
      } catch (const std::domain_error& e) {
        return e.what();
      }
      return "";
    };
    CHECK(message({}, 0.95).find("one look") != std::string::npos);
    CHECK(message({0.5, 0.5, 1}, 0.95).find("shares[1]") != std::string::npos);
    CHECK(message({-0.1, 1}, 0.95).find("shares[0]") != std::string::npos);
    CHECK(message({std::nan(""), 1}, 0.95).find("shares[0]") != std::string::npos);
    CHECK(message({0.5, 0.9}, 0.95).find("must be 1") != std::string::npos);
    for (const double c : {0.0, 1.0, 95.0, std::nan("")}) {
      CHECK(message({1}, c).find("between 0 and 1") != std::string::npos);
    }
    CHECK_THROWS_AS(stats::first_crossings(equal_steps(2), std::vector{2.0}), std::domain_error);
    CHECK_THROWS_AS(stats::first_crossings(equal_steps(2), std::vector{2.0, -1.0}), std::domain_error);
    CHECK_THROWS_AS(stats::crossing_probability(equal_steps(1), std::vector{2.0}, std::nan("")),
                    std::domain_error);
  }
}
