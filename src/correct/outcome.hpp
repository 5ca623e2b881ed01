// SPDX-License-Identifier: MIT
/// \file outcome.hpp
/// Everything one check gives: what app/ computes and report/ shows.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "check/bow_effects.hpp"
#include "check/cross_check.hpp"
#include "check/fit.hpp"
#include "check/stopping.hpp"
#include "check/verdict.hpp"
#include "correct/correct.hpp"
#include "station/geometry.hpp"
#include "station/station.hpp"

namespace quarterturn::correct {

/// A move that no check has answered for yet.
struct PendingMove {
  Expected expected;
  double apart_mm = 0;  ///< of the strip or joint that the expectation is about
  bool gaps = false;    ///< it was a joint, of that form
  check::Form form = check::Form::none;
  /// A joint of halves holds its board's own taper besides (M96): nothing foretells it.
  [[nodiscard]] bool like(const check::Check& check) const {
    return check.gaps() == gaps && check.form == form && form != check::Form::halves;
  }
};

/// A cause that was noted after the last check: this one proves it, or not.
struct NotedCause {
  std::string words, date, check;     ///< check: `dock/5`, the last one
  double was_rad = 0, was_u_rad = 0;  ///< its eta, with u as decisions take it
};

/// The bow of the rail in use by a rail test, and what it does in this setup.
struct RailBow {
  check::Bow rail;                           ///< of the edge that guides the saw
  std::string name, date;                    ///< the check that told it, `dock/4`; empty: this one
  std::optional<check::BowPlace> place;      ///< empty where it is not known how it lies
  std::optional<check::BowEffects> effects;  ///< with a place
};

/// The newest test of another kind on the same stand: a turn-over for strips, strips for a turn-over.
struct OtherTest {
  std::string name, date, test;
  check::CornerFound found;               ///< of strips eta + b, of a turn-over eta
  std::optional<check::Bow> curvature;    ///< of a pair's joint
  double joint_length_mm = 0;             ///< of a turn-over's cut; 0: not known
  std::optional<check::PanelSize> panel;  ///< of strips: before the first cut; empty: not known
  int last_cut = 5;                       ///< of strips
};
struct HeldAgainst {
  OtherTest other;
  check::CrossCheck cross;
};

struct Outcome {
  check::Check check;
  std::optional<station::Station> station;    ///< empty from options alone
  std::string setup_name;                     ///< empty from options alone
  std::optional<station::Geometry> geometry;  ///< empty when nothing is known of sides and dogs
  check::Fit fit;
  std::optional<check::Estimate> eps;  ///< squareness error, when q is known
  /// Standard uncertainty of eps that decisions use: its half-width over the normal quantile, so that a
  /// variance known on one or two degrees of freedom does not pass for certainty (M41). [rad]
  double acting_u_rad = 0;
  std::optional<units::Tolerance> tolerance;
  std::optional<check::Verdict> verdict;  ///< with a tolerance
  std::optional<check::LookTaken> look;   ///< of a test that may stop when settled; eta has its interval
  std::optional<PendingMove> pending;     ///< a move this check answers for
  std::optional<NotedCause> noted;        ///< that this check answers for
  bool settle_first = false;              ///< a finding asks to be cleared up before anything else
  std::optional<Advice> advice;           ///< with a tolerance, q and at least one baseline
  std::vector<std::optional<Expected>> expected;  ///< one for each advice move
  std::vector<check::Finding> setup_findings;     ///< short-fence, panel-too-long, panel-leaves-outer-dog
  std::optional<RailBow> bow;       ///< of a rail test its own result; else what the log knows of the rail
  bool rail_bowed = false;          ///< so far that no dog should be moved before the rail is seen to
  std::optional<HeldAgainst> held;  ///< against a test of another kind
  double panel_mm = 600;            ///< the length over which mm are quoted to the person
};

}  // namespace quarterturn::correct
