// SPDX-License-Identifier: MIT
/// \file root.hpp
/// Where a monotonic function of one variable is zero, between two ends of opposite sign.
///
/// In       the function, the ends with its values there, when to stop
/// Out      the place
/// Maths    Illinois variant of false position: bracketed and superlinear
/// Assumes  the function is continuous, and its values at the ends differ in sign
/// Accuracy as asked for (tests/stats/root_test.cpp)
#pragma once

#include <cmath>

namespace quarterturn::stats {

struct End {
  double x = 0, f = 0;
};

struct RootStop {
  double width = 1e-10;  ///< of the bracket, relative to its upper end
  double close = 1e-12;  ///< |f| so small is zero
  int steps = 60;
};

/// Example: root([](double x) { return x * x - 2; }, {0, -2}, {2, 2}) is the root of 2.
template <typename F>
double root(F f, End low, End high, const RootStop& stop = {}) {
  const bool rises = low.f < high.f;
  int side = 0;  // the end that moved last: the other one's value is halved when it stays for a second time
  for (int i = 0; i < stop.steps && high.x - low.x > stop.width * high.x; ++i) {
    double x = (low.x * high.f - high.x * low.f) / (high.f - low.f);
    if (!(x > low.x && x < high.x)) x = 0.5 * (low.x + high.x);
    const double at = f(x);
    if (std::fabs(at) < stop.close) return x;
    if ((at < 0) == rises) {
      low = {x, at};
      if (side == -1) high.f *= 0.5;
      side = -1;
    } else {
      high = {x, at};
      if (side == 1) low.f *= 0.5;
      side = 1;
    }
  }
  return 0.5 * (low.x + high.x);
}

}  // namespace quarterturn::stats
