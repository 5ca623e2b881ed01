// SPDX-License-Identifier: MIT
// Our own logarithm, exponential, sine and cosine against those of long double.
#include "stats/elementary.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "stats/streams.hpp"

using namespace quarterturn;

namespace {

double apart(double ours, long double theirs) {
  return static_cast<double>(std::fabs((static_cast<long double>(ours) - theirs) / theirs));
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("elementary: two units of the last place, over all that a uniform deviate can be") {
    constexpr double kEnough = 2 * 0x1p-52;
    stats::Stream random(21, 0);
    double log = 0, exp = 0, cos = 0, sin = 0;
    for (int i = 0; i < 200'000; ++i) {
      const double u = random.uniform(), small = std::ldexp(u, -static_cast<int>(52 * random.uniform()));
      for (const double x : {u, small, 1 - small}) {
        log = std::max(log, apart(stats::log_of(x), std::log(static_cast<long double>(x))));
      }
      for (const double x : {small, u, 40 * u, 700 * u}) {
        exp = std::max(exp, apart(stats::expm1_of(x), std::expm1(static_cast<long double>(x))));
      }
      const auto at = stats::on_circle(u);
      const long double angle = 2 * std::numbers::pi_v<long double> * static_cast<long double>(u);
      cos = std::max(cos, static_cast<double>(std::fabs(static_cast<long double>(at.cos) - std::cos(angle))));
      sin = std::max(sin, static_cast<double>(std::fabs(static_cast<long double>(at.sin) - std::sin(angle))));
    }
    CHECK(log < kEnough);
    CHECK(exp < kEnough);
    CHECK(cos < 0x1p-52);
    CHECK(sin < 0x1p-52);
    const double least = 0x1p-53;  // of all uniform deviates
    CHECK(apart(stats::log_of(least), std::log(static_cast<long double>(least))) < kEnough);
    CHECK(stats::expm1_of(0.0) == 0);
  }
}
