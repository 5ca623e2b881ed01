// SPDX-License-Identifier: MIT
#include "app/run_check.hpp"

#include <algorithm>
#include <cmath>

#include "app/bare_geometry.hpp"
#include "app/fit_inputs.hpp"
#include "app/look.hpp"
#include "app/nominal.hpp"
#include "app/rail_bow.hpp"
#include "app/run_survey.hpp"
#include "check/log_choice.hpp"
#include "correct/after_move.hpp"
#include "correct/setup_findings.hpp"
#include "stats/distributions.hpp"
#include "survey/other_holes.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

void refuse_other_station(const check::Check& check, const station::Station& station) {
  if (check.station.empty() || station.name.empty() || check.station == station.name) return;
  throw units::InputError("station of the readings", check.station,
                          "the station given, '" + station.name + "'", {check.source, 0, 0},
                          "give the station that was tested, or correct the '# station:' line");
}

check::Estimate turned(const check::Estimate& eta, int q) {
  check::Estimate eps = eta;
  eps.x = q * eta.x;
  return eps;
}

/// One a move; none for a move of unknown size, nor of halves, where the next board's own taper comes in.
std::vector<std::optional<correct::Expected>> expected_of(const correct::Outcome& outcome) {
  std::vector<std::optional<correct::Expected>> expected;
  for (const auto& move : outcome.advice->moves) {
    if (move.bound_only || outcome.check.form == check::Form::halves) {
      expected.emplace_back();
    } else {
      expected.emplace_back(expected_after(outcome, move.moved_rad, move.u_action_rad));
    }
  }
  return expected;
}

/// The setup in use and what stands around it.
const station::Setup* place(const CheckRequest& request, correct::Outcome& outcome) {
  if (!request.station) {
    outcome.geometry = geometry_of_bare(request.bare);
    // Options describe square setups; whether a ring's outer edge lay at the fence only a setup tells (M97).
    if (request.check.test == check::TestKind::frame) outcome.geometry.reset();
    outcome.tolerance = request.tolerance ? request.tolerance : outcome.check.tolerance;
    return nullptr;
  }
  refuse_other_station(request.check, *request.station);
  outcome.station = request.station;
  const auto& setup = outcome.station->setup(request.setup.empty() ? request.check.setup : request.setup);
  outcome.setup_name = setup.name;
  outcome.geometry = station::geometry_of(*outcome.station, setup);
  hold_to_nominal(outcome.check, setup);
  if (!outcome.check.second_setup.empty()) {
    hold_to_nominal(outcome.check, outcome.station->setup(outcome.check.second_setup));
    outcome.geometry->q = 0;  // nothing is told of one setup alone
  }
  outcome.tolerance = request.tolerance         ? request.tolerance
                      : request.check.tolerance ? request.check.tolerance
                                                : setup.tolerance;
  int cuts = 0;
  for (const auto& strip : request.check.strips) cuts = std::max(cuts, strip.to_cut);
  const auto& size = request.check.panel_size;
  if (request.check.test == check::TestKind::turn_over) {
    outcome.setup_findings = correct::piece_findings(*outcome.station, setup, size, request.check.form);
  } else if (!request.check.gaps()) {
    outcome.setup_findings = correct::panel_findings(*outcome.station, setup, size, cuts);
  }
  return &setup;
}

bool asks_to_settle(const std::vector<check::Finding>& findings) {
  return std::any_of(findings.begin(), findings.end(), [](const check::Finding& finding) {
    return check::finding_row(finding.code).settle_first;
  });
}

/// Of the earlier checks those that scatter as this one does: its form may have been amended since they were
/// chosen.
std::vector<check::ScatterEvidence> alike(const CheckRequest& request) {
  auto earlier = request.earlier;
  std::erase_if(earlier,
                [&](const auto& one) { return !check::scatters_alike(one.readings, request.check); });
  return earlier;
}

/// (M36) A check that mirrors what the last one lets expect, with nothing in between that explains it.
void find_mirrored(const CheckRequest& request, correct::Outcome& outcome) {
  if (!request.last || request.last->explained || outcome.eps->unknown) return;
  const auto& last = *request.last;
  const double u = std::hypot(outcome.acting_u_rad, last.u_rad), eps = outcome.eps->x;
  const bool mirrors = std::fabs(last.eps_rad) > stats::kTwoSided95 * last.u_rad &&
                       std::fabs(eps - last.eps_rad) > stats::kTwoSided95 * u &&
                       std::fabs(eps + last.eps_rad) <= u;
  if (!mirrors) return;
  const auto& strip = outcome.check.strips.back();
  const double mm =
      outcome.fit.tapers.back().turns * (strip.spots.back().position_mm - strip.spots.front().position_mm);
  check::Finding finding;
  finding.code = "ends-swapped";
  if (strip.to_cut > 0) {
    finding.where.from_cut = strip.from_cut;
    finding.where.to_cut = strip.to_cut;
  }
  finding.numbers["taper_mm"] = mm * outcome.fit.eta.x;
  finding.numbers["expected_mm"] = mm * outcome.geometry->q * last.eps_rad;
  outcome.fit.findings.push_back(std::move(finding));
}

/// (M48) The strip after a move reads as if that had not been made, or the wrong way.
void find_amiss(correct::Outcome& outcome) {
  if (!outcome.pending || outcome.check.strips.size() != 1) return;
  const double is = correct::carried_mm(outcome.check.strips.front(), outcome.pending->apart_mm);
  if (!correct::reads_amiss(outcome.pending->expected, is)) return;
  check::Finding finding;
  finding.code = "correction-amiss";
  finding.numbers["is_mm"] = is;
  finding.numbers["expected_mm"] = outcome.pending->expected.expect_mm;
  if (outcome.check.gaps()) finding.words["joint"] = check::joint_word(outcome.check);
  outcome.fit.findings.push_back(std::move(finding));
}

/// The last check was a test of another kind, and from that one the rail's bow parts it: nothing moved.
bool bow_parts_it_from_last(const CheckRequest& request, const correct::Outcome& outcome) {
  return request.last && outcome.held && outcome.held->cross.verdict == check::CrossVerdict::bow_explains &&
         request.last->eps_rad == outcome.geometry->q * outcome.held->other.found.rad;
}

void judge(const CheckRequest& request, const station::Setup* setup, correct::Outcome& outcome) {
  const double tolerance_rad = outcome.tolerance->angle.rad();
  outcome.verdict = check::verdict_of(outcome.fit, tolerance_rad, request.strict);
  if (outcome.look) outcome.verdict->setup = outcome.look->answer;
  if (!outcome.eps || !(outcome.geometry->rail || outcome.geometry->fence)) return;
  correct::Request ask;
  ask.eps_rad = outcome.eps->x;
  ask.u_rad = outcome.acting_u_rad;
  ask.tolerance_rad = tolerance_rad;
  ask.geometry = *outcome.geometry;
  ask.station = outcome.station ? &*outcome.station : nullptr;
  ask.setup = setup;
  ask.shims = outcome.station ? outcome.station->shims : request.bare.shims;
  std::optional<double> drill_scatter_mm;
  if (outcome.station && outcome.station->grid.drill_scatter)
    drill_scatter_mm = outcome.station->grid.drill_scatter->mm();
  // What a check contradicts is not believed against it.
  const auto fresh = correct::prediction_of_new_station(ask.geometry, drill_scatter_mm);
  ask.prior = correct::prediction_from_log(fresh, request.believed);
  if (correct::contradicts(ask.prior, ask.eps_rad, ask.u_rad)) ask.prior = fresh;
  ask.last = request.last;
  if (bow_parts_it_from_last(request, outcome)) ask.last->explained = true;
  if (request.survey && outcome.station && setup != nullptr) {
    const SurveyInUse& known = *request.survey;
    ask.survey = correct::Surveyed{known.adjustment.get(), known.has_check, known.between,
                                   usable_like(outcome.station->grid, *setup)};
    if (survey::has_check(known.adjustment->observations(), survey::lines_of(*setup), ask.eps_rad))
      ask.survey->has_check = true;
  }
  outcome.advice = correct::advise(ask);
  // An uncertainty that leaves seating out is too small to act on; so is a result that a mistake may have
  // made.
  // Nor does a test that goes on move anything.
  const bool goes_on = outcome.look && outcome.look->goes_on(outcome.check.strips.size());
  if (outcome.settle_first || outcome.eps->unknown || goes_on)
    correct::hold_back(*outcome.advice, !outcome.settle_first);
  put_rail_first(outcome);
  outcome.expected = expected_of(outcome);
}

}  // namespace

correct::Expected expected_after(const correct::Outcome& outcome, double moved_rad, double u_action_rad) {
  const auto& strip = outcome.check.strips.back();
  const double apart_mm = strip.spots.back().position_mm - strip.spots.front().position_mm;
  const check::Taper& last = outcome.fit.tapers.back();
  // Of several strips the fit foretells it better than the last one alone, and (M48) counts its uncertainty
  // so.
  const bool several = outcome.check.strips.size() > 1;
  const double was_mm =
      several ? last.turns * apart_mm * outcome.fit.eta.x
              : check::mean_mm(strip.spots.front().readings) - check::mean_mm(strip.spots.back().readings);
  return correct::expected_strip(outcome.fit, apart_mm, last.turns, last.squares, was_mm, outcome.geometry->q,
                                 moved_rad, u_action_rad, last.u_rad * last.u_rad);
}

check::Simulation simulate_check(const CheckRequest& request, const correct::Outcome& outcome,
                                 const check::SimulationOptions& options) {
  return check::simulate(outcome.check, evidence_of(outcome.check.caliper), outcome.fit,
                         fit_options_of(outcome.geometry, request.confidence, request.use_assumed), options);
}

correct::Outcome run_check(const CheckRequest& request) {
  correct::Outcome outcome;
  outcome.check = request.check;
  outcome.pending = request.pending;
  outcome.noted = request.noted;
  outcome.check.caliper = caliper_in_use(request.check, request.station);
  const station::Setup* setup = place(request, outcome);
  outcome.panel_mm = told_over_mm(outcome.tolerance, outcome.check.panel_size, outcome.check.unit);
  if (outcome.check.test == check::TestKind::rail) {
    measure_rail(request, setup, outcome);
    return outcome;
  }
  outcome.fit = check::fit(outcome.check, evidence_of(outcome.check.caliper), alike(request),
                           fit_options_of(outcome.geometry, request.confidence, request.use_assumed));
  if (request.planned_strips) take_look(request, outcome);
  if (outcome.geometry && outcome.geometry->q != 0) {
    outcome.eps = turned(outcome.fit.eta, outcome.geometry->q);
    outcome.acting_u_rad = outcome.eps->half_width / stats::normal_quantile(0.5 * (1 + request.confidence));
    find_mirrored(request, outcome);
  }
  find_amiss(outcome);
  outcome.settle_first = asks_to_settle(outcome.fit.findings);
  explain_by_rail(request, setup, outcome);
  if (outcome.tolerance) judge(request, setup, outcome);
  return outcome;
}

}  // namespace quarterturn::app
