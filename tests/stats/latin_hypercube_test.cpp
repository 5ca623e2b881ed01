// SPDX-License-Identifier: MIT
#include "stats/latin_hypercube.hpp"

#include <doctest/doctest.h>

#include <set>

#include "stats/distributions.hpp"
#include "support/near.hpp"

using namespace quarterturn;
using quarterturn::test::near;

TEST_SUITE("stats") {
  TEST_CASE("a Latin hypercube has one point in each slice of every axis") {
    const int n = 97, d = 5;
    const auto points = stats::latin_hypercube(n, d, 1);
    REQUIRE(points.size() == static_cast<std::size_t>(n * d));
    for (int k = 0; k < d; ++k) {
      std::set<int> slices;
      for (int i = 0; i < n; ++i)
        slices.insert(static_cast<int>(points[static_cast<std::size_t>(i * d + k)] * n));
      CHECK(slices.size() == static_cast<std::size_t>(n));
      CHECK(*slices.begin() == 0);
      CHECK(*slices.rbegin() == n - 1);
    }
    CHECK(points == stats::latin_hypercube(n, d, 1));
    CHECK(points != stats::latin_hypercube(n, d, 2));
  }

  TEST_CASE("means over it: of a sum to the slice, of a product better than plain draws") {
    // E of z1^2 + z2^2 + z3^2 is 3, of z1^2 z2^2 is 1; 256 plain draws leave 0.15 and 0.18.
    const int n = 256, d = 3;
    const auto points = stats::latin_hypercube(n, d, 7);
    double sum = 0, product = 0;
    for (int i = 0; i < n; ++i) {
      double z2[3];
      for (int k = 0; k < d; ++k) {
        const double z = stats::normal_quantile(points[static_cast<std::size_t>(i * d + k)]);
        z2[k] = z * z;
      }
      sum += (z2[0] + z2[1] + z2[2]) / n;
      product += z2[0] * z2[1] / n;
    }
    CHECK(near(sum, 3, 0, 0.05));
    CHECK(near(product, 1, 0, 0.35));
  }
}
