// SPDX-License-Identifier: MIT
/// \file result.hpp
/// What a survey tells a person, gathered: the table as a whole, single holes, what does not fit, setups, the
/// best pairs of holes, what to measure next, what moved since another survey.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "survey/adjust.hpp"
#include "survey/compare.hpp"
#include "survey/next.hpp"
#include "survey/pairs.hpp"
#include "survey/snooping.hpp"
#include "units/number.hpp"

namespace quarterturn::survey {

/// Where an observation was written, and what it is.
struct Origin {
  int line = 0;
  std::string check;  ///< `loft/3`: taken from the log
};

struct SetupAnswer {
  std::string name;
  Lines lines;
  int q = 0;        ///< eta = q eps
  Answer eps;       ///< with its dogs as they stand
  Answer by_holes;  ///< with dogs alike in each line
};

/// Unequal size of the two dogs of a line, second minus first [mm of radius].
struct DogAnswer {
  std::string first, second;
  Answer oversize;
};

struct Compared {
  std::string source, date;
  SurveyComparison comparison;
};

struct Result {
  std::string station, setup, date, source;  ///< setup: the one that pairs and the next are for; may be empty
  units::Unit unit = units::Unit::mm;
  std::shared_ptr<const Adjustment> adjustment;
  std::vector<Origin> origins;         ///< of the adjustment's observations
  int unmeasured = 0;                  ///< rows that wait for their value
  std::array<Answer, kEffects> whole;  ///< pitch x, pitch y, shear
  bool slanted = false;                ///< some length joins holes of different rows and columns
  std::vector<HoleResult> holes;
  Snooping snooping;
  std::vector<SetupAnswer> setups;
  std::vector<std::string> passed_over;  ///< setups of another angle than 90 degrees: nothing is told of them
  std::vector<DogAnswer> dogs;
  double tolerance_rad = 0, over_mm = 600;
  bool tolerance_given = false;
  int q = 1;  ///< of `setup`
  PairTable pairs;
  bool pairs_with_dogs = false;  ///< as the setup's dogs stand; else alike in each line
  bool pairs_asked = true;
  /// What the list is to narrow: eps of `setup`, or shear.
  bool next_for_setup = false;
  std::optional<double> next_before;  ///< its standard uncertainty now [rad]
  std::vector<Suggestion> next;
  std::optional<Compared> against;
  std::vector<std::string>
      barred;  ///< setups of the corners with a bar at the fence: its taper counts as holes
};

}  // namespace quarterturn::survey
