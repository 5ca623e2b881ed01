// SPDX-License-Identifier: MIT
#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "files/dates.hpp"
#include "report/history_report.hpp"
#include "report/json_numbers.hpp"

namespace quarterturn::report {
namespace {

using history::Record;

std::string day_of(double day) {
  return files::day_text(static_cast<std::int64_t>(std::floor(day)) * 86400);
}

/// \param unit  `rad`, `rad_per_day`
Json estimate(const check::Estimate& e, const std::string& unit) {
  if (e.unknown) return {{"unknown", *e.unknown}};
  return {{"estimate_" + unit, e.x},
          {"standard_uncertainty_" + unit, e.u},
          {"dof", bounded(e.dof)},
          {"confidence", e.confidence},
          {"interval_" + unit, {e.low(), e.high()}}};
}

Json spread(const history::Spread& s) {
  if (s.unknown) return {{"unknown", *s.unknown}};
  return {
      {"standard_deviation_rad", s.sd}, {"interval_rad", {s.low, bounded(s.high)}}, {"dof", bounded(s.dof)}};
}

const char* change_word(history::Change change) {
  switch (change) {
    case history::Change::none:
      return "none";
    case history::Change::step:
      return "step";
    case history::Change::trend:
      return "trend";
    case history::Change::not_told_apart:
      return "not-told-apart";
    case history::Change::unknown:
      break;
  }
  return "unknown";
}

const char* by_word(history::DueBy by) {
  switch (by) {
    case history::DueBy::event:
      return "event";
    case history::DueBy::cause:
      return "cause-noted";
    case history::DueBy::outside:
      return "outside";
    case history::DueBy::tolerance:
      return "tolerance";
    case history::DueBy::interval:
      break;
  }
  return "interval";
}

Json entries_json(const Record& record) {
  Json entries = Json::array();
  for (std::size_t i = 0; i < record.entries.size(); ++i) {
    const auto& entry = record.entries[i];
    auto named = record.entry_names[i];
    Json json{{"name", std::move(named.name)}, {"date", std::move(named.date)}};
    if (const auto id = record.entry_names.id(i); !id.empty()) json["id"] = id;
    json["estimate_rad"] = entry.eta;
    if (entry.u > 0) json["standard_uncertainty_rad"] = entry.u;
    if (!entry.hollow) json["dof"] = bounded(entry.dof);
    json["old_result"] = entry.hollow;
    entries.push_back(std::move(json));
  }
  return entries;
}

Json events_json(const Record& record) {
  Json events = Json::array();
  for (std::size_t k = 0; k < record.events.size(); ++k) {
    const auto& event = record.events[k];
    Json json{
        {"event", event.kind}, {"date", record.event_names[k].date}, {"ends_validity", event.ends_validity}};
    if (!event.target.empty()) json["target"] = event.target;
    for (const auto& at : record.history.at_events) {
      if (at.event != k || at.size.unknown) continue;
      json["change"] = estimate(at.size, "rad");
      json["change"]["p"] = at.p;
      json["change"]["shared"] = at.shared;
    }
    events.push_back(std::move(json));
  }
  return events;
}

Json step_json(const history::Step& step) {
  if (step.unknown) return {{"unknown", *step.unknown}};
  Json json{{"size", estimate(step.size, "rad")}, {"after", day_of(step.after)},
            {"before", day_of(step.before)},      {"earliest", day_of(step.earliest)},
            {"latest", day_of(step.latest)},      {"p", step.p}};
  if (step.event) json["event"] = *step.event;
  return json;
}

}  // namespace

std::string history_json(const Record& record) {
  const auto& h = record.history;
  Json json;
  json["schema"] = "quarterturn/history/1";
  json["station"] = record.station;
  json["setup"] = record.setup;
  json["checks"] = h.checks;
  json["old_results"] = h.hollow;
  json["in_series"] = h.series.size();
  json["change"] = change_word(h.change);
  json["level"] = estimate(h.level, "rad");
  json["since_last"] = estimate(h.since_last, "rad");
  json["constancy"] = h.constancy.unknown
                          ? Json{{"unknown", *h.constancy.unknown}}
                          : Json{{"q", h.constancy.q}, {"dof", h.constancy.dof}, {"p", h.constancy.p}};
  json["scatter"] = spread(h.scatter);
  json["trend"] = estimate(h.trend.per_day, "rad_per_day");
  if (!h.trend.per_day.unknown) json["trend"]["p"] = h.trend.p;
  json["step"] = step_json(h.step);
  json["log_odds_step_against_trend"] = bounded(h.log_odds);
  if (h.alarm_since) json["alarm_since"] = record.entry_names[h.series[*h.alarm_since]].name;
  json["play"] = spread(h.play);
  if (h.last_answer) json["last_answer"] = check::answer_word(*h.last_answer);
  if (h.last_good) json["last_good"] = record.entry_names[*h.last_good].name;
  if (h.due) {
    json["due"] = {{"date", day_of(h.due->date)}, {"by", by_word(h.due->by)}};
    if (h.due->leaves_tolerance) json["due"]["leaves_tolerance"] = day_of(*h.due->leaves_tolerance);
    if (!h.due->not_told.empty()) json["due"]["tolerance_unknown"] = h.due->not_told;
  }
  json["entries"] = entries_json(record);
  json["events"] = events_json(record);
  return json.dump(2) + "\n";
}

}  // namespace quarterturn::report
