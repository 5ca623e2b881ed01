// SPDX-License-Identifier: MIT
// Charts against the e-Handbook's worked example (data/reference/handbook), the self-starting one against its
// definition written out, and how often it cries wolf.
#include "stats/charts.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"
#include "support/near.hpp"
#include "support/reference_json.hpp"
#include "support/simulate.hpp"
#include "support/trials.hpp"

namespace {

using namespace quarterturn;
using test::near;

const char* const kEwma = "handbook/6_3_2_4_ewma.json";

/// Score of the last value by its definition, nothing carried over from one value to the next.
double score_of_last(const std::vector<double>& y, const std::vector<double>& v) {
  const std::size_t m = y.size() - 1;
  const std::vector<double> before(y.begin(), y.end() - 1), variances(v.begin(), v.end() - 1);
  const double tau2 = stats::between_variance(before, variances);
  double total = 0, mean = 0, squares = 0;
  for (std::size_t i = 0; i < m; ++i) {
    total += 1 / (v[i] + tau2);
    mean += y[i] / (v[i] + tau2);
  }
  mean /= total;
  for (std::size_t i = 0; i < m; ++i) squares += (y[i] - mean) * (y[i] - mean) / (v[i] + tau2);
  const double dof = static_cast<double>(m) - 1;
  const double x = (y[m] - mean) / std::sqrt(squares / dof * (v[m] + 1 / total + tau2));
  return stats::normal_quantile(stats::t_probability(x, dof));
}

struct Series {
  std::vector<double> y, v;
};
/// u differs by up to a factor of two from value to value; tau in units of the middle u.
Series stationary(std::mt19937_64& random, std::size_t n, double tau) {
  Series s;
  for (std::size_t i = 0; i < n; ++i) {
    const double u = 0.7 + 0.7 * static_cast<double>(random() % 1001) / 1000;
    s.v.push_back(u * u);
    s.y.push_back(5 + std::sqrt(u * u + tau * tau) * test::normal(random));
  }
  return s;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("moving average: the handbook's worked example") {
    const auto data = test::reference_numbers(kEwma, "/data");
    const auto published = test::reference_numbers(kEwma, "/published/ewma");
    const auto recomputed = test::reference_numbers(kEwma, "/recomputed/ewma");
    const double centre = test::reference_number(kEwma, "/parameters/EWMA_0");
    const double s = test::reference_number(kEwma, "/parameters/s");
    const double lambda = test::reference_number(kEwma, "/parameters/lambda");
    const double width = test::reference_number(kEwma, "/parameters/k");
    const auto average = stats::ewma(data, centre, lambda);
    // The first published value is that of the first measurement, 52: 0.3 * 52 + 0.7 * 50 = 50.6.
    REQUIRE(average.size() == published.size());
    REQUIRE(average.size() == 20);
    const double limit = stats::ewma_limit(s, lambda, width, std::numeric_limits<double>::infinity());
    int beyond = 0;
    for (std::size_t i = 0; i < average.size(); ++i) {
      CAPTURE(i);
      CHECK(near(average[i], published[i], 0, 0.005 + 1e-9));
      CHECK(near(average[i], recomputed[i], 1e-10, 0));
      beyond += std::fabs(average[i] - centre) > limit;
    }
    CHECK(near(centre + limit, test::reference_number(kEwma, "/published/UCL"), 0, 5e-5));
    CHECK(near(centre - limit, test::reference_number(kEwma, "/published/LCL"), 0, 1e-4));  // printed cut off
    CHECK(near(centre + limit, test::reference_number(kEwma, "/recomputed/UCL"), 1e-10, 0));
    CHECK(
        near(limit / (width * s), test::reference_number(kEwma, "/published/sqrt_variance_factor"), 0, 5e-5));
    CHECK(beyond == static_cast<int>(test::reference_number(kEwma, "/published/signals")));
  }

  TEST_CASE("limits widen from the first value to the final ones") {
    CHECK(near(stats::ewma_limit(2, 0.2, 3, 1), 3 * 2 * 0.2, 1e-12, 0));  // one value: lambda sigma
    // by adding the variances of what the average holds: lambda^2 sum (1 - lambda)^(2k)
    double variance = 0;
    for (int k = 0; k < 5; ++k) variance += 0.04 * std::pow(0.8, 2 * k);
    CHECK(near(stats::ewma_limit(1, 0.2, 3, 5), 3 * std::sqrt(variance), 1e-12, 0));
    CHECK_THROWS_AS(stats::ewma(std::vector<double>{1}, 0, 0), std::domain_error);
  }

  TEST_CASE("self-starting: each score is that of the definition") {
    std::mt19937_64 random(11);
    const Series s = stationary(random, 60, 0.8);
    const auto points = stats::self_starting_ewma(s.y, s.v);
    REQUIRE(points.size() == s.y.size());
    CHECK_FALSE(points[0].z);
    CHECK_FALSE(points[1].z);
    double average = 0;
    for (std::size_t n = 3; n <= s.y.size(); ++n) {
      CAPTURE(n);
      const double z = score_of_last({s.y.begin(), s.y.begin() + static_cast<std::ptrdiff_t>(n)},
                                     {s.v.begin(), s.v.begin() + static_cast<std::ptrdiff_t>(n)});
      average = 0.2 * z + 0.8 * average;
      const auto& point = points[n - 1];
      REQUIRE(point.z);
      CHECK(near(*point.z, z, 1e-7, 1e-9));
      CHECK(near(point.average, average, 1e-7, 1e-9));
      CHECK(near(point.limit, stats::ewma_limit(1, 0.2, 3, static_cast<double>(n) - 2), 1e-12, 0));
    }
  }

  TEST_CASE("self-starting: a shift is found, and not before the ninth value") {
    std::mt19937_64 random(3);
    Series s = stationary(random, 40, 0);
    for (std::size_t i = 20; i < s.y.size(); ++i) s.y[i] += 4;
    const auto points = stats::self_starting_ewma(s.y, s.v);
    std::size_t first = 0;
    while (first < points.size() && !points[first].alarm) ++first;
    CHECK(first >= 20);
    CHECK(first <= 23);
    for (std::size_t i = 3; i < s.y.size(); ++i) s.y[i] += 50;
    const auto early = stats::self_starting_ewma(s.y, s.v);
    for (std::size_t i = 0; i < 8; ++i) CHECK_FALSE(early[i].alarm);
  }

  TEST_CASE("self-starting: values exactly alike tell nothing") {
    const std::vector<double> y{1, 1, 1, 1, 2, 1, 1, 1, 1, 1}, v(10, 0.1);
    const auto points = stats::self_starting_ewma(y, v);
    CHECK_FALSE(points[3].z);
    CHECK_FALSE(points[4].z);  // its predecessors do not scatter at all
    CHECK(points[5].z);
    for (const auto& point : points) CHECK_FALSE(point.alarm);
    CHECK_THROWS_AS(stats::self_starting_ewma(y, std::vector<double>(9, 0.1)), std::domain_error);
    CHECK_THROWS_AS(stats::self_starting_ewma(y, std::vector<double>(10, 0.0)), std::domain_error);
  }

  TEST_CASE("self-starting: values alike but for the last bit tell nothing either") {
    // ten times one difference of two widths, from other widths each time, as readings leave it
    std::vector<double> y, u;
    for (int i = 0; i < 10; ++i) {
      const double at = 15 + 2.3 * i, off = i == 8 ? 0.15 : 0.10;
      y.push_back(((at + off) - at) / 2100);
      u.push_back(1e-5 + 1e-6 * (i % 4));
    }
    std::vector<double> v;
    for (const double one : u) v.push_back(one * one);
    const auto first_apart = std::adjacent_find(y.begin(), y.begin() + 8, std::not_equal_to<>());
    REQUIRE(first_apart != y.begin() + 8);
    const auto points = stats::self_starting_ewma(y, v);
    CHECK_FALSE(points[8].z);  // the first that differs stands behind eight without scatter
    for (const auto& point : points) CHECK_FALSE(point.alarm);
  }

  TEST_CASE("self-starting: long series keep to the definition closely") {
    std::mt19937_64 random(17);
    const Series s = stationary(random, 400, 1);
    const auto points = stats::self_starting_ewma(s.y, s.v);
    // tau^2 is up to a tenth of the values old: the score moves by a part of its own size
    for (const std::size_t n : {std::size_t{100}, std::size_t{257}, std::size_t{400}}) {
      CAPTURE(n);
      const double z = score_of_last({s.y.begin(), s.y.begin() + static_cast<std::ptrdiff_t>(n)},
                                     {s.v.begin(), s.v.begin() + static_cast<std::ptrdiff_t>(n)});
      CHECK(near(*points[n - 1].z, z, 0.02, 0.01));
    }
  }
}

TEST_SUITE("coverage") {
  TEST_CASE("self-starting chart: false alarms in the next 20 checks") {
    // METHOD.md: 0.03 to 0.045 at 8, 12 and 20 earlier checks, measured earlier by simulation; at most 6 %.
    const int n = test::trials(1000);
    const double se = std::sqrt(0.06 * 0.94 / n);
    std::mt19937_64 random(20260301);  // fixed once
    for (const double tau : {0.0, 1.0, 3.0}) {
      const std::size_t earlier[] = {8, 12, 20};
      int alarms[] = {0, 0, 0};
      for (int trial = 0; trial < n; ++trial) {
        const Series s = stationary(random, 40, tau);
        const auto points = stats::self_starting_ewma(s.y, s.v);
        for (std::size_t k = 0; k < 3; ++k) {
          bool any = false;
          for (std::size_t i = earlier[k]; i < earlier[k] + 20; ++i) any = any || points[i].alarm;
          alarms[k] += any;
        }
      }
      for (std::size_t k = 0; k < 3; ++k) {
        const double rate = static_cast<double>(alarms[k]) / n;
        const std::string label = std::to_string(earlier[k]) + " earlier checks, tau " + std::to_string(tau) +
                                  ": false alarms " + std::to_string(rate);
        INFO(label);
        MESSAGE(label);
        CHECK(rate <= 0.06 + 2.6 * se);
        CHECK(rate >= 0.01);  // and it does watch
      }
    }
  }

  TEST_CASE("self-starting chart: false alarms where readings fall on few steps") {
    // METHOD.md (M61): 0.15 where they scatter by a twelfth of a step, 0.05 by a quarter; 0.47 for the first
    // when only exactly alike values gave no score.
    const int n = test::trials(1000);
    constexpr double kStep = 0.05, kApart = 525, kTurns = 4;
    constexpr int kReadings = 3, kChecks = 28;
    std::mt19937_64 random(20261128);  // fixed once
    for (const double sigma : {0.004, 0.012}) {
      const double u2 = 2 * std::max(sigma * sigma / kReadings, kStep * kStep / 12);
      const std::vector<double> v(kChecks, u2 / (kApart * kApart * kTurns * kTurns));
      int alarms = 0;
      for (int trial = 0; trial < n; ++trial) {
        std::vector<double> y;
        for (int check = 0; check < kChecks; ++check) {
          const double free_end = 15 + 10 * std::uniform_real_distribution<>()(random);
          double wider = 0;
          for (int reading = 0; reading < kReadings; ++reading) {
            const double at_fence = free_end + 0.1 + sigma * test::normal(random),
                         at_free = free_end + sigma * test::normal(random);
            wider += (std::round(at_fence / kStep) - std::round(at_free / kStep)) * kStep / kReadings;
          }
          y.push_back(wider / kApart / kTurns);
        }
        const auto points = stats::self_starting_ewma(y, v);
        alarms += std::ranges::any_of(points, &stats::ChartPoint::alarm);
      }
      const double rate = static_cast<double>(alarms) / n, most = sigma < 0.01 ? 0.15 : 0.051;
      MESSAGE("readings scatter by " << sigma << " mm: " << rate);
      CHECK(rate <= most + 2.6 * std::sqrt(most * (1 - most) / n));
    }
  }
}
