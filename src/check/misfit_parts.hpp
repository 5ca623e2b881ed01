// SPDX-License-Identifier: MIT
/// \file misfit_parts.hpp
/// What the parts of misfit share.
#pragma once

#include <vector>

#include "check/fit.hpp"
#include "check/scatter.hpp"

namespace quarterturn::check {

inline constexpr double kMisfitLevel = 0.05;  ///< of a whole check, shared by its tests (M31), (M32)

/// A slip under so much of its standard error, before the variances know it, is not fitted again, nor one
/// that stands out by less than that share of the farthest (M32).
inline constexpr double kNotWorthARefit = 0.8, kFarFromTheWorst = 0.7;

Where where_of(const Strip& strip, const Spot& spot, const Reading& reading);

/// Residual of a spot mean from its strip's unweighted line [mm], and its leverage.
struct LineResidual {
  double e, leverage;
};
std::vector<LineResidual> line_residuals(const Strip& strip);

/// (M31), (M35): appends unusual-reading, or the code that explains one.
void find_readings(Fit& fit, const Check& check, const ScatterFit& s, const Summary& today);

}  // namespace quarterturn::check
