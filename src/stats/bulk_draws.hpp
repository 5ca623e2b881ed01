// SPDX-License-Identifier: MIT
/// \file bulk_draws.hpp
/// Many draws of a stream at once, eight blocks of the generator a step: behind Stream.
///
/// In       where in which stream, how many draws, a scale
/// Out      the same draws, to the bit, that Stream gives one by one
/// Maths    METHOD.md (M121)
/// Accuracy equal in every bit for each Isa (tests/stats/bulk_draws_test.cpp)
#pragma once

#include <cstddef>
#include <cstdint>

#include "stats/isa.hpp"

namespace quarterturn::stats {

enum class Draw { uniform, normal, t };

/// From block `index` of (seed, stream) on: two uniform or normal deviates a block, or one t.
struct DrawRequest {
  std::uint64_t seed = 0, stream = 0, index = 0;
  std::size_t count = 0;  ///< of draws
  double* out = nullptr;
  double from = 0, factor = 1;  ///< out = from + factor draw
  double dof = 0;               ///< of t
  bool add = false;             ///< out += that
};

void draw(Draw what, const DrawRequest& request);
/// \param isa  one that runs here
void draw(Draw what, const DrawRequest& request, Isa isa);

}  // namespace quarterturn::stats
