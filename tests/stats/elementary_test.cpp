// SPDX-License-Identifier: MIT
// Our own logarithm, exponential, sine and cosine against those of long double.
#include "stats/elementary.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

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

  TEST_CASE("elementary: where the reductions change over, and the ends") {
    constexpr double kEnough = 2 * 0x1p-52;
    for (const double middle :
         {std::numbers::sqrt2 / 2, 0.25 * std::numbers::sqrt2, 0.5, 0.25, 1.0, 0x1p-30}) {
      double x = middle * (1 - 20 * 0x1p-53);
      for (int i = 0; i < 40; ++i, x = std::nextafter(x, 2.0)) {
        const long double exact = std::log(static_cast<long double>(x));
        CHECK(std::fabs(static_cast<long double>(stats::log_of(x)) - exact) <= kEnough * std::fabs(exact));
      }
    }
    for (int eighth = 0; eighth <= 8; ++eighth) {
      for (int i = -20; i <= 20; ++i) {
        const double v = (eighth * 0x1p49 + i + 0.5) * 0x1p-52;
        if (v < 0 || v > 1) continue;
        const auto at = stats::on_circle(v);
        const long double angle = 2 * std::numbers::pi_v<long double> * static_cast<long double>(v);
        CHECK(std::fabs(static_cast<long double>(at.cos) - std::cos(angle)) < 0x1p-52);
        CHECK(std::fabs(static_cast<long double>(at.sin) - std::sin(angle)) < 0x1p-52);
      }
    }
  }

  TEST_CASE("elementary: a pair of normal deviates is that of its formula, as (M121) says") {
    stats::Stream random(22, 0);
    double most = 0;
    for (int i = 0; i < 200'000; ++i) {
      const double share = random.uniform(), u = i % 2 == 0 ? share : std::exp(-36 * share),
                   v = random.uniform();
      const auto pair = stats::normal_pair(u, v);
      const long double radius = std::sqrt(-2 * std::log(static_cast<long double>(u))),
                        angle = 2 * std::numbers::pi_v<long double> * static_cast<long double>(v);
      for (const auto& [ours, exact] :
           {std::pair{pair.cos, radius * std::cos(angle)}, std::pair{pair.sin, radius * std::sin(angle)}}) {
        const long double off = std::fabs(static_cast<long double>(ours) - exact);
        most = std::max(most, static_cast<double>(off / std::max(std::fabs(exact), 1.0L)));
      }
    }
    CHECK(most < 1e-15);
  }
}
