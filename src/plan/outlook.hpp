// SPDX-License-Identifier: MIT
/// \file outlook.hpp
/// What a test that nobody has made yet will tell: the ± it will print, and how likely it settles a verdict.
///
/// In       a design (panels, cuts), the bench it is made on, the sizes of reading, saw marks and seating
/// [mm] Out      half-widths [rad]; probability of *within* and *outside* for any true corner error Maths
/// METHOD.md (M88), (M89): a few hundred draws of what the fit sees, fitted by the program's own
///          rules; over the corner error itself the mean is exact
/// Assumes  the sizes planned for are the true ones
/// Accuracy against the readings of simulated tests: median ± to 5 %, probabilities to 0.03; against the
///          noncentral t to 0.01 (tests/plan/outlook_test.cpp)
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "check/fit.hpp"
#include "check/test_cost.hpp"
#include "check/verdict.hpp"

namespace quarterturn::plan {

/// What is cut: some panels alike, so many cuts on each; five on one panel are a five-cut.
struct Design {
  int panels = 1, cuts = 5;
  [[nodiscard]] int strips() const { return panels * (cuts - 4); }
  [[nodiscard]] int all_cuts() const { return panels * cuts; }
  [[nodiscard]] int minutes() const {
    return panels * (check::kMinutesFiveCut + check::minutes_of_more_cuts(cuts - 5));
  }
  friend bool operator==(const Design&, const Design&) = default;
};

/// Standard deviations that are planned for [mm]; seating at each of two contacts.
struct Sizes {
  double reading_mm = 0, saw_marks_mm = 0, seating_mm = 0;
};

/// What all designs have in common.
struct Bench {
  check::PanelSize panel{600, 600, {}};
  int spots = 2, readings = 3;     ///< places a strip; readings a place
  std::optional<double> apart_mm;  ///< of the outer places; empty: both 20 mm from the ends of each strip
  std::optional<check::Caliper> caliper;
  Sizes sizes;
  std::vector<check::Evidence> evidence;        ///< as the check itself will have it
  std::vector<check::ScatterEvidence> earlier;  ///< likewise
  check::FitOptions options;
};

/// A check of that design with all its places and readings, as a perfect table would give it.
check::Check shape_of(const Bench& bench, const Design& design);

class Outlook {
 public:
  Outlook(const Bench& bench, const Design& design);

  /// Of the ± that will be printed, the share `p` lies below; 0.5 is the median. [rad]
  [[nodiscard]] double half_width(double p = 0.5) const;
  [[nodiscard]] double mean_half_width() const;
  /// How likely that verdict is when the corner error is `eta_rad`. \param strict  of the whole interval
  [[nodiscard]] double probability(check::Answer answer, double eta_rad, double tolerance_rad,
                                   bool strict = false) const;
  [[nodiscard]] bool provisional() const { return provisional_; }
  [[nodiscard]] check::Rule rule() const { return rule_; }
  /// Why there will be no ±; empty when there will be one.
  [[nodiscard]] const std::optional<std::string>& unknown() const { return unknown_; }

 private:
  struct Draw {
    double shift, half_width;  ///< shift: of the printed estimate against the best one, by these variances
    std::function<double(double, double)> probability_within;
  };
  void draw(const Bench& bench, const Design& design);

  std::vector<Draw> draws_;
  std::vector<double> half_widths_;  ///< sorted
  double sd_ = 0;                    ///< of the best estimate, by the true variances [rad]
  bool provisional_ = false;
  check::Rule rule_ = check::Rule::satterthwaite;
  std::optional<std::string> unknown_;
};

}  // namespace quarterturn::plan
