// SPDX-License-Identifier: MIT
/// \file budget_cells.hpp
/// The uncertainty budget in the cells of a table, for terminals and for pages.
#pragma once

#include <string>
#include <vector>

#include "check/budget.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// One source, in words.
struct BudgetCells {
  std::string source, u, type, dof, times, adds, share;
};
std::vector<BudgetCells> budget_cells(const check::Budget& budget, const correct::Outcome& outcome,
                                      units::Unit unit);
/// What the columns are.
std::string budget_head(const correct::Outcome& outcome, const TextOptions& options);
/// What the rows make together, and what is not among them.
std::string budget_notes(const check::Budget& budget, const correct::Outcome& outcome,
                         const TextOptions& options);

}  // namespace quarterturn::report
