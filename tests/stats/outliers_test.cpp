// SPDX-License-Identifier: MIT
// NIST/SEMATECH e-Handbook 1.3.5.17.3 (Rosner's 54 values) and 1.3.5.17.1 (Grubbs' test, uranium isotopes);
// files and sources in data/reference/SOURCE.md.
#include "stats/outliers.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>

#include "support/near.hpp"
#include "support/reference_json.hpp"

using namespace quarterturn;
using test::near;
using test::reference_number;
using test::reference_numbers;

TEST_SUITE("stats") {
  TEST_CASE("GESD: Rosner's example finds three outliers among ten looked for") {
    const char* file = "handbook/1_3_5_17_3_gesd_rosner.json";
    const auto x = reference_numbers(file, "/data");
    const stats::Gesd g = stats::gesd(x, 10, 0.05);
    const auto r = reference_numbers(file, "/recomputed/R_i"),
               lambda = reference_numbers(file, "/recomputed/lambda_i");
    const auto r_printed = reference_numbers(file, "/published/R_i");
    const auto lambda_printed = reference_numbers(file, "/published/lambda_i");
    const auto removed = reference_numbers(file, "/recomputed/removed_values");
    REQUIRE(g.r.size() == 10);
    for (std::size_t i = 0; i < 10; ++i) {
      CAPTURE(i);
      CHECK(near(g.r[i], r[i], 1e-11, 0));
      CHECK(near(g.critical[i], lambda[i], 1e-11, 0));
      // the handbook cuts its figures after three decimals
      CHECK(near(std::floor(g.r[i] * 1000) / 1000, r_printed[i], 0, 1e-9));
      CHECK(near(std::floor(g.critical[i] * 1000) / 1000, lambda_printed[i], 0, 1e-9));
      CHECK(x[static_cast<std::size_t>(g.order[i])] == removed[i]);
    }
    CHECK(g.outliers == static_cast<int>(reference_number(file, "/published/number_of_outliers")));
    // Steps 1 and 2 alone are not significant: looking for one or two only would miss all three.
    CHECK(stats::gesd(x, 2, 0.05).outliers == 0);
  }

  TEST_CASE("Grubbs: the first step, one-sided at 0.05, is the two-sided test at 0.10") {
    const char* file = "handbook/1_3_5_17_1_grubbs.json";
    const auto x = reference_numbers(file, "/data");
    const stats::Gesd one = stats::gesd(x, 1, 0.10);
    CHECK(near(one.r[0], reference_number(file, "/recomputed/G"), 1e-10, 0));
    CHECK(near(std::floor(one.r[0] * 1e4) / 1e4, reference_number(file, "/published/G"), 0, 1e-9));
    CHECK(near(one.critical[0], reference_number(file, "/recomputed/critical_one_sided_0.05"), 1e-10, 0));
    CHECK(near(one.critical[0], reference_number(file, "/published/critical_upper_one_sided_alpha_0.05"), 0,
               0.0005));
    CHECK(near(stats::gesd(x, 1, 0.05).critical[0],
               reference_number(file, "/recomputed/critical_two_sided_0.05"), 1e-10, 0));
    CHECK(one.outliers == 1);
    CHECK(x[static_cast<std::size_t>(one.order[0])] == 245.57);
  }

  TEST_CASE("values that are alike, or nearly, have no outlier; units do not matter") {
    const double same[] = {5, 5, 5, 5}, even[] = {1, 2, 3, 4, 5, 6};
    CHECK(stats::gesd(same, 2).outliers == 0);
    CHECK(stats::gesd(same, 2).r[0] == 0.0);
    CHECK(stats::gesd(even, 4).outliers == 0);
    // three of each, alike to the last bit but for the arithmetic of their means
    std::vector<double> threes;
    std::vector<int> group;
    for (int i = 0; i < 36; ++i) {
      threes.push_back(1200 + 0.01 * (i / 3));
      group.push_back(i / 3);
    }
    CHECK(stats::gesd(threes, 3, 0.05, group).outliers == 0);
    const auto x = reference_numbers("handbook/1_3_5_17_3_gesd_rosner.json", "/data");
    auto y = x;
    for (double& v : y) v = 1000 - 25.4 * v;
    const auto a = stats::gesd(x, 5), b = stats::gesd(y, 5);
    CHECK(a.order == b.order);
    for (std::size_t i = 0; i < 5; ++i) CHECK(near(a.r[i], b.r[i], 1e-10, 0));
  }

  TEST_CASE("outliers alone are those of the test with its critical values, in its order") {
    std::mt19937 random(20260314);
    std::normal_distribution<double> normal;
    int found = 0;
    for (int round = 0; round < 400; ++round) {
      const int n = 4 + round % 40;
      std::vector<double> x;
      std::vector<int> group;
      for (int i = 0; i < n; ++i) {
        // Every ninth is off by so much that many a statistic lies next to its limit.
        x.push_back(normal(random) + (i % 9 == 4 ? 0.02 * round : 0));
        group.push_back(i / 4);
      }
      const int most = std::max(1, n / 5);
      for (const auto& of : {std::vector<int>(), group}) {
        const auto whole = stats::gesd(x, most, 0.05, of);
        CHECK(stats::gesd_outliers(x, most, 0.05, of) ==
              std::vector<int>(whole.order.begin(), whole.order.begin() + whole.outliers));
        found += whole.outliers;
      }
    }
    CHECK(found > 100);
  }

  TEST_CASE("with groups a slip is named alone, not the neighbours that share its mean") {
    // Nine groups of three about different means; the level of a group says nothing.
    std::vector<double> x;
    std::vector<int> group;
    const double wobble[] = {-0.010, 0.004, 0.006, 0.009, -0.011, 0.002, 0.000, -0.007, 0.007};
    for (int g = 0; g < 9; ++g) {
      for (int k = 0; k < 3; ++k) {
        x.push_back(20.0 + g + wobble[(g + 4 * k) % 9]);
        group.push_back(g);
      }
    }
    CHECK(stats::gesd(x, 3, 0.05, group).outliers == 0);
    x[13] += 0.30;
    x[20] -= 0.25;
    const auto found = stats::gesd(x, 4, 0.05, group);
    REQUIRE(found.outliers == 2);
    CHECK(found.order[0] == 13);
    CHECK(found.order[1] == 20);
    // one group for all is the plain test
    const auto y = reference_numbers("handbook/1_3_5_17_3_gesd_rosner.json", "/data");
    const std::vector<int> one(y.size(), 7);
    CHECK(stats::gesd(y, 10, 0.05, one).order == stats::gesd(y, 10).order);
    CHECK(stats::gesd(y, 10, 0.05, one).outliers == stats::gesd(y, 10).outliers);
  }

  TEST_CASE("what cannot be tested is refused") {
    const double x[] = {1, 2, 3, 4}, bad[] = {1, 2, std::numeric_limits<double>::quiet_NaN()};
    CHECK_THROWS_AS(stats::gesd(std::span(x, 2), 1), std::domain_error);
    CHECK_THROWS_AS(stats::gesd(x, 0), std::domain_error);
    CHECK_THROWS_AS(stats::gesd(x, 3), std::domain_error);
    CHECK_THROWS_AS(stats::gesd(x, 1, 0.0), std::domain_error);
    CHECK_THROWS_AS(stats::gesd(bad, 1), std::domain_error);
    CHECK(stats::gesd(x, 2).r.size() == 2);
  }
}
