// SPDX-License-Identifier: MIT
/// \file latin_hypercube.hpp
/// Points that fill a cube evenly along each axis, for means over a few hundred draws.
///
/// In       number of points and dimensions, a seed
/// Out      points x dimensions, row-major, each coordinate inside (0, 1)
/// Maths    METHOD.md (M88), (M89); [MCKAY]: one point in each of n equal slices of every axis, slices
/// shuffled Accuracy of a mean: that of plain draws or better; of a sum over the axes far better
///          (tests/stats/latin_hypercube_test.cpp)
#pragma once

#include <cstdint>
#include <vector>

namespace quarterturn::stats {

std::vector<double> latin_hypercube(int points, int dimensions, std::uint64_t seed);

}  // namespace quarterturn::stats
