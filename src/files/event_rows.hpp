// SPDX-License-Identifier: MIT
/// \file event_rows.hpp
/// Tables of events (`station,setup,date,event,note`) and of old results without readings
/// (`station,setup,when,test,error,over,side,plus_minus,already_divided,by,source`).
#pragma once

#include <string>
#include <vector>

#include "files/csv.hpp"
#include "files/log_document.hpp"

namespace quarterturn::files {

/// A record with the station's name as the table has it, not its id.
struct EventRow {
  std::string station;  ///< may be empty
  EventRecord record;
};
struct SummaryRow {
  std::string station;
  SummaryRecord record;
};

enum class TableKind { readings, events, summaries };
/// By its column row.
TableKind table_kind(const Text& text);

/// \throws units::InputError with file, line, column and a hint
std::vector<EventRow> parse_events(const Text& text);
std::vector<SummaryRow> parse_summaries(const Text& text);

/// What the columns of a summary say, from wherever they come. An error that is not divided yet is that of
/// the strip of its test: four corners. \throws units::InputError naming the column
struct SummaryWords {
  std::string when, test, error, over, side, plus_minus, already_divided, by, source;
};
SummaryRecord summary_of(const SummaryWords& words);
/// over-90, under-90, unknown
const std::vector<std::string>& sides_of_summaries();

}  // namespace quarterturn::files
