// SPDX-License-Identifier: MIT
#include "app/rail_bow.hpp"

#include <algorithm>

#include "app/fit_inputs.hpp"
#include "check/resolution.hpp"

namespace quarterturn::app {
namespace {

check::PanelSize panel_of(const correct::Outcome& outcome) {
  return outcome.check.panel_size.value_or(
      check::PanelSize{outcome.panel_mm, outcome.panel_mm, std::nullopt});
}

void put_in_place(const station::Setup* setup, correct::Outcome& outcome) {
  if (setup == nullptr) return;
  auto& bow = *outcome.bow;
  bow.place = check::bow_place(*outcome.station, *setup, panel_of(outcome), last_cut_of(outcome.check));
  if (bow.place) bow.effects = check::bow_effects(check::kept_edge_bow(bow.rail, *bow.place), *bow.place);
}

check::CornerFound found_of(const check::Fit& fit) {
  return {fit.eta.x, fit.eta.u, fit.eta.dof};
}

}  // namespace

int last_cut_of(const check::Check& check) {
  constexpr int kFiveCut = 5;
  if (check.test == check::TestKind::rail) return kFiveCut;
  int cut = 1;
  for (const auto& strip : check.strips) cut = std::max(cut, strip.to_cut);
  return cut;
}

void measure_rail(const CheckRequest& request, const station::Setup* setup, correct::Outcome& outcome) {
  const auto& check = outcome.check;
  const auto evidence = evidence_of(check.caliper);
  outcome.fit.resolution_mm = check::resolution_mm(check);
  correct::RailBow found;
  found.rail = check::rail_bow(check.strips.front(), evidence, outcome.fit.resolution_mm, request.confidence,
                               check.source);
  const auto& h = found.rail;
  auto& eta = outcome.fit.eta;
  eta.x = h.h_mm / h.over_mm;
  eta.confidence = h.confidence;
  eta.unknown = h.unknown;
  if (!h.unknown) {
    eta.u = h.u_mm / h.over_mm;
    eta.half_width = h.half_width_mm / h.over_mm;
    eta.dof = h.dof;
  }
  outcome.bow = std::move(found);
  put_in_place(setup, outcome);
}

void explain_by_rail(const CheckRequest& request, const station::Setup* setup, correct::Outcome& outcome) {
  if (request.rail) {
    outcome.bow = request.rail;
    put_in_place(setup, outcome);
  }
  if (!request.other || setup == nullptr || outcome.fit.eta.unknown) return;
  const auto& other = *request.other;
  const bool strips = !outcome.check.gaps();
  check::CrossCheckInput input;
  // Where the strips were cut, whichever of the two tests is told now.
  const check::PanelSize square{outcome.panel_mm, outcome.panel_mm, std::nullopt};
  const auto place =
      strips ? check::bow_place(*outcome.station, *setup, panel_of(outcome), last_cut_of(outcome.check))
             : check::bow_place(*outcome.station, *setup, other.panel.value_or(square), other.last_cut);
  if (!place) return;
  input.place = *place;
  input.strips = strips ? found_of(outcome.fit) : other.found;
  input.turn_over = strips ? other.found : found_of(outcome.fit);
  input.joint_length_mm = strips                     ? other.joint_length_mm
                          : outcome.check.panel_size ? outcome.check.panel_size->depth_mm
                                                     : 0;
  if (strips) {
    input.pair = other.curvature;
  } else if (outcome.check.form == check::Form::pair) {
    input.pair = check::curvature_of(outcome.check.strips.front(), evidence_of(outcome.check.caliper),
                                     outcome.fit.resolution_mm, request.confidence, outcome.check.source);
  }
  if (outcome.bow) input.rail = outcome.bow->rail;
  if (outcome.tolerance) input.tolerance_rad = outcome.tolerance->angle.rad();
  outcome.held = correct::HeldAgainst{other, check::cross_check(input)};
}

void put_rail_first(correct::Outcome& outcome) {
  if (!outcome.advice || !outcome.bow || !outcome.bow->effects || outcome.bow->rail.unknown) return;
  auto& advice = *outcome.advice;
  const auto& effects = *outcome.bow->effects;
  const double limit = check::kBowMayDo * outcome.tolerance->angle.rad();
  if (!effects.b) {  // on a bar: it was tried, and rocks by no more than is no matter
    if (*effects.rocks_up_to_rad <= limit && !outcome.bow->rail.kinked) advice.ask_rail_straight = false;
    return;
  }
  const auto matters = check::bow_matters(*effects.b, outcome.bow->rail, limit);
  if (matters == check::Matters::unclear) return;
  advice.ask_rail_straight = false;  // it was tried
  // A turn-over reads the corner itself; what the bow adds to strips is no matter to it.
  if (matters == check::Matters::no || outcome.check.gaps()) return;
  outcome.rail_bowed = true;
  if (advice.decision.correct == correct::Correct::yes) correct::hold_back(advice, true);
}

}  // namespace quarterturn::app
