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

/// What is to be settled, and how far it is looked for.
struct FurtherAim {
  double tolerance_rad = 0;
  bool strict = false;  ///< the verdict asked for wants the whole interval inside or outside
  bool brief = false;   ///< only the answer is wanted, not all that was looked at
  double chance = 0.8;  ///< with which it should be settled
  int most_cuts = 30;   ///< more cuts than these are not looked at
  double least_mm = check::kSmallestPanelMm;  ///< what must be left of a panel
};

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
  bool strict = false;
  bool settled = false;            ///< nothing more is needed
  bool at_tolerance = false;       ///< what was measured lies at what is allowed: no number of cuts will do
  bool used_up = false;            ///< the panel on the table bears no more cuts
  std::vector<FurtherStep> steps;  ///< on the panel on the table by minutes, then on fresh ones
  std::optional<std::size_t> cheapest, cheapest_provisional;  ///< as in Plan
};

/// Why nothing that was looked at settles a check.
enum class NoWay { at_tolerance, panel_too_small, not_likely };
/// Empty when something does, or nothing has to. Of an open or a provisional verdict.
std::optional<NoWay> no_way(const Further& further);
/// `at-tolerance`, …: as JSON has it.
const char* no_way_word(NoWay reason);
/// Index of the step that comes nearest to settling it without an assumption. \param further  with steps
std::size_t nearest(const Further& further);

/// A fresh panel is looked at when no cuts on the one on the table will do.
Further further_cuts(const check::Check& check, const check::Fit& fit,
                     std::span<const check::Evidence> evidence,
                     std::span<const check::ScatterEvidence> earlier, const check::FitOptions& options,
                     const FurtherAim& aim);

/// The median ± after two more cuts on the panel on the table; `chance` is not told. Empty where it does not
/// bear them.
std::optional<FurtherStep> two_more_cuts(const check::Check& check, const check::Fit& fit,
                                         std::span<const check::Evidence> evidence,
                                         std::span<const check::ScatterEvidence> earlier,
                                         const check::FitOptions& options,
                                         double least_mm = check::kSmallestPanelMm);

}  // namespace quarterturn::plan
