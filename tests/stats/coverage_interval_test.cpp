// SPDX-License-Identifier: MIT
// Sorting everything and counting ranks as [JCGM101] 7.7.2 does is the oracle.
#include "stats/coverage_interval.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <vector>

#include "stats/streams.hpp"

namespace {

using namespace quarterturn;
using stats::CoverageIntervals;

/// Ranks from 1: q = pM when that is whole, else pM + 1/2 cut.
CoverageIntervals naive(std::vector<double> y, double p) {
  std::sort(y.begin(), y.end());
  const double pm = p * static_cast<double>(y.size());
  const auto q =
      static_cast<std::size_t>(std::fabs(pm - std::round(pm)) < 1e-9 ? std::round(pm) : std::floor(pm + 0.5));
  const std::size_t k = y.size() - q, middle = k % 2 == 0 ? k / 2 : (k + 1) / 2;
  CoverageIntervals both = {{y[middle - 1], y[middle + q - 1]}, {y[0], y[q]}};
  for (std::size_t r = 2; r <= k; ++r)
    if (y[r + q - 1] - y[r - 1] < both.shortest.high - both.shortest.low)
      both.shortest = {y[r - 1], y[r + q - 1]};
  return both;
}

void check_same(const CoverageIntervals& a, const CoverageIntervals& b) {
  CHECK(a.symmetric.low == b.symmetric.low);
  CHECK(a.symmetric.high == b.symmetric.high);
  CHECK(a.shortest.low == b.shortest.low);
  CHECK(a.shortest.high == b.shortest.high);
}

/// Skewed; at some sizes with many ties.
std::vector<double> draw(stats::Stream& random, std::size_t m) {
  std::vector<double> y(m);
  for (double& value : y) value = std::exp(random.normal());
  if (m % 100 == 0)
    for (double& value : y) value = std::round(4 * value);
  return y;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("coverage intervals: the example of the header") {
    std::vector<double> y(100);
    std::iota(y.rbegin(), y.rend(), 1.0);
    check_same(stats::coverage_intervals(y, 0.9), {{5, 95}, {1, 91}});
  }

  TEST_CASE("coverage intervals against sorting everything, of one lot and of several together") {
    stats::Stream random(21, 0);
    for (const std::size_t m : {21U, 100U, 101U, 1003U, 5000U})
      for (const double p : {0.1, 0.31, 0.5, 0.683, 0.9, 0.95, 0.99, 0.997}) {
        CAPTURE(m);
        CAPTURE(p);
        std::vector<std::vector<double>> blocks;
        std::vector<double> all;
        for (int b = 0; b < 7; ++b) {
          blocks.push_back(draw(random, m));
          all.insert(all.end(), blocks.back().begin(), blocks.back().end());
          if (std::floor(p * static_cast<double>(m) + 0.5) >= static_cast<double>(m)) {
            CHECK_THROWS_AS(stats::coverage_intervals(blocks.back(), p), std::domain_error);
            break;
          }
          const CoverageIntervals expected = naive(blocks.back(), p);
          check_same(stats::coverage_intervals(blocks.back(), p), expected);
          check_same(stats::coverage_intervals_together(blocks, p), naive(all, p));
        }
      }
  }

  TEST_CASE(
      "coverage intervals: blocks that are alike, whose tails hold one trial less than the tail of all") {
    // 0.9 of 21 leaves 2, of 147 leaves 15
    std::vector<double> one(21), all;
    std::iota(one.begin(), one.end(), 1.0);
    const std::vector<std::vector<double>> blocks(7, one);
    for (const auto& block : blocks) all.insert(all.end(), block.begin(), block.end());
    check_same(stats::coverage_intervals_together(blocks, 0.9), naive(all, 0.9));
  }

  TEST_CASE("coverage intervals: what cannot be is refused") {
    std::vector<double> few = {1, 2, 3}, none, bad = {1, 2, std::nan(""), 4};
    CHECK_THROWS_AS(stats::coverage_intervals(few, 0.95), std::domain_error);
    CHECK_THROWS_AS(stats::coverage_intervals(few, 0.1), std::domain_error);
    CHECK_THROWS_AS(stats::coverage_intervals(none, 0.5), std::domain_error);
    CHECK_THROWS_AS(stats::coverage_intervals(bad, 0.5), std::domain_error);
    for (const double p : {0.0, 1.0, -0.1, std::nan("")})
      CHECK_THROWS_AS(stats::coverage_intervals(few, p), std::domain_error);
    CHECK_THROWS_AS(stats::coverage_intervals_together({}, 0.5), std::domain_error);
    const std::vector<std::vector<double>> uneven = {{1, 2, 3}, {1, 2}};
    CHECK_THROWS_AS(stats::coverage_intervals_together(uneven, 0.5), std::domain_error);
  }
}
