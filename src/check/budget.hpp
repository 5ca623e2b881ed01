// SPDX-License-Identifier: MIT
/// \file budget.hpp
/// Where the ± of a check comes from: its uncertainty budget.
///
/// In       a Fit
/// Out      one row a source: standard uncertainty, type, degrees of freedom, sensitivity, what it adds; the
///          combined and the expanded uncertainty of the corner error eta as they were told
/// Maths    METHOD.md (M25)–(M28), (M84); [GUM] 4.2, 4.3, 5.1.2, G.4, 7.2.7
/// Assumes  the scatters act independently of each other. A zero error and a scale error of the caliper are
/// no
///          rows: what is measured is a difference of nearly equal widths, and they cancel (METHOD.md,
///          section 16)
/// Accuracy the rows' root sum of squares is the u of eta to 1e-12 where Satterthwaite's rule made the
///          interval; the wider ± of the other rules is told beside it (tests/check/budget_test.cpp)
#pragma once

#include <string_view>
#include <vector>

#include "check/fit.hpp"

namespace quarterturn::check {

/// How a standard uncertainty came about ([GUM] 2.3.2, 2.3.3): by repeated observations, otherwise, or both
/// pooled.
enum class Evaluation { a, b, both };
enum class BudgetSource { reading, rounding, saw_marks, seating, panels };

struct BudgetRow {
  BudgetSource source;
  /// Standard uncertainty [mm]; of `panels`, the scatter of one panel's corner [rad]. The estimate of each is
  /// 0.
  double u = 0;
  Evaluation type = Evaluation::a;
  double dof = kUnbounded;
  double sensitivity = 0;   ///< of eta [rad/mm]; of `panels` [1]
  double contribution = 0;  ///< |sensitivity| u [rad]
  double share = 0;         ///< of the sum of squares
  Source known_from = Source::readings;
};

struct Budget {
  std::vector<BudgetRow> rows;
  double root_sum = 0;             ///< root of the rows' squares [rad]
  double u = 0, dof = kUnbounded;  ///< combined, as the interval has it
  double confidence = 0.95, factor = 0, expanded = 0;
  bool seating_missing = false;  ///< nothing is known of seating: the budget is of measuring alone
  Rule rule = Rule::satterthwaite;
};

/// `A`, `B`, `A and B`
std::string_view type_word(Evaluation type);
/// `reading`, `rounding`, `saw-marks`, `seating`, `panel-to-panel`
std::string_view budget_word(BudgetSource source);

Budget budget_of(const Fit& fit);

}  // namespace quarterturn::check
