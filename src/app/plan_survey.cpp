// SPDX-License-Identifier: MIT
#include "app/plan_survey.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "files/caliper_classes.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

using survey::Observation;
using units::InputError;

constexpr const char* kUsualCaliper = "digital";
constexpr double kSquareDeg = 90, kSameDeg = 0.01;
/// Readings that are enough to take the scatter of holes from, beside pitch, shear and two dogs.
constexpr std::size_t kEnough = 12;

void hold_to_dogs(const SurveyPlanRequest& request) {
  std::vector<std::string> names;
  for (const auto& [name, dog] : request.station.dogs) names.push_back(name);
  for (const std::string& dog : {request.dog_1, request.dog_2}) {
    if (!request.station.dogs.contains(dog))
      throw InputError("dog", dog, units::one_of(names), {}, units::did_you_mean(dog, names));
  }
  if (request.dog_1 == request.dog_2)
    throw InputError("dogs", request.dog_1 + " twice", "two dogs, one for each hole");
}

survey::Known known_of(const station::Station& station, std::vector<Observation> made) {
  survey::Known known;
  known.station = station;
  known.made = std::move(made);
  const double sd = station.grid.drill_scatter ? station.grid.drill_scatter->mm() : survey::kAssumedHoleSdMm;
  known.theta = {sd * sd};
  return known;
}

std::vector<Observation> made_of(const station::Station& station, const files::ObservationFile& file,
                                 const logbook::Logbook* log) {
  return file.rows.empty() ? std::vector<Observation>{} : observed_of(station, file, log).observations;
}

survey::NextOptions next_options(const SurveyPlanRequest& request) {
  survey::NextOptions options;
  options.reach_mm = request.reach_mm;
  options.between = request.between;
  options.dog_1 = request.dog_1;
  options.dog_2 = request.dog_2;
  Observation length;
  length.dog_from = request.dog_1;
  length.dog_to = request.dog_2;
  const check::Caliper caliper = survey_caliper(request.station, request.file);
  if (caliper.repeatability_mm > 0) options.distance_u_mm = u_of_caliper(request.station, caliper, length);
  for (const auto& [name, setup] : request.station.setups) {
    const bool asked = request.setup.empty() || name == request.setup;
    if (asked && std::fabs(setup.nominal_deg - kSquareDeg) < kSameDeg) options.checks.push_back(setup);
  }
  return options;
}

}  // namespace

check::Caliper survey_caliper(const station::Station& station, const files::ObservationFile& file) {
  if (file.caliper) return *file.caliper;
  return files::caliper_of_class(station.calipers.size() == 1 ? station.calipers.front().caliper_class
                                                              : std::string(kUsualCaliper));
}

std::pair<std::string, std::string> usual_dogs(const station::Station& station) {
  if (station.dogs.size() < 2)
    throw InputError("dogs", std::to_string(station.dogs.size()), "two at least, to carry from hole to hole",
                     {}, "they stand in the station's file: station export");
  std::set<std::string> standing;
  for (const auto& [name, setup] : station.setups) {
    for (const auto* pair : {&setup.rail, &setup.fence}) {
      standing.insert(pair->first.dog);
      standing.insert(pair->second.dog);
    }
  }
  std::pair<std::string, std::string> best;
  int least = 4;
  for (auto a = station.dogs.begin(); a != station.dogs.end(); ++a) {
    for (auto b = std::next(a); b != station.dogs.end(); ++b) {
      const int wrong = 2 * (a->second.diameter.mm() == b->second.diameter.mm() ? 0 : 1) +
                        (standing.contains(a->first) || standing.contains(b->first) ? 1 : 0);
      if (wrong < least) {
        least = wrong;
        best = {a->first, b->first};
      }
    }
  }
  return best;
}

bool between_helps(const SurveyPlanRequest& request) {
  SurveyPlanRequest with = request;
  with.between = true;
  const auto list = survey::candidates(with.station, next_options(with));
  return std::any_of(list.begin(), list.end(), [](const survey::Candidate& one) {
    return one.observation.kind == survey::Kind::distance && one.observation.taken == survey::Taken::inside;
  });
}

SurveyPlan plan_survey(const SurveyPlanRequest& request, const logbook::Logbook* log) {
  hold_to_dogs(request);
  survey::ToMeasureOptions options;
  options.next = next_options(request);
  options.closing = request.closing;
  options.distances =
      request.distances > 0 ? request.distances : survey::usual_distances(request.station.grid);
  if (!request.setup.empty()) {
    const station::Setup& setup = request.station.setup(request.setup);
    if (std::fabs(setup.nominal_deg - kSquareDeg) >= kSameDeg)
      throw InputError("setup", setup.name, "one of 90 degrees", {}, "a survey tells of square setups");
    options.lines = survey::lines_of(setup);
    // What its own dogs do only a check can tell: without one they count as alike in each line.
    if (request.closing != survey::Closing::checks) {
      for (auto* pair : {&options.lines->rail, &options.lines->fence})
        pair->first.dog = pair->second.dog = "";
    }
  }
  const auto made = made_of(request.station, request.file, log);
  SurveyPlan plan;
  plan.to_measure = survey::to_measure(known_of(request.station, made), options);
  if (plan.to_measure.distances.empty() && made.empty())
    throw InputError("reach", units::shortest(request.reach_mm) + " mm",
                     "long enough for two dogs in neighbouring holes", {}, "the caliper's longest length");
  for (const auto* list : {&plan.to_measure.distances, &plan.to_measure.closing}) {
    for (const Observation& o : *list) {
      files::ObservationRow row;
      row.observation = o;
      row.observation.u = o.kind == survey::Kind::compare ? o.u : 0;
      row.measured = false;
      plan.rows.push_back(std::move(row));
    }
  }
  return plan;
}

std::optional<survey::Foretold> foretold_reading(const station::Station& station,
                                                 const files::ObservationFile& file,
                                                 const Observation& observation,
                                                 const logbook::Logbook* log) {
  if (file.rows.empty()) return std::nullopt;
  survey::Known known = known_of(station, made_of(station, file, log));
  if (known.made.size() >= kEnough) {
    survey::AdjustOptions options;
    options.look_for_rows = false;
    options.second_order = false;
    const auto fitted = survey::fit_components(station, known.made, options);
    known.terms = fitted.model->terms();
    known.theta = fitted.theta;
    // So few readings may show hardly any scatter by chance; half the usual one is left in any case.
    known.theta.front() = std::max(known.theta.front(), std::pow(survey::kAssumedHoleSdMm / 2, 2));
  }
  return survey::foretold(known, observation);
}

}  // namespace quarterturn::app
