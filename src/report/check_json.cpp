// SPDX-License-Identifier: MIT
#include <cmath>
#include <nlohmann/json.hpp>

#include "check/budget.hpp"
#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/rail_json.hpp"
#include "report/settle_json.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

Json estimate_json(const check::Estimate& estimate) {
  Json json;
  json["estimate_rad"] = estimate.x;
  if (estimate.unknown) {
    // No interval that covers everything: what is known of the ± is given under its own name.
    json["confidence"] = estimate.confidence;
    json["unknown"] = *estimate.unknown;
    json["measuring_alone"] = {{"standard_uncertainty_rad", estimate.u},
                               {"dof", bounded(estimate.dof)},
                               {"interval_rad", {estimate.low(), estimate.high()}}};
    return json;
  }
  json["standard_uncertainty_rad"] = estimate.u;
  json["dof"] = bounded(estimate.dof);
  json["confidence"] = estimate.confidence;
  json["interval_rad"] = {estimate.low(), estimate.high()};
  return json;
}

const char* source_word(check::Source source) {
  switch (source) {
    case check::Source::readings:
      return "readings";
    case check::Source::caliper:
      return "caliper";
    case check::Source::log:
      return "log";
    case check::Source::assumed:
      return "assumed";
    case check::Source::unknown:
      break;
  }
  return "unknown";
}

const char* log_seating_word(check::LogSeating seating) {
  switch (seating) {
    case check::LogSeating::used:
      return "used";
    case check::LogSeating::differs:
      return "differs";
    case check::LogSeating::one_strip_each:
      return "one-strip-each";
    case check::LogSeating::board_tapers:
      return "board-tapers";
    case check::LogSeating::saw_marks_unseen:
      break;
  }
  return "saw-marks-unseen";
}

Json log_use_json(const check::LogUse& use) {
  Json json;
  json["checks"] = use.checks;
  json["strips"] = use.strips;
  json["seating"] = log_seating_word(use.seating);
  json["seating_used"] = use.used();
  json["seating_dof"] = use.nu_counted;
  if (use.p_same) json["probability_same_seating"] = *use.p_same;
  if (use.half_width_without) json["half_width_without_rad"] = *use.half_width_without;
  return json;
}

Json scatter_json(const check::Scatter& scatter, double estimate) {
  Json json;
  if (scatter.source != check::Source::unknown) {
    json["estimate"] = estimate;
    json["dof"] = bounded(scatter.dof);
  }
  json["source"] = source_word(scatter.source);
  return json;
}

Json scatters_json(const check::Fit& fit) {
  return {{"reading_mm", scatter_json(fit.scatter[0], fit.scatter[0].estimate_mm)},
          {"saw_marks_mm", scatter_json(fit.scatter[1], fit.scatter[1].estimate_mm)},
          {"seating_mm", scatter_json(fit.scatter[2], fit.scatter[2].estimate_mm)},
          {"seating_rad", scatter_json(fit.scatter[2], fit.seating_rad)}};
}

const char* rule_word(check::Rule rule) {
  switch (rule) {
    case check::Rule::satterthwaite:
      return "satterthwaite";
    case check::Rule::panels:
      return "panels";
    case check::Rule::few_df:
      break;
  }
  return "few-degrees-of-freedom";
}

Json budget_json(const check::Budget& budget) {
  Json rows = Json::array();
  for (const auto& row : budget.rows) {
    const bool panels = row.source == check::BudgetSource::panels;
    const std::string unit = panels ? "rad" : "mm";
    rows.push_back({{"source", check::budget_word(row.source)},
                    {"estimate_" + unit, 0},
                    {"standard_uncertainty_" + unit, row.u},
                    {"type", check::type_word(row.type)},
                    {"dof", bounded(row.dof)},
                    {panels ? "sensitivity" : "sensitivity_rad_per_mm", row.sensitivity},
                    {"contribution_rad", row.contribution},
                    {"share", row.share},
                    {"known_from", source_word(row.known_from)}});
  }
  return {{"rows", rows},
          {"rows_together_rad", budget.root_sum},
          {"rule", rule_word(budget.rule)},
          {"combined_standard_uncertainty_rad", budget.u},
          {"dof", bounded(budget.dof)},
          {"coverage_factor", budget.factor},
          {"expanded_uncertainty_rad", budget.expanded},
          {"confidence", budget.confidence},
          {"seating_missing", budget.seating_missing}};
}

Json look_json(const check::LookTaken& taken, int strips) {
  Json json = {{"planned_strips", taken.planned},
               {"strips", strips},
               {"first_look", taken.first},
               {"too_early", taken.too_early}};
  if (taken.too_early) return json;
  json["information_share"] = taken.look.share;
  json["level"] = taken.look.level;
  json["settled"] = taken.answer != check::Answer::cannot_tell;
  return json;
}

Json simulation_json(const check::Simulation& simulation) {
  const auto& trials = simulation.trials;
  Json json = {{"seed", simulation.seed},
               {"trials", trials.trials},
               {"converged", trials.converged},
               {"shortest_interval_rad", {trials.shortest.low, trials.shortest.high}},
               {"symmetric_interval_rad", {trials.symmetric.low, trials.symmetric.high}},
               {"validation",
                {{"tolerance_rad", simulation.validation.delta},
                 {"low_differs_rad", simulation.validation.d_low},
                 {"high_differs_rad", simulation.validation.d_high},
                 {"valid", simulation.validation.valid}}}};
  if (!simulation.heavy_tails) {
    json["mean_rad"] = trials.mean;
    json["standard_uncertainty_rad"] = trials.u;
  }
  if (simulation.refits > 0) {
    json["refits"] = {{"checks", simulation.refits},
                      {"covered", simulation.covered},
                      {"share_interval", {simulation.covered_low, simulation.covered_high}},
                      {"holding_half_width_rad", simulation.holding_half_width}};
  }
  return json;
}

/// \param gaps  of joints, which lie between no two cuts of one panel
Json tapers_json(const check::Fit& fit, bool gaps) {
  Json list = Json::array();
  for (const auto& taper : fit.tapers) {
    Json one = {{"panel", taper.panel}};
    if (!gaps) {
      one["from_cut"] = taper.from_cut;
      one["to_cut"] = taper.to_cut;
    }
    one["taper_rad"] = taper.taper_rad;
    one["standard_uncertainty_rad"] = taper.u_rad;
    list.push_back(std::move(one));
  }
  return list;
}

Json where_json(const check::Where& where) {
  Json json = Json::object();
  if (where.panel) json["panel"] = *where.panel;
  if (where.from_cut) json["from_cut"] = *where.from_cut;
  if (where.to_cut) json["to_cut"] = *where.to_cut;
  if (where.position_mm) json["position_mm"] = *where.position_mm;
  if (where.line) json["line"] = *where.line;
  return json;
}

Json warnings_json(const correct::Outcome& outcome) {
  Json list = Json::array();
  for (const auto* findings : {&outcome.setup_findings, &outcome.fit.findings}) {
    for (const auto& finding : *findings) {
      list.push_back({{"code", finding.code},
                      {"text", finding_text(finding, outcome.check.unit)},
                      {"where", where_json(finding.where)}});
    }
  }
  return list;
}

/// \param sure  the whole ± is known
Json verdict_json(const check::Verdict& verdict, bool sure) {
  Json json;
  json["setup"] = check::answer_word(verdict.setup);
  if (sure) json["setup_probability"] = verdict.setup_probability;
  if (verdict.next_panel) json["next_panel"] = check::answer_word(*verdict.next_panel);
  if (verdict.next_panel_probability) json["next_panel_probability"] = *verdict.next_panel_probability;
  json["tolerance_rad"] = verdict.tolerance_rad;
  json["provisional"] = verdict.provisional;
  return json;
}

const char* correct_word(correct::Correct word) {
  switch (word) {
    case correct::Correct::yes:
      return "yes";
    case correct::Correct::no:
      return "no";
    case correct::Correct::unclear:
      break;
  }
  return "unclear";
}

Json decision_json(const correct::Decision& decision, bool sure) {
  Json json = {{"correct", correct_word(decision.correct)}, {"find_first", decision.find_first}};
  if (sure) json["probability_improves"] = decision.probability_improves;
  return json;
}

void put_other_holes(Json& json, const correct::OtherHolesMove& move, bool sure) {
  json["holes"] = Json::array();
  for (const auto& change : move.changes)
    json["holes"].push_back(
        {{"dog", correct::dog_words(change.dog)}, {"from", change.from.name()}, {"to", change.to.name()}});
  json["change_rad"] = {{"estimate", move.change_rad}, {"standard_uncertainty", move.change_u_rad}};
  if (sure) {
    json["improves_probability"] = move.improves;
    json["within_probability"] = move.within;
  }
  json["not_measured"] = Json::array();
  for (const auto& hole : move.unseen) json["not_measured"].push_back(hole.name());
}

Json survey_use_json(const correct::SurveyUse& use) {
  static const char* const hows[] = {"both",         "has-check",  "between",
                                     "contradicted", "difference", "not-this-setup"};
  Json json{{"counts", hows[static_cast<int>(use.how)]}, {"dogs_as_stated", use.dogs_as_stated}};
  if (use.foretold_rad)
    json["foretold_rad"] = {{"estimate", *use.foretold_rad}, {"standard_uncertainty", *use.foretold_u_rad}};
  return json;
}

Json move_json(const correct::Move& move, const std::optional<correct::Expected>& expected,
               const check::Check& check, bool sure) {
  Json json;
  json["means"] = correct::means_row(move.means).word;
  if (move.dog != correct::WhichDog::none) json["dog"] = correct::dog_words(move.dog);
  if (move.hole) json["hole"] = move.hole->name();
  if (!move.face.empty()) json["face"] = move.face;
  if (!move.bound_only && !move.other_holes)
    json["shift_mm"] = {{"x", move.shift_x_mm + 0.0}, {"y", move.shift_y_mm + 0.0}};
  if (!move.parts.empty()) {
    Json parts = Json::array();
    for (const auto& part : move.parts) parts.push_back({{"shim", part.shim}, {"layers", part.layers}});
    json["parts"] = parts;
  }
  if (move.other_holes) put_other_holes(json, *move.other_holes, sure);
  json["text"] = move_text(move, check.unit);
  json["minutes"] = move.minutes;
  json["undoable"] = move.undoable;
  json["advised"] = move.advised;
  if (expected) json[check.gaps() ? "expect_gap_mm" : "expect_strip_mm"] = expected->expect_mm;
  if (move.bound_only) {
    json["at_most_rad"] = std::fabs(move.moved_rad);
  } else {
    json["remaining_rad"] = {{"estimate", move.remaining_rad}};
    if (sure) json["remaining_rad"]["standard_uncertainty"] = move.remaining_u_rad;
  }
  return json;
}

}  // namespace

std::string check_json(const correct::Outcome& outcome, const Shown& shown) {
  Json json;
  json["schema"] = "quarterturn/check/1";
  const std::string station = outcome.station ? outcome.station->name : outcome.check.station;
  const std::string setup = outcome.setup_name.empty() ? outcome.check.setup : outcome.setup_name;
  if (!station.empty()) json["station"] = station;
  if (!setup.empty()) json["setup"] = setup;
  if (!outcome.check.date.empty()) json["date"] = outcome.check.date;
  json["test"] = check::test_row(outcome.check.test).word;
  if (outcome.check.form != check::Form::none) json["form"] = check::form_word(outcome.check.form);
  if (!outcome.check.second_setup.empty()) json["second_setup"] = outcome.check.second_setup;
  if (outcome.check.pieces > 0) json["pieces"] = outcome.check.pieces;
  if (outcome.bow) json["rail_bow"] = rail_bow_json(outcome);
  if (outcome.check.test == check::TestKind::rail) {
    json["warnings"] = warnings_json(outcome);
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
  }
  json["corner_error"] = estimate_json(outcome.fit.eta);
  if (outcome.eps) json["squareness_error"] = estimate_json(*outcome.eps);
  json["scatter"] = scatters_json(outcome.fit);
  if (outcome.fit.log) json["log"] = log_use_json(*outcome.fit.log);
  if (outcome.look)
    json["stopping"] = look_json(*outcome.look, static_cast<int>(outcome.check.strips.size()));
  if (outcome.noted) {
    json["noted_cause"] = {{"words", outcome.noted->words},
                           {"date", outcome.noted->date},
                           {"since_check", outcome.noted->check},
                           {"moved_rad", outcome.fit.eta.x - outcome.noted->was_rad}};
  }
  if (shown.budget) json["budget"] = budget_json(check::budget_of(outcome.fit));
  if (shown.simulation) json["simulation"] = simulation_json(*shown.simulation);
  if (outcome.held) json["held_against"] = held_json(*outcome.held);
  json["tapers"] = tapers_json(outcome.fit, outcome.check.gaps());
  json["warnings"] = warnings_json(outcome);
  if (outcome.verdict)
    json["verdict"] = verdict_json(*outcome.verdict, !outcome.fit.eta.unknown && !outcome.look);
  if (shown.settles) {
    json["settle"] = settling_json(*shown.settles);
  } else if (outcome.verdict && outcome.verdict->setup == check::Answer::cannot_tell &&
             outcome.settle_first) {
    json["settle"] = {{"none", "clear-up-first"}};
  }
  if (outcome.advice) {
    json["decision"] = decision_json(outcome.advice->decision, is_sure(outcome));
    if (outcome.rail_bowed) json["decision"]["rail_first"] = true;
    Json moves = Json::array();
    for (std::size_t i = 0; i < outcome.advice->moves.size(); ++i) {
      moves.push_back(move_json(outcome.advice->moves[i],
                                i < outcome.expected.size() ? outcome.expected[i] : std::nullopt,
                                outcome.check, is_sure(outcome)));
    }
    json["corrections"] = moves;
    if (outcome.advice->survey) json["survey"] = survey_use_json(*outcome.advice->survey);
  }
  // Names from files are held to UTF-8 when read; anything else would be a fault of ours and is shown, not
  // thrown.
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace quarterturn::report
