// SPDX-License-Identifier: MIT
#include "check/budget.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "stats/uncertainty_budget.hpp"

namespace quarterturn::check {
namespace {

void add_scatter(Budget& budget, const Fit& fit, BudgetSource source, Component component) {
  const auto k = static_cast<std::size_t>(component);
  const Scatter& scatter = fit.scatter[k];
  if (scatter.source == Source::unknown) return;
  BudgetRow row{source};
  row.u = scatter.estimate_mm;
  const bool observed = scatter.source == Source::readings || scatter.source == Source::log;
  row.type = !observed ? Evaluation::b : scatter.pooled ? Evaluation::both : Evaluation::a;
  row.dof = scatter.dof;
  row.sensitivity = std::sqrt(fit.parts.per_mm2[k]);
  row.known_from = scatter.source;
  budget.rows.push_back(row);
}

/// Known rounding of each spot mean, where it is in force (M16).
void add_rounding(Budget& budget, const Fit& fit) {
  constexpr double kNothing = 1e-9;  // of the variance: what subtracting leaves behind
  if (fit.parts.rounding <= kNothing * fit.eta.u * fit.eta.u || fit.resolution_mm <= 0) return;
  BudgetRow row{BudgetSource::rounding};
  row.u = fit.resolution_mm / std::sqrt(12.0);
  row.type = Evaluation::b;
  row.sensitivity = std::sqrt(fit.parts.rounding) / row.u;
  row.known_from = Source::caliper;
  budget.rows.push_back(row);
}

/// (M27) Panels tell their scatter as a whole; what makes it up is not told apart.
void add_panels(Budget& budget, const Fit& fit) {
  BudgetRow row{BudgetSource::panels};
  row.sensitivity = 1 / std::sqrt(static_cast<double>(fit.tapers.size()));
  row.u = fit.eta.u / row.sensitivity;
  row.dof = fit.eta.dof;
  budget.rows.push_back(row);
}

bool measuring_decides(const Fit& fit) {
  return fit.eta.half_width <= fit.measuring_half_width * (1 + 1e-12);
}

}  // namespace

std::string_view type_word(Evaluation type) {
  switch (type) {
    case Evaluation::a:
      return "A";
    case Evaluation::b:
      return "B";
    case Evaluation::both:
      break;
  }
  return "A and B";
}

std::string_view budget_word(BudgetSource source) {
  switch (source) {
    case BudgetSource::reading:
      return "reading";
    case BudgetSource::rounding:
      return "rounding";
    case BudgetSource::saw_marks:
      return "saw-marks";
    case BudgetSource::seating:
      return "seating";
    case BudgetSource::panels:
      break;
  }
  return "panel-to-panel";
}

Budget budget_of(const Fit& fit) {
  Budget budget;
  budget.rule = fit.rule;
  budget.u = fit.eta.u;
  budget.dof = fit.eta.dof;
  budget.confidence = fit.eta.confidence;
  budget.expanded = fit.eta.half_width;
  budget.factor = fit.eta.u > 0 ? fit.eta.half_width / fit.eta.u : 0;
  budget.seating_missing = fit.eta.unknown.has_value();
  if (fit.rule == Rule::panels && !measuring_decides(fit)) {
    add_panels(budget, fit);
  } else {
    add_scatter(budget, fit, BudgetSource::reading, Component::reading);
    add_rounding(budget, fit);
    add_scatter(budget, fit, BudgetSource::saw_marks, Component::saw_marks);
    const bool measuring_alone = budget.seating_missing || fit.rule == Rule::panels;
    if (!measuring_alone) add_scatter(budget, fit, BudgetSource::seating, Component::seating);
  }
  std::vector<stats::BudgetRow> rows;
  for (const auto& row : budget.rows) {
    const auto type = row.type == Evaluation::b ? stats::Evaluation::b : stats::Evaluation::a;
    rows.push_back(
        {std::string(budget_word(row.source)), 0, row.u, type, std::max(1.0, row.dof), row.sensitivity});
  }
  const stats::Budget together = stats::combine(rows);
  budget.root_sum = together.u;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    budget.rows[i].contribution = std::fabs(together.contribution[i]);
    budget.rows[i].share = together.share[i];
  }
  return budget;
}

}  // namespace quarterturn::check
