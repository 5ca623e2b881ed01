// SPDX-License-Identifier: MIT
/// \file normal_score.hpp
/// Inside stats/: what a chart of scores is made of.
#pragma once

namespace quarterturn::stats {

/// (M61), (M120) Standard normal deviate with the same tail probability as t on dof.
double normal_score(double t, double dof);

}  // namespace quarterturn::stats
