// SPDX-License-Identifier: MIT
/// \file further.hpp
/// How many more cuts settle the verdict of a check that was made.
///
/// In       the check with its fit, what informed it, what is allowed [rad]
/// Out      what so many more cuts on the panel on the table, or on a fresh one, would settle
/// Maths    METHOD.md (M91)
/// Assumes  the corner error is what was measured, and scatter is what the check found (a seating that was
///          fitted as nothing counts as one standard error, as for the next panel)
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "check/fit.hpp"
#include "check/reference_lengths.hpp"
#include "check/verdict.hpp"

namespace quarterturn::plan {

struct FurtherStep {
  int cuts = 0;  ///< more cuts on the panel on the table; on each fresh one when there are any
  int fresh_panels = 0;
  int minutes = 0;
  std::optional<double> side_after_mm;  ///< empty when the panel's size was not stated
  double chance = 0;      ///< that the verdict is then settled, on the side of what was measured
  double half_width = 0;  ///< median [rad]
  bool provisional = false;
};

struct Further {
  check::Answer now = check::Answer::cannot_tell;
  bool provisional_now = false;
  double eta_rad = 0, tolerance_rad = 0, wanted = 0.8;
  bool settled = false;            ///< nothing more is needed
  bool at_tolerance = false;       ///< what was measured lies at what is allowed: no number of cuts will do
  bool used_up = false;            ///< the panel on the table bears no more cuts
  std::vector<FurtherStep> steps;  ///< by minutes
  std::optional<std::size_t> cheapest, cheapest_provisional;  ///< as in Plan
};

/// \param most_cuts  more cuts than these are not looked at
/// \param least_mm   what must be left of a panel
Further further_cuts(const check::Check& check, const check::Fit& fit,
                     std::span<const check::Evidence> evidence,
                     std::span<const check::ScatterEvidence> earlier, const check::FitOptions& options,
                     double tolerance_rad, double wanted = 0.8, int most_cuts = 30,
                     double least_mm = check::kSmallestPanelMm);

}  // namespace quarterturn::plan
