// SPDX-License-Identifier: MIT
/// \file resolution.hpp
/// The step d at which the readings of a check are quantised, and what it does to the variance of a spot
/// mean.
///
/// Maths    METHOD.md (M15), (M16)
#pragma once

#include "check/check.hpp"

namespace quarterturn::check {

/// Coarser of the caliper's step and of the digits as typed (the largest number of decimals of any reading;
/// six or more readings that are all multiples of 2, 5, 10 or 50 of that step: the multiple). [mm]
double resolution_mm(const Check& check);

/// Split of a spot mean's variance: share * sigma_m^2 + fixed.
struct SpotVariance {
  double share = 0, fixed = 0;
};
/// \param s2       pooled variance of a reading on readings and caliper [mm^2]; 0 when nothing informs it
/// \param repeats  readings at the spot
SpotVariance spot_variance(double s2, int repeats, double resolution);

}  // namespace quarterturn::check
