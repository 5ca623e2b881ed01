// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "check/budget.hpp"
#include "report/amounts.hpp"
#include "report/budget_cells.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr int kTableWidth = 78;

const char* source_words(check::BudgetSource source, bool gaps) {
  switch (source) {
    case check::BudgetSource::reading:
      return "one reading";
    case check::BudgetSource::rounding:
      return "rounding";
    case check::BudgetSource::saw_marks:
      return gaps ? "edges, a place" : "saw marks";
    case check::BudgetSource::seating:
      return "seating, a cut";
    case check::BudgetSource::panels:
      break;
  }
  return gaps ? "joint to joint" : "panel to panel";
}

std::string small_text(double mm, units::Unit unit) {
  const double least_mm = unit == units::Unit::mm ? 1e-3 : 1e-4 * units::kMmPerInch;
  return mm < least_mm / 2 ? "under " + length_text(least_mm, unit, 3) : length_text(mm, unit, 3);
}

std::string dof_text(double dof) {
  if (!std::isfinite(dof)) return "inf";
  return dof < 10 ? fixed(dof, 1) : fixed(dof, 0);
}

BudgetCells cells_of(const check::BudgetRow& row, const correct::Outcome& outcome, units::Unit unit) {
  const bool panels = row.source == check::BudgetSource::panels;
  return {source_words(row.source, outcome.check.gaps()),
          row.u > 0 ? small_text(panels ? over_panel(outcome, row.u) : row.u, unit) : "hidden",
          std::string(check::type_word(row.type)),
          row.u > 0 ? dof_text(row.dof) : "-",
          fixed(panels ? row.sensitivity : over_panel(outcome, row.sensitivity), 2),
          row.contribution > 0 ? small_text(over_panel(outcome, row.contribution), unit) : "0",
          row.contribution > 0 ? percent_text(row.share) : "0"};
}

std::string rows_text(const check::Budget& budget, const correct::Outcome& outcome,
                      const TextOptions& options) {
  const bool table = options.width >= kTableWidth && !options.plain;
  std::string text;
  if (table) {
    text += fmt::format("  {:<14} {:<14} {:<7} {:<6} {:<5} {:<14} {}\n", "", "u", "type", "df", "times",
                        "adds", "share");
  }
  for (const auto& c : budget_cells(budget, outcome, options.unit)) {
    text += table ? fmt::format("  {:<14} {:<14} {:<7} {:<6} {:<5} {:<14} {}\n", c.source, c.u, c.type, c.dof,
                                c.times, c.adds, c.share)
                  : fmt::format("- {}: u {}, type {}, degrees of freedom {}, times {}: adds {}, share {}.\n",
                                c.source, c.u, c.type, c.dof, c.times, c.adds, c.share);
  }
  return text;
}

}  // namespace

std::vector<BudgetCells> budget_cells(const check::Budget& budget, const correct::Outcome& outcome,
                                      units::Unit unit) {
  std::vector<BudgetCells> cells;
  for (const auto& row : budget.rows) cells.push_back(cells_of(row, outcome, unit));
  return cells;
}

std::string budget_head(const correct::Outcome& outcome, const TextOptions& options) {
  return fmt::format(
      "Where the ± comes from (uncertainty budget as in JCGM 100; u: one standard uncertainty, times: how "
      "much of it shows {}, adds: both together, share: of the sum of squares)",
      over_words(outcome, options));
}

std::string budget_notes(const check::Budget& budget, const correct::Outcome& outcome,
                         const TextOptions& options) {
  const auto over = [&](double rad) { return over_panel(outcome, rad); };
  std::string text;
  if (budget.seating_missing)
    text += "Seating is not among them: nothing tells its size, and this ± is of measuring alone.\n";
  if (budget.rule == check::Rule::panels) {
    text += outcome.check.gaps()
                ? "Each joint stands for itself: what readings, edges and seating do to it is in the scatter "
                  "from joint to joint. Of that and of measuring alone the wider is taken.\n"
                : "Each panel stands for itself: what readings, saw marks and seating do to it is in its "
                  "scatter from "
                  "panel to panel. Of that and of measuring alone the wider is taken.\n";
  }
  const bool widened = budget.rule == check::Rule::few_df;
  if (widened) {
    text += fmt::format(
        "The rows make {}. Some rest on so few degrees of freedom that the ± is widened: it is taken from "
        "the distribution of the sum itself.\n",
        small_text(over(budget.root_sum), options.unit));
  }
  text += fmt::format("Together: u = {}, {} degrees of freedom; times {} it is {} {} ({} % confidence).\n",
                      small_text(over(budget.u), options.unit), dof_text(budget.dof), fixed(budget.factor, 2),
                      half_width_text(over(budget.expanded), options.unit), over_words(outcome, options),
                      fixed(100 * budget.confidence, budget.confidence > 0.99 ? 1 : 0));
  if (std::ranges::any_of(budget.rows, [](const check::BudgetRow& row) { return row.u == 0; })) {
    text +=
        "Hidden: it does not show above the readings. That is known on few degrees of freedom, which count "
        "in "
        "those of the whole; fewer than 1 are never counted.\n";
  }
  text += outcome.check.gaps()
              ? "What every leaf of the feeler is too thick or too thin cancels: only the difference between "
                "the ends counts. "
              : "A zero error or an even scale error of the caliper cancels: only the difference of nearly "
                "equal widths counts. ";
  text +=
      "What is the same in every cut, as chips that always lie on one side, is no scatter: it is part of "
      "the result.\n";
  return text;
}

std::string budget_text(const correct::Outcome& outcome, const TextOptions& options) {
  const check::Budget budget = check::budget_of(outcome.fit);
  return finished(budget_head(outcome, options) + "\n" + rows_text(budget, outcome, options) +
                      budget_notes(budget, outcome, options),
                  options);
}

}  // namespace quarterturn::report
