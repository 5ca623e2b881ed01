// SPDX-License-Identifier: MIT
#include "check/verdict.hpp"

#include <cmath>

#include "stats/distributions.hpp"

namespace quarterturn::check {

const char* answer_word(Answer answer) {
  switch (answer) {
    case Answer::within:
      return "within";
    case Answer::outside:
      return "outside";
    case Answer::cannot_tell:
      break;
  }
  return "cannot-tell";
}

std::optional<Answer> answer_of(std::string_view word) {
  for (const auto answer : {Answer::within, Answer::outside, Answer::cannot_tell}) {
    if (word == answer_word(answer)) return answer;
  }
  return std::nullopt;
}

namespace {

Answer answer_of(double probability) {
  if (probability >= kConforms) return Answer::within;
  return probability <= 1 - kConforms ? Answer::outside : Answer::cannot_tell;
}

Answer strict_answer(double x, double half_width, double tolerance) {
  if (std::fabs(x) + half_width <= tolerance) return Answer::within;
  return std::fabs(x) - half_width > tolerance ? Answer::outside : Answer::cannot_tell;
}

}  // namespace

// (M37)
double probability_inside(double x, double u, double dof, double tolerance) {
  if (u <= 0) return std::fabs(x) <= tolerance ? 1.0 : 0.0;
  return stats::t_probability((tolerance - x) / u, dof) - stats::t_probability((-tolerance - x) / u, dof);
}

// (M39)
Answer setup_answer(const Fit& fit, double tolerance_rad, bool strict) {
  if (fit.eta.unknown) return Answer::cannot_tell;
  return strict ? strict_answer(fit.eta.x, fit.eta.half_width, tolerance_rad)
                : answer_of(fit.probability_within(tolerance_rad));
}

// (M39)
Verdict verdict_of(const Fit& fit, double tolerance_rad, bool strict) {
  Verdict v;
  v.tolerance_rad = tolerance_rad;
  v.provisional = fit.provisional;
  v.seating_too_wide = fit.seating_rad > tolerance_rad / 2;
  v.setup_probability = fit.probability_within(tolerance_rad);
  v.setup = setup_answer(fit, tolerance_rad, strict);
  if (fit.eta.unknown) return v;
  if (fit.next_panel) {
    v.next_panel_probability =
        probability_inside(fit.eta.x, fit.next_panel->u, fit.next_panel->dof, tolerance_rad);
    const double half =
        stats::t_quantile(0.5 * (1 + fit.eta.confidence), fit.next_panel->dof) * fit.next_panel->u;
    v.next_panel =
        strict ? strict_answer(fit.eta.x, half, tolerance_rad) : answer_of(*v.next_panel_probability);
  }
  return v;
}

}  // namespace quarterturn::check
