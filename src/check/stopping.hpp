// SPDX-License-Identifier: MIT
/// \file stopping.hpp
/// Looking after every strip of a check, honestly: the looks are planned, and each reads *within* or
/// *outside* from an interval wide enough for all of them together.
///
/// In       the most strips K that will be cut; what is known beforehand of reading, saw marks and seating
/// Out      information of eta after each strip [1/rad^2]; looks with their levels; intervals [rad]; answers
/// Maths    METHOD.md (M92), (M93), (M13), (M14); [JENNTURN]
/// Assumes  K is fixed before the first look and never raised; a look may be left out
/// Range    progressive strips (1,5), (2,6), … of one panel, or strips (1,5) of a panel each; up to 100
/// Accuracy information 1e-10 against the dense formula; coverage of all looks together in
///          tests/check/stopping_test.cpp: variances from few strips make it somewhat less than planned
#pragma once

#include <cstddef>
#include <vector>

#include "check/fit.hpp"
#include "check/verdict.hpp"

namespace quarterturn::check {

inline constexpr int kFirstLookAlone = 3;    ///< strips; two tell next to nothing of their own scatter
inline constexpr int kFirstLookWithLog = 1;  ///< seating is known from earlier checks

struct StoppingPlan {
  int strips = 8;           ///< K, the most that will be cut
  bool own_panels = false;  ///< each strip a five-cut test on a panel of its own, not progressive
  bool log = false;         ///< earlier checks tell how panels seat
  std::vector<double> positions_mm = {0, 500};
  int readings = 3;        ///< at each position
  double sigma_m_mm = 0;   ///< of a reading, its rounding included
  double sigma_f_mm = 0;   ///< of saw marks
  double sigma_r_rad = 0;  ///< of seating
  double span_mm = kDefaultSpanMm;
};

/// (M93) I_j = t' V_j^-1 t after j = 1 … K strips [1/rad^2], at the planned variances.
/// \throws std::domain_error when a part of the plan is out of range, or no reading scatters
std::vector<double> planned_information(const StoppingPlan& plan);

struct Look {
  int strips = 0;         ///< after which it is taken
  double share = 0;       ///< of the information after K strips
  double level = 0;       ///< p_j: what its interval leaves outside, both sides together
  double confidence = 0;  ///< of all looks together
};

/// The looks of a plan, the last after K strips. Only ratios of the variances matter.
/// \throws std::domain_error also when K strips come before the first look
/// Example: planned_looks({.strips = 3, .sigma_m_mm = 0.01}) has one look, at level 0.05.
std::vector<Look> planned_looks(const StoppingPlan& plan, double confidence = 0.95);

/// One look of a plan, as it was taken.
struct LookTaken {
  Look look;
  int planned = 0;         ///< strips, the most
  int first = 0;           ///< strips of the first look
  bool too_early = false;  ///< before it: nothing is read
  Answer answer = Answer::cannot_tell;
  /// Whether the plan has a further strip that is still wanted. \param strips  measured so far
  [[nodiscard]] bool goes_on(std::size_t strips) const {
    return answer == Answer::cannot_tell && static_cast<int>(strips) < planned;
  }
};

/// (M93) eta ± t(1 - p_j/2; dof) u of the fit of the strips so far; infinite where p_j is below 1e-100. What
/// cannot be told stays so.
Estimate repeated_interval(const Fit& fit, const Look& look);

/// Whole interval within the tolerance, wholly outside it, or neither yet.
Answer answer_at_look(const Estimate& interval, double tolerance_rad);

}  // namespace quarterturn::check
