// SPDX-License-Identifier: MIT
/// \file log_report.hpp
/// What the log holds, as a person or a program reads it.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "logbook/logbook.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// Id to the name it is shown by.
std::map<std::string, std::string> station_names(const logbook::Logbook& log);

/// One line of the list: a check, an event or an old result, by date.
struct LogLine {
  std::int64_t utc = 0;
  std::string recorded, name, date, setup;
  std::string what;  ///< `over 90° by 0.17 ± 0.04 mm over 600 mm, OUTSIDE`, `knocked`
  bool withdrawn = false;
};

/// All of a station, or of all, by date; of one day in the order of recording.
std::vector<LogLine> log_lines(const logbook::Logbook& log, const std::string& station, units::Unit unit);
std::string log_list_text(const std::vector<LogLine>& lines, const TextOptions& options);
std::string log_list_json(const logbook::Logbook& log, const std::string& station);

/// A check with all its versions, notes and its withdrawal, and the readings as they were typed.
std::string log_show_text(const logbook::Logbook& log, const logbook::KeptCheck& kept,
                          const TextOptions& options);
std::string log_show_json(const logbook::Logbook& log, const logbook::KeptCheck& kept);

/// `over 90° by 0.17 ± 0.04 mm over 600 mm`
/// \param readings  of the check; a rail test needs them, to tell over which length
std::string result_words(const files::StoredResult& result, units::Unit unit,
                         const std::string& readings = {});

/// `crosscut: last check 2026-08-09, WITHIN, over 90° by 0.00 ± 0.03 mm over 600 mm. Next due 2026-11-07.`
std::string state_words(const logbook::SetupState& state, units::Unit unit);

/// A station with its setups that were checked.
struct StationStates {
  std::string station;
  std::vector<logbook::SetupState> states;
};
/// A line each, those first that wait for something: a check that is due, or one that was outside.
std::string stations_states_text(const std::vector<StationStates>& stations, const TextOptions& options);

/// Tables for a spreadsheet: one row a check; one row a reading.
std::string checks_csv(const logbook::Logbook& log, const std::string& station);
std::string readings_csv(const logbook::Logbook& log, const std::string& station);

}  // namespace quarterturn::report
