// SPDX-License-Identifier: MIT
/// \file shims.hpp
/// Stacks of the person's own shims.
///
/// In       the shims owned, the thickness wanted [mm]
/// Out      the stack nearest to it, with its standard uncertainty [mm]
/// Maths    METHOD.md (M44)
/// Assumes  layers of one shim are cut from one stock: their thickness errors are the same, so n layers carry
/// n times
///          the uncertainty of one; different shims err independently
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "correct/correct.hpp"
#include "station/station.hpp"

namespace quarterturn::correct {

inline constexpr int kMostLayers = 4;  ///< a taller stack creeps and rocks; common practice, no source
inline constexpr std::size_t kMostKinds =
    40;  ///< kinds of shim that are combined; those after them are left out

struct Stack {
  std::vector<Part> parts;  ///< hard ones first: they lie against the dog
  double thickness_mm = 0;
  double u_mm = 0;
  int layers = 0, soft_layers = 0;
  double first_layer_mm = 0;  ///< one layer of the first part
};

/// The stack of one to four layers whose thickness lies nearest to `target_mm` (> 0) and nearer than no shim
/// at all. A stack of hard shims alone is taken before it when the two differ by less than the nearest one's
/// uncertainty. Empty when nothing owned comes nearer than no shim.
std::optional<Stack> nearest_stack(std::span<const station::Shim> shims, double target_mm);

}  // namespace quarterturn::correct
