// SPDX-License-Identifier: MIT
#include "stats/root.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/near.hpp"

using namespace quarterturn;
using stats::root;
using test::near;

TEST_SUITE("stats") {
  TEST_CASE("root: rising, falling, nearly flat at one end, in few steps") {
    int calls = 0;
    const auto square = [&](double x) {
      ++calls;
      return x * x - 2;
    };
    CHECK(near(root(square, {0, -2}, {2, 2}), std::sqrt(2.0), 1e-10, 0));
    CHECK(calls < 12);
    const auto falling = [](double x) { return std::exp(-x) - 0.1; };
    CHECK(near(root(falling, {0, 0.9}, {50, std::exp(-50) - 0.1}), std::log(10.0), 1e-9, 0));
    // Both ways round it is the same place.
    const auto rising = [&](double x) { return -falling(x); };
    CHECK(root(rising, {0, -0.9}, {50, 0.1 - std::exp(-50)}) ==
          root(falling, {0, 0.9}, {50, std::exp(-50) - 0.1}));
    // As close as asked for, and no closer.
    const double rough = root(square, {0, -2}, {2, 2}, {.width = 0.1, .close = 0, .steps = 60});
    CHECK(near(rough, std::sqrt(2.0), 0.1, 0));
    CHECK(root(square, {0, -2}, {2, 2}, {.width = 0, .close = 0, .steps = 0}) == 1);
  }
}
