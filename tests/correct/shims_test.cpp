// SPDX-License-Identifier: MIT
#include "correct/shims.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "requests.hpp"
#include "support/near.hpp"

using namespace quarterturn;
using correct::nearest_stack;
using test::near;
using test::shim;

namespace {

/// Smallest distance from the target of any stack of at most four layers, by plain counting of up to three
/// kinds.
double nearest_by_counting(const std::vector<station::Shim>& shims, double target) {
  const auto layers = [&](std::size_t i) { return i < shims.size() ? shims[i].layers : 0; };
  const auto thick = [&](std::size_t i) { return i < shims.size() ? shims[i].layer.mm() : 0.0; };
  double best = target;
  for (int a = 0; a <= layers(0); ++a) {
    for (int b = 0; b <= layers(1); ++b) {
      for (int c = 0; c <= layers(2); ++c) {
        if (a + b + c > 4) continue;
        best = std::min(best, std::fabs(a * thick(0) + b * thick(1) + c * thick(2) - target));
      }
    }
  }
  return best;
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE("three layers of foil for 0.21 mm") {
    const std::vector<station::Shim> owned{shim("foil tape", 0.07, 8)};
    const auto stack = nearest_stack(owned, 0.205);
    REQUIRE(stack.has_value());
    REQUIRE(stack->parts.size() == 1);
    CHECK(stack->parts[0].shim == "foil tape");
    CHECK(stack->parts[0].layers == 3);
    CHECK(near(stack->thickness_mm, 0.21, 1e-12, 0));
    CHECK(near(stack->u_mm, 0.015, 1e-12, 0));  // layers of one stock err alike
    CHECK(near(stack->first_layer_mm, 0.07, 1e-12, 0));
  }

  TEST_CASE(
      "the nearest stack to within its own uncertainty, over a grid of targets, against plain counting") {
    const std::vector<station::Shim> owned{shim("foil", 0.07, 8, false, 0.001),
                                           shim("brass", 0.10, 2, true, 0.002),
                                           shim("paper", 0.105, 3, false, 0.004)};
    for (int i = 1; i <= 60; ++i) {
      const double target = 0.01 * i;
      CAPTURE(target);
      const double best = nearest_by_counting(owned, target);
      const auto stack = nearest_stack(owned, target);
      REQUIRE(stack.has_value() == (best < target));
      if (!stack) continue;
      CHECK(std::fabs(stack->thickness_mm - target) <= best + 0.02 + 1e-12);
      CHECK(stack->layers <= correct::kMostLayers);
      double sum = 0;
      for (const auto& part : stack->parts) {
        const auto of =
            std::find_if(owned.begin(), owned.end(), [&](const auto& s) { return s.name == part.shim; });
        CHECK(part.layers <= of->layers);
        sum += part.layers * of->layer.mm();
      }
      CHECK(near(sum, stack->thickness_mm, 1e-12, 0));
    }
  }

  TEST_CASE("hard before soft where they are not told apart, and hard first in the stack") {
    const std::vector<station::Shim> owned{shim("foil", 0.07, 8, false, 0.005),
                                           shim("brass", 0.20, 1, true, 0.002)};
    const auto one = nearest_stack(owned, 0.21);
    REQUIRE(one.has_value());
    CHECK(one->parts.size() == 1);
    CHECK(one->parts[0].shim == "brass");
    const auto two = nearest_stack(owned, 0.34);
    REQUIRE(two.has_value());
    REQUIRE(two->parts.size() == 2);
    CHECK(two->parts[0].shim == "brass");
    CHECK(two->parts[1].layers == 2);
    CHECK(near(two->u_mm, std::hypot(0.002, 0.010), 1e-12, 0));
    const std::vector<station::Shim> exact{shim("foil", 0.07, 8, false, 0.001),
                                           shim("brass", 0.20, 1, true, 0.002)};
    CHECK(nearest_stack(exact, 0.21)->parts[0].shim == "foil");  // told apart: the nearer wins
  }

  TEST_CASE("no more layers than owned, no more than four") {
    CHECK(nearest_stack(std::vector{shim("foil", 0.07, 2)}, 0.28)->layers == 2);
    CHECK(nearest_stack(std::vector{shim("foil", 0.07, 8)}, 5.0)->layers == 4);
  }

  TEST_CASE("nothing owned comes nearer than no shim") {
    CHECK(!nearest_stack({}, 0.2).has_value());
    CHECK(!nearest_stack(std::vector{shim("card", 0.5, 4)}, 0.2).has_value());
    CHECK(!nearest_stack(std::vector{shim("foil", 0.07, 4)}, 0.035 - 1e-9).has_value());
    CHECK(nearest_stack(std::vector{shim("foil", 0.07, 4)}, 0.036).has_value());
  }

  TEST_CASE("of a drawer full of shims the first forty kinds are combined, all of their stacks") {
    std::vector<station::Shim> drawer;
    for (int i = 0; i < 60; ++i) drawer.push_back(shim("s", 0.011 + 0.0037 * i, 9, i % 2 == 0, 0.0001));
    const auto stack = nearest_stack(drawer, 0.333);
    REQUIRE(stack.has_value());
    CHECK(near(stack->thickness_mm, 0.333, 0, 0.0005));
    drawer[45] = shim("last", 0.333, 1, true, 0.0001);
    CHECK(nearest_stack(drawer, 0.333)->parts[0].shim == "s");
    drawer[39] = drawer[45];
    CHECK(nearest_stack(drawer, 0.333)->parts[0].shim == "last");
  }
}
