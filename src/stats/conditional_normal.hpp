// SPDX-License-Identifier: MIT
/// \file conditional_normal.hpp
/// What is still open of some normal values once others are known.
///
/// In       covariances, row-major
/// Out      new | old = gain (old - mean of old) + mean of new + root z, z standard normal
/// Maths    METHOD.md (M91); textbook
/// Assumes  the covariance of the old values is positive definite
#pragma once

#include <span>
#include <vector>

namespace quarterturn::stats {

struct ConditionalNormal {
  std::vector<double> gain;  ///< new x old, row-major
  std::vector<double> root;  ///< new x new, lower triangle, row-major
};

/// \param all  covariance of old values, then new ones: (old + fresh)^2 numbers
ConditionalNormal conditional_normal(std::span<const double> all, int old, int fresh);

/// Lower triangle L with L L' = v, row-major. \param v  n x n, positive definite
std::vector<double> lower_root(std::span<const double> v, int n);

}  // namespace quarterturn::stats
