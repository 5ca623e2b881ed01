// SPDX-License-Identifier: MIT
/// \file history_report.hpp
/// The record of a setup, as a person or a program reads it.
#pragma once

#include <string>

#include "history/record.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// The answer, what is due, the plot, the evidence, what cannot be told yet.
std::string history_text(const history::Record& record, const TextOptions& options);
/// Why the next check is due when it is, and what the record rests on.
std::string history_why_text(const history::Record& record, const TextOptions& options);
/// Schema `quarterturn/history/1`.
std::string history_json(const history::Record& record);

/// The same in its parts, unwrapped; the last two are lists and may be empty.
struct HistoryWords {
  std::string answer, due, evidence, not_told;
};
HistoryWords history_words(const history::Record& record, const TextOptions& options);

/// Each check with its ± by date, the tolerance, events by letters. Long records: several checks a column,
/// their mean and range. Empty with fewer than two entries.
std::string history_plot(const history::Record& record, const TextOptions& options);

/// The same in words: each check, or of many the first, the least, the most and the last; and what happened.
std::string history_plot_words(const history::Record& record, const TextOptions& options);

/// Why something cannot be told, and what would tell it: the words of history::reason.
std::string reason_words(const std::string& reason);

}  // namespace quarterturn::report
