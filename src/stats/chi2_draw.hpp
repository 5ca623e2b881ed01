// SPDX-License-Identifier: MIT
/// \file chi2_draw.hpp
/// A chi-square deviate on any degrees of freedom.
///
/// In       a stream; degrees of freedom above 0
/// Out      one deviate; as many draws as it takes
/// Maths    [MARSTSANG]: rejection from the cube of a normal deviate; below two degrees of freedom from two
///          more, times a power of a uniform deviate
/// Accuracy bins against the distribution (tests/stats/chi2_draw_test.cpp)
#pragma once

#include <cmath>

#include "stats/streams.hpp"

namespace quarterturn::stats {

inline double chi2(Stream& random, double dof) {
  const double shape = dof < 2 ? dof / 2 + 1 : dof / 2, d = shape - 1.0 / 3, c = 1 / std::sqrt(9 * d);
  for (;;) {
    const double z = random.normal(), root = 1 + c * z;
    if (root <= 0) continue;
    const double v = root * root * root, u = random.uniform();
    if (log_of(u) >= 0.5 * z * z + d * (1 - v + log_of(v))) continue;
    if (dof >= 2) return 2 * d * v;
    return 2 * d * v * std::exp(log_of(random.uniform()) * 2 / dof);
  }
}

}  // namespace quarterturn::stats
