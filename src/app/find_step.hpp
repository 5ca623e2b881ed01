// SPDX-License-Identifier: MIT
/// \file find_step.hpp
/// `find` as one function: what the log knows of a station and the answers so far in, causes and the next
/// test out. Prints and asks nothing.
///
/// Maths    METHOD.md (M79)–(M83)
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "history/search.hpp"
#include "logbook/logbook.hpp"
#include "station/station.hpp"

namespace quarterturn::app {

struct FindRequest {
  station::Station station;
  std::string setup;  ///< empty: the one checked last
  std::string check;  ///< id of the one to explain, as if none had come behind it; empty: the newest
  history::Answers answers;
  /// What was told beside the log: kinds of events since the last good check.
  std::vector<history::Happened> told;
  double confidence = 0.95;
};

/// \throws units::InputError when the log knows no check of that setup whose side is known
history::Search find_step(const logbook::Logbook& log, const FindRequest& request);

/// The strip to measure again: the newest check's last one.
struct LastStrip {
  int from_cut = 0, to_cut = 0;
  double difference_mm = 0;  ///< fence end minus free end, as it was read
};
LastStrip last_strip(const logbook::Logbook& log, const history::Search& search);
/// Readings of one strip that differ by more were not of the same width [mm]; common practice, no source.
inline constexpr double kReadsOtherwiseMm = 0.05;

/// Keeps what happened since the last good check, as the person tells it. \param date  empty: today
/// \param about  `October 2025`, where the date is the middle of that; empty: the date is meant
void note_event(logbook::Logbook& log, const history::Search& search, const std::string& kind,
                const std::string& date, std::int64_t now_utc, const std::string& about = {});

/// Notes a cause as an event of today, `cause noted`, with the tests that were made. \param code  of
/// history::cause_rows() \returns the event's id
std::string note_cause(logbook::Logbook& log, const history::Search& result, const std::string& code,
                       const std::string& person, std::int64_t now_utc);

}  // namespace quarterturn::app
