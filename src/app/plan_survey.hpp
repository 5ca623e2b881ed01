// SPDX-License-Identifier: MIT
/// \file plan_survey.hpp
/// What to measure on a table, as a function: a station, two dogs and a caliper in; rows that wait for their
/// values out. Prints and asks nothing.
///
/// Maths    METHOD.md (M118), (M119)
#pragma once

#include <optional>
#include <string>

#include "app/run_survey.hpp"
#include "survey/to_measure.hpp"

namespace quarterturn::app {

struct SurveyPlanRequest {
  station::Station station;
  files::ObservationFile file;  ///< what was measured already, and the caliper; rows may be none
  std::string setup;            ///< empty: the table as a whole
  std::string dog_1, dog_2;     ///< carried from hole to hole
  double reach_mm = 150;        ///< longest length the caliper takes
  bool between = false;         ///< it has jaws for lengths between the dogs
  int distances = 0;            ///< 0: as many as such a table usually wants
  survey::Closing closing = survey::Closing::stick;
};

struct SurveyPlan {
  survey::ToMeasure to_measure;
  std::vector<files::ObservationRow> rows;  ///< distances in walking order, then what closes; not measured
};

/// \throws units::InputError: no such dogs or setup, the same dog twice, nothing within reach
SurveyPlan plan_survey(const SurveyPlanRequest& request, const logbook::Logbook* log);

/// The two dogs that are carried unless somebody says otherwise: of one diameter and no setup's own where
/// there are such. \throws units::InputError when the station has fewer than two
std::pair<std::string, std::string> usual_dogs(const station::Station& station);

/// The caliper of the file, else the only one of the station, else of the usual class.
check::Caliper survey_caliper(const station::Station& station, const files::ObservationFile& file);

/// Whether lengths between the dogs are within reach where those over them are not.
bool between_helps(const SurveyPlanRequest& request);

/// What the rows of a file foretell for one more, with the scatter of holes that they show where they are
/// enough. Empty while there are none.
std::optional<survey::Foretold> foretold_reading(const station::Station& station,
                                                 const files::ObservationFile& file,
                                                 const survey::Observation& observation,
                                                 const logbook::Logbook* log);

}  // namespace quarterturn::app
