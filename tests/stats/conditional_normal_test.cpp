// SPDX-License-Identifier: MIT
#include "stats/conditional_normal.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/near.hpp"

using namespace quarterturn;
using quarterturn::test::near;

TEST_SUITE("stats") {
  TEST_CASE("two values: the textbook's regression of one on the other") {
    const std::vector<double> v{4, 1.5, 1.5, 9};
    const auto given = stats::conditional_normal(v, 1, 1);
    CHECK(near(given.gain[0], 1.5 / 4, 1e-14, 0));
    CHECK(near(given.root[0], std::sqrt(9 - 1.5 * 1.5 / 4), 1e-14, 0));
  }

  TEST_CASE("old and new together come out as the covariance they came from") {
    // With y = L z for the old ones, new = gain y + root w has gain V_oo gain' + root root' = V_nn.
    const int old = 2, fresh = 2, n = 4;
    const std::vector<double> v{4, 1, 2, 1, 1, 3, 0.5, 1, 2, 0.5, 5, 1.5, 1, 1, 1.5, 2};
    const auto given = stats::conditional_normal(v, old, fresh);
    for (int i = 0; i < fresh; ++i) {
      for (int j = 0; j < fresh; ++j) {
        double sum = 0;
        for (int a = 0; a < old; ++a)
          for (int b = 0; b < old; ++b)
            sum += given.gain[static_cast<std::size_t>(i * old + a)] *
                   v[static_cast<std::size_t>(a * n + b)] * given.gain[static_cast<std::size_t>(j * old + b)];
        for (int k = 0; k < fresh; ++k)
          sum += given.root[static_cast<std::size_t>(i * fresh + k)] *
                 given.root[static_cast<std::size_t>(j * fresh + k)];
        CHECK(near(sum, v[static_cast<std::size_t>((old + i) * n + old + j)], 1e-13, 0));
      }
    }
    CHECK(given.root[1] == 0);  // lower triangle
  }
}
