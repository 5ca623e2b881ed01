// SPDX-License-Identifier: MIT
/// \file run_plan.hpp
/// `plan` as functions: what a test that nobody has made yet will tell, and how many more cuts settle one
/// that was made. Print and ask nothing; the log comes in as earlier checks.
///
/// Maths    METHOD.md (M88)–(M91)
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/run_check.hpp"
#include "logbook/logbook.hpp"
#include "plan/result.hpp"

namespace quarterturn::app {

inline constexpr int kMostCuts = 30;  ///< looked at unless asked otherwise

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
  double confidence = 0.95;
  bool use_assumed = true;
  units::Unit unit = units::Unit::mm;
  std::vector<check::ScatterEvidence> earlier;
};

/// \throws units::InputError when no design fits: panel too small, places farther apart than the panel
plan::Result run_plan(const PlanRequest& request);

/// Earlier checks of the setup as it stands, for PlanRequest::earlier; none when the log does not know the
/// station.
std::vector<check::ScatterEvidence> earlier_of(const logbook::Logbook& log, const station::Station& station,
                                               const std::string& setup, std::int64_t now_utc);

/// How many more cuts settle the verdict of a check. \param outcome  of that request, with a verdict
/// \throws units::InputError when no tolerance was stated
plan::Settling settle_check(const CheckRequest& request, const correct::Outcome& outcome, double chance = 0.8,
                            int most_cuts = kMostCuts);

}  // namespace quarterturn::app
