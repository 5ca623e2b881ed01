// SPDX-License-Identifier: MIT
#include "stats/root.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

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

  TEST_CASE("the places tried are those of false position; an end that stays twice counts half") {
    std::vector<double> tried;
    const auto f = [&](double x) {
      tried.push_back(x);
      return std::sqrt(x) - 1;
    };
    CHECK(near(root(f, {0, -1}, {4, 1}), 1, 0, 1e-9));
    REQUIRE(tried.size() > 2);
    // By hand: 4/2; 2/(1 + sqrt 2 - 1); then 1/2 for the 1 of the lower end.
    CHECK(near(tried[0], 2, 0, 1e-15));
    CHECK(near(tried[1], std::sqrt(2.0), 0, 1e-15));
    CHECK(near(tried[2], std::sqrt(2.0) / 2 / (std::sqrt(std::sqrt(2.0)) - 0.5), 0, 1e-14));
  }
}
