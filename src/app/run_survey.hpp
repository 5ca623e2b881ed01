// SPDX-License-Identifier: MIT
/// \file run_survey.hpp
/// `survey` as a function: observations in, what they tell of the holes out. Prints and asks nothing.
///
/// Maths    METHOD.md, Survey of the holes
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "files/observation_file.hpp"
#include "logbook/logbook.hpp"
#include "station/station.hpp"
#include "survey/result.hpp"

namespace quarterturn::app {

struct SurveyRequest {
  station::Station station;
  files::ObservationFile file;
  std::optional<files::ObservationFile> against;  ///< an earlier survey of the same table
  std::string setup;                              ///< empty: the file's, else the only one, else none
  std::optional<units::Tolerance> tolerance;      ///< wins over the setup's
  std::optional<double> hole_sd_mm;               ///< scatter of holes, given; empty: fitted
  int pairs = 5, next = 5;                        ///< how many are named
  std::vector<int> columns, rows;                 ///< of the rail, of the fence; empty: all
  double confidence = 0.95;
  bool next_for_setup = false;  ///< the next is measured for the setup, not for the table
};

/// \param log  for `check` rows; may be nullptr
/// \throws units::InputError with file, line and column
survey::Result run_survey(const SurveyRequest& request, const logbook::Logbook* log);

/// The observations of a file as a survey takes them: blank uncertainties from the caliper and the play of
/// the dogs, checks from the log.
struct Observed {
  std::vector<survey::Observation> observations;
  std::vector<survey::Origin> origins;
  std::vector<std::string> barred;  ///< setups of its checks with a bar at the fence
};
Observed observed_of(const station::Station& station, const files::ObservationFile& file,
                     const logbook::Logbook* log);

/// A reading of the caliper, two for a comparison, and a quarter of the play of each dog that is put in [mm].
double u_of_caliper(const station::Station& station, const check::Caliper& caliper,
                    const survey::Observation& observation);

}  // namespace quarterturn::app
