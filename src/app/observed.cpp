// SPDX-License-Identifier: MIT
/// \file observed.cpp
/// The observations of a file as a survey takes them.
#include <algorithm>
#include <cmath>
#include <set>

#include "app/kept_result.hpp"
#include "app/run_survey.hpp"
#include "files/caliper_classes.hpp"
#include "files/log_document.hpp"
#include "station/geometry.hpp"
#include "station/play.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

using survey::Kind;
using survey::Observation;
using units::InputError;

std::optional<check::Caliper> caliper_of(const station::Station& station,
                                         const files::ObservationFile& file) {
  if (file.caliper || station.calipers.size() != 1) return file.caliper;
  return files::caliper_of_class(station.calipers.front().caliper_class);
}

double play_mm(const station::Station& station, const std::string& name) {
  const auto dog = station.dogs.find(name);
  return dog == station.dogs.end() ? 0 : station::play_mm(station.grid, dog->second);
}

/// A fault of an observation at the cell it is about.
units::Place place_of(const files::ObservationRow& row, const std::string& subject) {
  if (subject.ends_with(".value")) return row.value_at;
  if (subject.ends_with(".u")) return row.u_at;
  if (subject.ends_with(".dogs")) return row.dogs_at;
  return subject.ends_with(".via") ? row.via_at : row.at;
}

const char* kind_word(Kind kind) {
  static const char* const words[] = {"distance", "compare", "offset", "corner"};
  return words[static_cast<int>(kind)];
}

[[noreturn]] void refuse(const files::ObservationRow& row, const std::string& must_be,
                         const std::string& hint) {
  throw InputError("check", row.check, must_be, row.at, hint);
}

Observation of_check(const station::Station& station, const files::ObservationRow& row,
                     const logbook::Logbook& log, const logbook::KeptCheck& kept, bool& bar) {
  const auto& result = kept.latest.result;
  if (kept.withdrawn) refuse(row, "one that was not withdrawn", "take the row out");
  if (kept.made.station != log.known_station(station))
    refuse(row, "a check of station '" + station.name + "'", "its holes are those of another table");
  if (result.test == files::kRailTest || result.q == 0)
    refuse(row, "one that tells of the corner", "a rail test, or a check whose side is not known, does not");
  const std::string by = put_between(log, kept.made.station, kept.made.setup,
                                     files::order_of(kept.latest.date, kept.latest.utc, kept.made.recorded));
  if (!by.empty())
    refuse(row, "of dogs that touch rail and fence themselves",
           "it followed " + by +
               ": what was put in would count as holes; write a corner row, less what that does");
  const station::Station then = log.station_version(kept.latest.station_version);
  const station::Setup& setup = then.setup(kept.made.setup);
  bar = setup.bar.has_value();
  double u = acting_u(result);
  if (result.unknown) {
    const auto span = station::geometry_of(then, setup).seating_span_mm();
    u = std::hypot(u, unseen_seating_rad(span.value_or(check::kDefaultSpanMm)));
  }
  return survey::corner(setup, result.eta / result.q, u);
}

}  // namespace

std::string put_between(const logbook::Logbook& log, const std::string& station, const std::string& setup,
                        const files::Order& at) {
  static const std::set<std::string> into_holes{"re-bore", "other-holes", "re-seat", "wider-pair"};
  struct Step {
    files::Order order;
    bool on = false;
    std::string text;
  };
  std::vector<Step> steps;
  for (const auto& one : log.events(station)) {
    const auto& event = one.event;
    if (one.withdrawn || (!event.setup.empty() && event.setup != setup)) continue;
    const bool moved = event.kind == "corrected" && !(one.move && into_holes.contains(one.move->means));
    if (!moved && event.kind != "shim on" && event.kind != "shim off") continue;
    steps.push_back({files::order_of(event.date, event.utc, event.recorded), event.kind != "shim off",
                     "'" + event.kind + "' of " + event.date.substr(0, 10)});
  }
  std::ranges::stable_sort(steps, {}, [](const Step& step) { return step.order; });
  std::string by;
  for (const Step& step : steps) {
    if (at < step.order) break;
    by = step.on ? step.text : "";
  }
  return by;
}

double u_of_caliper(const station::Station& station, const check::Caliper& caliper, const Observation& o) {
  const double reading = caliper.repeatability_mm * caliper.repeatability_mm +
                         caliper.resolution_mm * caliper.resolution_mm / 12;
  double variance = (o.kind == Kind::compare ? 2 : 1) * reading;
  for (const std::string& dog : o.dogs()) variance += std::pow(play_mm(station, dog) / 4, 2);
  return std::sqrt(variance);
}

Observed observed_of(const station::Station& station, const files::ObservationFile& file,
                     const logbook::Logbook* log) {
  if (file.rows.empty())
    throw InputError("value", std::string(units::kMissing), "in one row at least", {file.source, 0, 0},
                     "nothing is measured yet: each row waits for its value");
  const auto caliper = caliper_of(station, file);
  Observed out;
  std::set<std::string> ids;
  for (const files::ObservationRow& row : file.rows) {
    Observation o = row.observation;
    if (!row.check.empty()) {
      if (log == nullptr) refuse(row, "in the log", "without one write a corner row");
      try {
        const auto kept = log->check(row.check);
        if (!ids.insert(kept.made.id).second) refuse(row, "named once", "twice it would count twice");
        out.checks.push_back(kept.made.id);
        bool bar = false;
        o = of_check(station, row, *log, kept, bar);
        if (bar) out.barred.push_back(kept.made.setup);
      } catch (const InputError& error) {
        throw error.where().line > 0 ? error : error.at(row.at);
      }
    } else if (!(o.u > 0)) {
      if (!caliper)
        throw InputError("uncertainty", std::string(units::kMissing), "given, or that of a caliper", row.u_at,
                         "name the caliper above the table, as '# caliper: digital'");
      if (!(caliper->repeatability_mm > 0))
        throw InputError("uncertainty", std::string(units::kMissing), "given", row.u_at,
                         "the caliper named above states no repeatability");
      o.u = u_of_caliper(station, *caliper, o);
    }
    try {
      survey::validate(station, o, row.check.empty() ? kind_word(o.kind) : "check " + row.check);
    } catch (const InputError& error) {
      throw error.at(place_of(row, error.subject()));
    }
    out.observations.push_back(std::move(o));
    out.origins.push_back({row.at.line, row.check});
  }
  std::ranges::sort(out.barred);
  out.barred.erase(std::unique(out.barred.begin(), out.barred.end()), out.barred.end());
  return out;
}

}  // namespace quarterturn::app
