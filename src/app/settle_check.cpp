// SPDX-License-Identifier: MIT
#include "app/settle_check.hpp"

#include <cmath>

#include "app/fit_inputs.hpp"
#include "app/look.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {

namespace {

plan::Settling settling_of(const CheckRequest& request, const correct::Outcome& outcome,
                           plan::FurtherAim aim) {
  if (!outcome.verdict) {
    throw units::InputError("tolerance", std::string(units::kMissing), "stated, or nothing can be settled",
                            {}, "--tolerance \"0.10 over 600\"");
  }
  if (outcome.check.gaps()) {
    throw units::InputError("test", check::test_row(outcome.check.test).word, "one of strips", {},
                            "what settles it is counted in cuts on a panel; another joint tells more");
  }
  if (outcome.look) {
    throw units::InputError(
        "check", std::to_string(outcome.look->planned) + " strips at most",
        "one that was not planned to stop when settled", {},
        "such a test goes by its own plan: 'check' says after each strip whether it may stop");
  }
  plan::Settling settling;
  aim.tolerance_rad = outcome.verdict->tolerance_rad;
  aim.strict = request.strict;
  if (outcome.station) {
    settling.station = outcome.station->name;
    aim.least_mm = least_panel_mm(*outcome.station, outcome.station->setup(outcome.setup_name));
  }
  settling.setup = outcome.setup_name;
  settling.over_mm = outcome.panel_mm;
  settling.settle_first = outcome.settle_first;
  settling.find_first = outcome.advice && outcome.advice->decision.find_first;
  settling.panel_known = outcome.check.panel_size.has_value();
  settling.further =
      plan::further_cuts(outcome.check, outcome.fit, evidence_of(outcome.check.caliper), request.earlier,
                         fit_options_of(outcome.geometry, request.confidence, request.use_assumed), aim);
  return settling;
}

}  // namespace

plan::Settling settle_check(const CheckRequest& request, const correct::Outcome& outcome, double chance,
                            int most_cuts) {
  plan::FurtherAim aim;
  aim.chance = chance;
  aim.most_cuts = most_cuts;
  return settling_of(request, outcome, aim);
}

std::optional<plan::Settling> what_settles(const CheckRequest& request, const correct::Outcome& outcome) {
  const bool open = outcome.verdict && outcome.verdict->setup == check::Answer::cannot_tell;
  if (!open || outcome.look || outcome.settle_first || outcome.check.gaps()) return std::nullopt;
  plan::FurtherAim aim;
  aim.brief = true;
  aim.most_cuts = kMostCuts;
  return settling_of(request, outcome, aim);
}

std::optional<plan::FurtherStep> what_two_more_bring(const CheckRequest& request,
                                                     const correct::Outcome& outcome) {
  const auto& check = outcome.check;
  if (check.gaps() || outcome.settle_first || check.strips.front().from_cut == 0) return std::nullopt;
  double confidence = request.confidence;
  if (outcome.look) {  // its interval is that of the look two strips on
    if (outcome.look->too_early || !std::isfinite(outcome.fit.eta.half_width)) return std::nullopt;
    const auto then = confidence_at_look(request, outcome, static_cast<int>(check.strips.size()) + 2);
    if (!then) return std::nullopt;
    confidence = *then;
  }
  const bool sure = outcome.verdict && outcome.verdict->setup != check::Answer::cannot_tell &&
                    !outcome.verdict->provisional;
  if (sure) return std::nullopt;
  return plan::two_more_cuts(
      check, outcome.fit, evidence_of(check.caliper), request.earlier,
      fit_options_of(outcome.geometry, confidence, request.use_assumed),
      outcome.station ? least_panel_mm(*outcome.station, outcome.station->setup(outcome.setup_name))
                      : check::kSmallestPanelMm);
}

}  // namespace quarterturn::app
