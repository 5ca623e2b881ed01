// SPDX-License-Identifier: MIT
/// \file plan.hpp
/// Designs compared: what each costs and tells, the cheapest that settles a verdict, what each cannot see.
///
/// In       the bench, what is allowed [rad], the errors and the probability planned for
/// Out      one row a design, by minutes
/// Maths    METHOD.md (M88)–(M90)
/// Assumes  see outlook.hpp
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/outlook.hpp"

namespace quarterturn::plan {

/// What is to be settled. The errors are shares of the tolerance.
struct Aim {
  double tolerance_rad = 0;
  double share_within = 1.0 / 3;  ///< an error so small should be found *within*
  double share_outside = 2;       ///< and one so large *outside*
  double chance = 0.8;
  bool strict = false;  ///< both verdicts of the whole interval
};

struct Row {
  Design design;
  int minutes = 0;
  double side_after_mm = 0;  ///< of the panel, shorter side
  double mean_half_width = 0;
  double half_width = 0;                           ///< median [rad]
  double half_width_low = 0, half_width_high = 0;  ///< in 8 of 10 tests it lies between
  bool provisional = false;                        ///< rests on assumed seating
  std::optional<std::string> unknown;              ///< no ± at all, with its reason
  std::optional<double> within, outside;           ///< probabilities; with an aim
  bool settles = false;                            ///< both reach the chance
  std::vector<std::string> unseen;                 ///< codes of what it cannot see
};

struct Plan {
  std::vector<Row> rows;                            ///< by minutes, then cuts
  std::optional<std::size_t> cheapest;              ///< of those that settle without an assumption
  std::optional<std::size_t> cheapest_provisional;  ///< cheaper than that, but rests on assumed seating
  int most_cuts_on_panel = 0;                       ///< before it gets too small
};

/// Beside the findings' own codes: one strip cannot show that its two ends were swapped.
inline constexpr const char* kEndsUnseen = "ends-unseen";

/// The cuts a panel bears before its shorter side falls below `least_mm`.
int most_cuts_on(const check::PanelSize& panel, double least_mm);

/// The designs that are compared: none beyond `most_cuts` cuts in all, or `most_on_panel` on one.
std::vector<Design> designs(int most_cuts, int most_on_panel);

/// \param aim       empty: only the ± is told
/// \param least_mm  what must be left of a panel
/// \param to_cheapest  no design is computed beyond the cheapest that settles
Plan plan_of(const Bench& bench, const std::optional<Aim>& aim, int most_cuts, double least_mm,
             bool to_cheapest = false);

}  // namespace quarterturn::plan
