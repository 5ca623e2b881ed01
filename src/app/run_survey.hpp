// SPDX-License-Identifier: MIT
/// \file run_survey.hpp
/// `survey` as a function: observations in, what they tell of the holes out. Prints and asks nothing.
///
/// Maths    METHOD.md, Survey of the holes
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "app/run_check.hpp"
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

/// Whether a table could be used so (near, far, left, right): as the setup is, on its side and with its room
/// but for one pitch. The grid must outlive it.
std::function<bool(station::Hole, station::Hole, station::Hole, station::Hole)> usable_like(
    const station::Grid& grid, const station::Setup& setup);

/// The survey that a check may name other holes by. \throws units::InputError as run_survey
SurveyInUse survey_in_use(const SurveyRequest& request, const logbook::Logbook* log);
/// Puts it into a request: finds out whether the check is one of its own, and what stands between dogs and
/// panel.
void take_survey(CheckRequest& request, const SurveyInUse& survey, const logbook::Logbook& log,
                 std::int64_t now_utc);

/// The observations of a file as a survey takes them: blank uncertainties from the caliper and the play of
/// the dogs, checks from the log.
struct Observed {
  std::vector<survey::Observation> observations;
  std::vector<survey::Origin> origins;
  std::vector<std::string> barred;  ///< setups of its checks with a bar at the fence
  std::vector<std::string> checks;  ///< ids of the log's checks among them
};
/// `'shim on' of 2026-01-02`: what stood between dogs and rail or panel at that moment by the log; empty:
/// nothing.
std::string put_between(const logbook::Logbook& log, const std::string& station, const std::string& setup,
                        const files::Order& at);
Observed observed_of(const station::Station& station, const files::ObservationFile& file,
                     const logbook::Logbook* log);

/// A reading of the caliper, two for a comparison, and a quarter of the play of each dog that is put in [mm].
double u_of_caliper(const station::Station& station, const check::Caliper& caliper,
                    const survey::Observation& observation);

}  // namespace quarterturn::app
