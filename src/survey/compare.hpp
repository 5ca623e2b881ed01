// SPDX-License-Identifier: MIT
/// \file compare.hpp
/// Two surveys of one table: has anything moved, and which holes.
///
/// In       a station, the observations of the first and of the second survey
/// Out      the congruency test, and the holes that moved, one after the other
/// Maths    METHOD.md (M114); [PELZER]: the quadratic form of the differences is the weighted squares that
///          common holes cost; sparse QR, so that any datum and any lack of observations give the same
/// Assumes  sigma of each observation given (chi-square), or right up to a common factor (F); a dog keeps its
///          size within one survey, not from one to the next; displacements small (first order)
/// Range    two solves a hole
/// Accuracy against the difference of two pseudo-inverse adjustments (tests/survey/compare_test.cpp)
#pragma once

#include <optional>
#include <vector>

#include "survey/design.hpp"

namespace quarterturn::survey {

struct MovedHole {
  Hole hole;
  Vec by;  ///< second minus first [mm]; only along the directions that both surveys see
  double statistic = 0;
  int dof = 0;   ///< directions seen
  double p = 1;  ///< by Holm's steps, at most 1
};

struct SurveyComparison {
  double statistic = 0;        ///< weighted squares that common holes cost
  int dof = 0;                 ///< 0: the surveys have nothing in common to compare
  double p = 1;                ///< chi-square, sigma as given
  double p_f = 1;              ///< F, sigma up to a factor; 1 where nothing is left to estimate it from
  double variance_factor = 1;  ///< of both surveys on their own
  int factor_dof = 0;
  bool moved = false;
  std::vector<MovedHole> holes;  ///< that moved, the plainest first
  /// Holes that could move without either survey telling it from other holes or at all.
  std::vector<Hole> unseen;
};

/// \throws units::InputError from validate(), or when a survey is empty
SurveyComparison compare_surveys(const station::Station& station, const std::vector<Observation>& first,
                                 const std::vector<Observation>& second, double alpha = 0.05);

}  // namespace quarterturn::survey
