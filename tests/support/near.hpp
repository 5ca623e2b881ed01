// SPDX-License-Identifier: MIT
/// \file near.hpp
/// Equality with both tolerances given. doctest's own Approx is relative to 1 and passes wrong angles.
#pragma once

#include <cmath>

namespace quarterturn::test {

/// |a - b| <= abs + rel |b|
inline bool near(double a, double b, double rel, double abs) {
  return std::fabs(a - b) <= abs + rel * std::fabs(b);
}

}  // namespace quarterturn::test
