// SPDX-License-Identifier: MIT
/// \file play.hpp
/// How far a dog can shift in its hole: stated, else hole minus dog.
#pragma once

#include <algorithm>

#include "station/station.hpp"

namespace quarterturn::station {

/// [mm], >= 0.
inline double play_mm(const Grid& grid, const Dog& dog) {
  return dog.play ? dog.play->mm() : std::max(0.0, (grid.hole_diameter - dog.diameter).mm());
}

}  // namespace quarterturn::station
