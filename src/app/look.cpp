// SPDX-License-Identifier: MIT
#include "app/look.hpp"

#include <algorithm>
#include <cmath>

#include "app/bare_geometry.hpp"
#include "app/fit_inputs.hpp"
#include "plan/sizes.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

using units::InputError;

[[noreturn]] void refuse(int planned, const std::string& must, const std::string& hint) {
  throw InputError("--most-strips", std::to_string(planned), must, {}, hint);
}

void hold_to(int planned, int first) {
  if (planned < first)
    refuse(planned, "at least " + std::to_string(first), "that many strips come before the first look");
}

int first_look(bool log) {
  return log ? check::kFirstLookWithLog : check::kFirstLookAlone;
}

bool tells_of_seating(const plan::LogSizes& known) {
  return known.seating_mm && known.seating_dof > 0;
}

bool one_after_another(const check::Check& check) {
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    const auto& strip = check.strips[j];
    if (strip.panel != check.strips.front().panel || strip.from_cut != static_cast<int>(j) + 1) return false;
  }
  return true;
}

bool a_panel_each(const check::Check& check) {
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    for (std::size_t k = 0; k < j; ++k) {
      if (check.strips[k].panel == check.strips[j].panel) return false;
    }
  }
  return true;
}

check::StoppingPlan plan_of(const CheckRequest& request, const correct::Outcome& outcome) {
  const auto& check = outcome.check;
  const auto options = fit_options_of(outcome.geometry, request.confidence, request.use_assumed);
  const auto known = plan::sizes_of_log(request.earlier, evidence_of(check.caliper), options);
  check::StoppingPlan plan;
  plan.strips = *request.planned_strips;
  plan.own_panels = check.strips.size() > 1 && a_panel_each(check);
  plan.log = tells_of_seating(known);
  plan.positions_mm.clear();
  for (const auto& spot : check.strips.front().spots) plan.positions_mm.push_back(spot.position_mm);
  plan.readings = static_cast<int>(check.strips.front().spots.front().readings.size());
  plan.span_mm = outcome.fit.span_mm;
  const double reading = known.reading_mm ? *known.reading_mm
                         : check.caliper  ? check.caliper->repeatability_mm
                                          : outcome.fit.scatter[0].estimate_mm;
  plan.sigma_m_mm = std::max(reading, outcome.fit.resolution_mm / std::sqrt(12.0));
  plan.sigma_f_mm = known.saw_marks_mm.value_or(0);
  plan.sigma_r_rad =
      (plan.log ? *known.seating_mm : check::kAssumedSeatingMm) * std::sqrt(2.0) / plan.span_mm;
  return plan;
}

}  // namespace

int strips_to_first_look(const CheckRequest& request) {
  std::optional<station::Geometry> geometry;
  if (request.station) {
    const auto& setup = request.station->setup(request.setup.empty() ? request.check.setup : request.setup);
    geometry = station::geometry_of(*request.station, setup);
  } else {
    geometry = geometry_of_bare(request.bare);
  }
  return first_look(tells_of_seating(
      plan::sizes_of_log(request.earlier, evidence_of(caliper_in_use(request.check, request.station)),
                         fit_options_of(geometry, request.confidence, request.use_assumed))));
}

void hold_to_plan(const CheckRequest& request) {
  if (request.planned_strips) hold_to(*request.planned_strips, strips_to_first_look(request));
}

std::optional<double> confidence_at_look(const CheckRequest& request, const correct::Outcome& outcome,
                                         int strips) {
  const auto looks = check::planned_looks(plan_of(request, outcome), request.confidence);
  const auto found = std::ranges::find(looks, strips, &check::Look::strips);
  if (found == looks.end()) return std::nullopt;
  return 1 - found->level;
}

void take_look(const CheckRequest& request, correct::Outcome& outcome) {
  const auto& check = outcome.check;
  const int planned = *request.planned_strips, strips = static_cast<int>(check.strips.size());
  if (check.gaps()) {
    refuse(planned, std::string("left out with a ") + check::test_row(check.test).word + " test",
           "it plans the looks at strips");
  }
  if (!one_after_another(check) && !a_panel_each(check)) {
    throw InputError("strips", "of several panels with several each",
                     "one after another on one panel, or one a panel, to be looked at in between",
                     {check.source, 0, 0}, "leave --most-strips out");
  }
  if (strips > planned)
    refuse(planned, "at least the " + std::to_string(strips) + " strips that were measured",
           "the number is fixed before the first cut");
  const auto plan = plan_of(request, outcome);
  check::LookTaken taken;
  taken.planned = planned;
  taken.first = first_look(plan.log);
  hold_to(planned, taken.first);
  taken.too_early = strips < taken.first;
  if (!taken.too_early) {
    const auto looks = check::planned_looks(plan, request.confidence);
    taken.look = *std::ranges::find(looks, strips, &check::Look::strips);
    outcome.fit.eta = check::repeated_interval(outcome.fit, taken.look);
  }
  if (outcome.tolerance && !taken.too_early)
    taken.answer = check::answer_at_look(outcome.fit.eta, outcome.tolerance->angle.rad());
  outcome.look = taken;
}

}  // namespace quarterturn::app
