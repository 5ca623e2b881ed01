// SPDX-License-Identifier: MIT
/// \file run_plan.hpp
/// `plan` as a function: what a test that nobody has made yet will tell. Prints and asks nothing; the log
/// comes in as earlier checks.
///
/// Maths    METHOD.md (M88)–(M90)
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/settle_check.hpp"
#include "logbook/logbook.hpp"
#include "plan/result.hpp"

namespace quarterturn::app {

struct PlanRequest {
  std::optional<station::Station> station;
  std::string setup;                          ///< empty: the only one
  std::optional<double> fence_baseline_mm;    ///< without a station
  std::optional<units::Tolerance> tolerance;  ///< wins over the setup's
  std::optional<check::PanelSize> panel;      ///< empty: 600 mm square, or what the table has room for
  std::optional<check::Caliper> caliper;      ///< empty: the station's only one, else the class `digital`
  int spots = 2, readings = 3;
  std::optional<double> apart_mm;
  std::optional<double> seating_mm;    ///< in place of what the log or common practice says
  std::optional<double> saw_marks_mm;  ///< in place of what the log says
  double share_within = 1.0 / 3, share_outside = 2, chance = 0.8;
  int most_cuts = kMostCuts;
  bool to_cheapest = false;  ///< nothing is computed beyond the cheapest that settles
  double confidence = 0.95;
  bool strict = false, use_assumed = true;
  units::Unit unit = units::Unit::mm;
  std::vector<check::ScatterEvidence> earlier;
};

/// \throws units::InputError when no design fits: panel too small, places farther apart than the panel
plan::Result run_plan(const PlanRequest& request);

/// What is told before the first cut of a check: its one strip, and the cheapest test that settles. Nothing
/// without a station and a tolerance, or when the panel is too small to plan for. \param request  with its
/// panel, and what the log knows; it needs no readings
std::optional<plan::Result> outlook_of(const CheckRequest& request);

/// Earlier checks of the setup as it stands, for PlanRequest::earlier; none when the log does not know the
/// station.
std::vector<check::ScatterEvidence> earlier_of(const logbook::Logbook& log, const station::Station& station,
                                               const std::string& setup, std::int64_t now_utc);

}  // namespace quarterturn::app
