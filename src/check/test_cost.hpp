// SPDX-License-Identifier: MIT
/// \file test_cost.hpp
/// What a test costs: minutes, and how much of a panel it takes.
///
/// Maths    METHOD.md (M5)
#pragma once

#include <algorithm>

#include "check/check.hpp"
#include "check/reference_lengths.hpp"

namespace quarterturn::check {

inline constexpr int kMinutesFiveCut = 15;  ///< cuts and measuring; common practice, no source
inline constexpr int kMinutesTwoCuts = 5;   ///< of one or two more cuts on it; common practice, no source
inline constexpr double kFromEndMm = 20.0;  ///< the outer places of a strip, clear of where the saw tears

/// One or two more cuts on a panel cost the same: it is put up and the strips are measured once.
inline int minutes_of_more_cuts(int cuts) {
  return (cuts + 1) / 2 * kMinutesTwoCuts;
}

/// What is left of the shorter side, which is taken to lose most: cuts 1, 3, 5 … shorten one side, 2, 4 … the
/// other.
inline double shorter_side_after(const PanelSize& panel, int cuts, double strip_mm = kStripMm) {
  const int off = (cuts + 1) / 2;
  return std::min(panel.width_mm, panel.depth_mm) - off * (strip_mm + kKerfMm);
}

}  // namespace quarterturn::check
