// SPDX-License-Identifier: MIT
#include "stats/chi2_draw.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "stats/distributions.hpp"

using namespace quarterturn;

TEST_SUITE("stats") {
  TEST_CASE("chi-square deviates fill the bins of their distribution") {
    constexpr int kDraws = 100'000;
    constexpr std::size_t kBins = 100;
    for (const double dof : {0.4, 1.0, 1.9, 2.0, 3.0, 12.5, 200.0}) {
      CAPTURE(dof);
      stats::Stream random(31, 0);
      std::vector<double> count(kBins, 0.0);
      for (int i = 0; i < kDraws; ++i) {
        const double p = stats::chi2_probability(stats::chi2(random, dof), dof);
        ++count[std::min(static_cast<std::size_t>(p * kBins), kBins - 1)];
      }
      double x2 = 0;
      for (const double n : count) x2 += std::pow(n - kDraws / 100.0, 2) / (kDraws / 100.0);
      const double p = stats::chi2_probability(x2, kBins - 1.0);
      CHECK(p > 0.001);
      CHECK(p < 0.999);
    }
  }
}
