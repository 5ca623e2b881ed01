// SPDX-License-Identifier: MIT
/// \file run_check.hpp
/// `check` and `correct` as one function: a request in, an Outcome out. Prints and asks nothing.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "check/check.hpp"
#include "check/simulation.hpp"
#include "correct/outcome.hpp"
#include "station/station.hpp"

namespace quarterturn::app {

/// A survey of the station that a check may name other holes by.
struct SurveyInUse {
  std::shared_ptr<const survey::Adjustment> adjustment;
  std::string station;              ///< its name
  std::vector<std::string> checks;  ///< ids of the log's checks among its observations
  std::vector<std::string> barred;  ///< setups whose bar counts as holes in it
  bool has_check = false;           ///< the check in hand is one of them
  bool between = false;             ///< shims, or a bar that it does not know
};

/// What is known of a table without a station, from options alone.
struct BareSetup {
  std::optional<double> rail_baseline_mm, fence_baseline_mm;
  std::optional<station::Side> keep, rail_on_face;
  std::optional<station::PanelSide> panel_side;
  std::vector<station::Shim> shims;
};

struct CheckRequest {
  check::Check check;  ///< readings; its tolerance and caliper win over the setup's
  std::optional<station::Station> station;
  std::string setup;                          ///< empty: the check's, else the only one
  BareSetup bare;                             ///< used when there is no station
  std::optional<units::Tolerance> tolerance;  ///< from the command line: wins over all
  double confidence = 0.95;
  bool strict = false, use_assumed = true;
  bool measured_now = false;          ///< typed as it was measured: no file that may be given once more
  std::optional<int> planned_strips;  ///< of a test that may stop when settled: the most that will be cut
  std::vector<check::ScatterEvidence> earlier;  ///< what the log knows of the setup's scatter
  std::optional<correct::LastCheck> last;       ///< the last check of the setup
  std::optional<correct::PendingMove> pending;  ///< a move since then
  std::optional<correct::NotedCause> noted;     ///< a cause since then
  correct::Believed believed;                   ///< what the log tells of eps; empty without one
  std::optional<correct::RailBow> rail;         ///< the newest rail test of the setup: its bow, name and date
  std::optional<correct::OtherTest> other;      ///< the newest test of another kind on the same stand
  std::optional<SurveyInUse> survey;
};

/// \throws units::InputError; check::NoInterval
correct::Outcome run_check(const CheckRequest& request);

/// The fit held against chance itself. \param outcome  of the same request
check::Simulation simulate_check(const CheckRequest& request, const correct::Outcome& outcome,
                                 const check::SimulationOptions& options);

/// What the strip that was measured last should read after a move. \param outcome  with a geometry
correct::Expected expected_after(const correct::Outcome& outcome, double moved_rad, double u_action_rad);

}  // namespace quarterturn::app
