// SPDX-License-Identifier: MIT
/// \file check_page.hpp
/// A check, several, or the record of a setup as one HTML file: the answer first, then drawings, the budget,
/// all readings, events, care, the method, and what traces a copy back.
#pragma once

#include <string>
#include <vector>

#include "correct/outcome.hpp"
#include "history/record.hpp"
#include "logbook/logbook.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// What the log has about a check or a setup, a line each, by date.
struct LogLines {
  std::vector<std::string> kept;    ///< when the check was kept, amended, withdrawn; notes
  std::vector<std::string> events;  ///< of the setup
  std::string compared;             ///< the caliper's last comparison before the check; empty: none is noted
  std::string withdrawn;            ///< why a check counts no more; empty: it counts
};
LogLines log_lines_of(const logbook::Logbook& log, const logbook::KeptCheck& kept, units::Unit unit);
/// Events that count. \param station  id \param setup  empty: of all its setups
std::vector<std::string> event_lines(const logbook::Logbook& log, const std::string& station,
                                     const std::string& setup);

/// One check of a report.
struct CheckShown {
  correct::Outcome outcome;
  std::optional<plan::Settling> settles;
  std::string name;      ///< `dock/3`, or the name of its file
  std::string readings;  ///< its readings file, as the log keeps it: what the checksum is of
  std::string log_id;    ///< of the check; empty: it is not kept
  std::string program;   ///< the version that computed what is kept; empty: it is not kept
  LogLines lines;
  std::optional<history::Record> record;  ///< of its setup; empty without a log
  units::Unit unit = units::Unit::mm;
};
/// \param made_on  the day, 2026-03-14
std::string check_page(const std::vector<CheckShown>& checks, const std::string& made_on);

/// The record of one setup.
struct RecordShown {
  history::Record record;
  std::string station_id;
  std::string checks;  ///< its table of checks, as `--format csv` gives it
  std::vector<std::string> events;
  units::Unit unit = units::Unit::mm;
};
/// \param records  one a setup that was checked
std::string record_page(const std::vector<RecordShown>& records, const std::string& made_on);

/// The mark that stands before a verdict, so that colour is not alone.
const char* verdict_sign(check::Answer answer);
/// What how_sure_text says, without its lead: it stands under a heading of that name.
std::string sure_words(const correct::Outcome& outcome, const TextOptions& options);

/// How a check is computed, in half a page, with the equation numbers of METHOD.md.
std::string check_method_text(const check::Check& check);
std::string record_method_text();

}  // namespace quarterturn::report
