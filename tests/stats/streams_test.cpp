// SPDX-License-Identifier: MIT
// The generator: known answers, moments, bins and tails of what is made of it, and that streams have nothing
// to do with each other. Seeds are fixed; bounds are four standard errors, or the middle 0.998 of a
// chi-square.
#include "stats/streams.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <set>
#include <utility>
#include <vector>

#include "stats/distributions.hpp"
#include "support/near.hpp"

namespace {

using namespace quarterturn;
using stats::Stream;
using test::near;

using Block = std::array<std::uint32_t, 4>;

/// Probabilities P(X <= x) of draws, which are uniform if the draws are right, into equal bins.
template <class Draw>
bool bins_are_even(int draws, std::size_t bins, Draw probability) {
  std::vector<double> count(bins, 0.0);
  for (int i = 0; i < draws; ++i)
    ++count[std::min(static_cast<std::size_t>(probability() * static_cast<double>(bins)), bins - 1)];
  const double expected = draws / static_cast<double>(bins);
  double x2 = 0;
  for (const double n : count) x2 += (n - expected) * (n - expected) / expected;
  const double p = stats::chi2_probability(x2, static_cast<double>(bins - 1));
  CAPTURE(x2);
  CHECK(p > 0.001);
  CHECK(p < 0.999);
  return p > 0.001 && p < 0.999;
}

/// Correlation of two sequences of uniform deviates, in standard errors.
template <class A, class B>
double correlation(int n, A a, B b) {
  double sum = 0;
  for (int i = 0; i < n; ++i) sum += (a() - 0.5) * (b() - 0.5);
  return 12 * sum / std::sqrt(n);
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("streams: known answers of Philox 4x32-10, from memory of those published with [SALMON]") {
    const auto ones = ~std::uint32_t{0};
    CHECK(stats::philox({0, 0, 0, 0}, {0, 0}) == Block{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
    CHECK(stats::philox({ones, ones, ones, ones}, {ones, ones}) ==
          Block{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
    // digits of pi
    CHECK(stats::philox({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}) ==
          Block{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});
  }

  TEST_CASE("streams: a word is two halves of a block, counted on within the stream") {
    const std::uint64_t seed = 0x123456789abcdef0, stream = 0x0fedcba987654321;
    Stream random(seed, stream);
    for (std::uint32_t index = 0; index < 3; ++index) {
      const Block block = stats::philox({index, 0, 0x87654321, 0x0fedcba9}, {0x9abcdef0, 0x12345678});
      CHECK(random.bits() == (std::uint64_t{block[1]} << 32 | block[0]));
      CHECK(random.bits() == (std::uint64_t{block[3]} << 32 | block[2]));
    }
  }

  TEST_CASE("streams: neighbouring streams and seeds share no word and are not correlated") {
    std::set<std::uint64_t> words;
    std::size_t drawn = 0;
    for (std::uint64_t seed = 0; seed < 4; ++seed)
      for (std::uint64_t stream = 0; stream < 25; ++stream) {
        Stream random(seed, stream);
        for (int i = 0; i < 1000; ++i, ++drawn) words.insert(random.bits());
      }
    CHECK(words.size() == drawn);  // by chance two of 10^5 would be alike in one of 4e9 seeds

    constexpr int kPairs = 200'000;
    const std::pair<std::pair<int, int>, std::pair<int, int>> pairs[] = {
        {{1, 0}, {1, 1}}, {{1, 7}, {1, 8}}, {{1, 0}, {2, 0}}, {{3, 4}, {4, 3}}, {{1, 0}, {1, 256}}};
    for (const auto& [first, second] : pairs) {
      const auto at = [](int x) { return static_cast<std::uint64_t>(x); };
      Stream a(at(first.first), at(first.second)), b(at(second.first), at(second.second));
      CHECK(std::fabs(correlation(
                kPairs, [&] { return a.uniform(); }, [&] { return b.uniform(); })) < 4);
    }
    // one after the other in one stream
    Stream lead(5, 0), lag(5, 0);
    lag.uniform();
    CHECK(std::fabs(correlation(
              kPairs, [&] { return lead.uniform(); }, [&] { return lag.uniform(); })) < 4);
  }

  TEST_CASE("streams: uniform deviates fill their bins, one by one and in pairs") {
    Stream random(11, 3);
    CHECK(bins_are_even(500'000, 1000, [&] { return random.uniform(); }));
    CHECK(bins_are_even(500'000, 900, [&] {
      const double column = std::floor(30 * random.uniform());
      return (column + random.uniform()) / 30;
    }));
    CHECK(random.uniform(2, 2) == 2);
    for (int i = 0; i < 1000; ++i) {
      const double x = random.uniform(-3, 5);
      CHECK((x > -3 && x < 5));
    }
  }

  TEST_CASE("streams: normal deviates have the moments, bins and tails of the normal distribution") {
    constexpr int kDraws = 500'000;
    Stream random(12, 0);
    double sum[5] = {}, beyond3 = 0, beyond4 = 0;
    for (int i = 0; i < kDraws; ++i) {
      const double z = random.normal();
      for (int k = 1; k < 5; ++k) sum[k] += std::pow(z, k) / kDraws;
      beyond3 += std::fabs(z) > 3;
      beyond4 += std::fabs(z) > 4;
    }
    const double error = 4 / std::sqrt(kDraws);
    CHECK(near(sum[1], 0, 0, error));
    CHECK(near(sum[2], 1, 0, error * std::sqrt(2.0)));
    CHECK(near(sum[3], 0, 0, error * std::sqrt(15.0)));
    CHECK(near(sum[4], 3, 0, error * std::sqrt(96.0)));
    // skewness and excess kurtosis about the mean that was found
    const double m = sum[1], variance = sum[2] - m * m;
    CHECK(near((sum[3] - 3 * m * sum[2] + 2 * m * m * m) / std::pow(variance, 1.5), 0, 0,
               error * std::sqrt(6.0)));
    CHECK(near((sum[4] - 4 * m * sum[3] + 6 * m * m * sum[2] - 3 * m * m * m * m) / (variance * variance), 3,
               0, error * std::sqrt(24.0)));
    for (const auto& [limit, count] : {std::pair{3.0, beyond3}, std::pair{4.0, beyond4}}) {
      const double expected = 2 * stats::normal_probability(-limit) * kDraws;
      CHECK(near(count, expected, 0, 4 * std::sqrt(expected)));
    }
    CHECK(bins_are_even(300'000, 300, [&] { return stats::normal_probability(random.normal()); }));
    // the two of a pair are not bound to each other
    CHECK(bins_are_even(300'000, 400, [&] {
      const double row = std::floor(20 * stats::normal_probability(random.normal()));
      return (row + stats::normal_probability(random.normal())) / 20;
    }));
  }

  TEST_CASE("streams: t deviates, few and many degrees of freedom") {
    for (const double dof : {0.5, 1.0, 2.0, 5.0, 18.0, 1e6}) {
      CAPTURE(dof);
      Stream random(13, 0);
      CHECK(bins_are_even(60'000, 100, [&] { return stats::t_probability(random.t(dof), dof); }));
    }
    // infinitely many are the normal deviates of the same stream
    Stream a(14, 0), b(14, 0);
    for (int i = 0; i < 5; ++i) CHECK(a.t(std::numeric_limits<double>::infinity()) == b.normal());
  }

  TEST_CASE("streams: arc sine and curvilinear trapezoid, [JCGM101] 6.4.3 and 6.4.6") {
    constexpr double kLow = -2, kHigh = 4, kDoubt = 1.5;
    Stream random(15, 0);
    CHECK(bins_are_even(200'000, 200, [&] {
      return 0.5 + std::asin((random.arc_sine(kLow, kHigh) - 1) / 3) / std::numbers::pi;
    }));
    // variance of the curvilinear trapezoid: (high - low)^2/12 + doubt^2/9, within low - doubt and high +
    // doubt
    constexpr int kDraws = 200'000;
    double mean = 0, variance = 0, fourth = 0, least = kHigh, most = kLow;
    for (int i = 0; i < kDraws; ++i) {
      const double x = random.curvilinear_trapezoid(kLow, kHigh, kDoubt), d = x - 1;
      mean += x / kDraws;
      variance += d * d / kDraws;
      fourth += d * d * d * d / kDraws;
      least = std::min(least, x);
      most = std::max(most, x);
    }
    CHECK(near(mean, 1, 0, 4 * std::sqrt(3.25 / kDraws)));
    CHECK(near(variance, 3.25, 0, 4 * std::sqrt((fourth - 3.25 * 3.25) / kDraws)));
    CHECK(least > kLow - kDoubt);
    CHECK(most < kHigh + kDoubt);
    CHECK(most > kHigh);
    // limits that are known exactly: rectangular
    CHECK(bins_are_even(200'000, 200,
                        [&] { return (random.curvilinear_trapezoid(kLow, kHigh, 0) - kLow) / 6; }));
  }
}
