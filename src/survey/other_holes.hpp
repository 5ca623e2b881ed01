// SPDX-License-Identifier: MIT
/// \file other_holes.hpp
/// What the same dogs would do in other holes: a survey's word on the difference, a check's on where it
/// begins.
///
/// In       an adjustment; the lines in use; what a check tells of them; which pairs could be used
/// Out      the best other holes of the rail, of the fence, of both, each with what it leaves
/// Maths    METHOD.md (M116): eps now and eps then, jointly normal by the survey, given the check
/// Assumes  the same dogs, each put in pointing as it did; shims stay where they are
/// Range    as rank_pairs: every pair of lines is looked at
/// Accuracy intervals of what remains, on simulated tables (tests/survey/other_holes_test.cpp)
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "survey/pairs.hpp"

namespace quarterturn::survey {

/// How the check and the survey go together.
enum class Opinions {
  both,            ///< two of one thing: each counts by its uncertainty
  survey_has_it,   ///< the check is among the observations: it has counted already
  difference_only  ///< something besides holes and dogs acts in the check: only new minus old is the survey's
};

struct PresentPair {
  Lines lines;
  double eps = 0, u = 0;  ///< by the check [rad]
  /// May be found to be `difference_only` when the two contradict each other.
  Opinions opinions = Opinions::both;
};

/// Normal knowledge of eps now and then.
struct NowAndThen {
  double now = 0, then = 0, v_now = 0, v_then = 0, covariance = 0;
  /// P(|then| < |now|) and P(|then| <= t).
  [[nodiscard]] double improves() const;
  [[nodiscard]] double within(double t) const;
};

struct OtherHoles {
  Lines lines;
  bool rail = false, fence = false;  ///< which line gets other holes
  double change = 0, change_u = 0;   ///< eps then minus now, by the survey alone [rad]
  NowAndThen known;                  ///< with the check
  std::vector<Hole> unseen;          ///< holes no observation touches
};

struct OtherHolesFound {
  std::vector<OtherHoles> best;  ///< of rail, of fence, of both: what leaves least of each, best first
  Opinions opinions = Opinions::both;
  /// eps of the lines in use by the survey alone; empty: it does not tell.
  std::optional<double> foretold, foretold_u;
  bool dogs_as_stated = false;  ///< the survey does not part dogs from holes: stated diameters were believed
};

/// \param options  columns, rows, usable, tolerance; dogs and sides are those of the lines
OtherHolesFound other_holes(const Adjustment& adjustment, const PresentPair& present, PairOptions options);

/// Whether a check of those lines that found `eps` is among the observations, by its value.
bool has_check(const std::vector<Observation>& observations, const Lines& lines, double eps);

}  // namespace quarterturn::survey
