// SPDX-License-Identifier: MIT
// Why the next check is due when it is, and what the record rests on.
#include <fmt/format.h>

#include <cmath>

#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/history_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr std::size_t kTold = 5;

std::string day_words(double day) {
  return files::day_text(static_cast<std::int64_t>(std::floor(day)) * 86400);
}

std::string entry_words(const history::Record& record, std::size_t at, const TextOptions& options) {
  const auto& entry = record.entries[at];
  const auto named = record.entry_names[at];
  return fmt::format("- {} ({}): {} 90° by {}, one standard uncertainty {}.\n", named.date,
                     units::inert(named.name), side_word(entry.eta),
                     length_text(std::fabs(over_panel(record.panel_mm, entry.eta)), options.unit),
                     length_text(over_panel(record.panel_mm, entry.u), options.unit, 3));
}

/// Each date that could have been it; the earliest counts.
std::string due_words(const history::Record& record) {
  const auto& h = record.history;
  if (!h.due) return "";
  const auto& due = *h.due;
  std::size_t last = record.entries.size();
  while (last > 0 && record.entries[last - 1].hollow) --last;
  if (last == 0) return "";
  const auto& entry = record.entries[last - 1];
  std::string text =
      fmt::format("The next check: of these dates the earliest\n- {}: {:.0f} days after {}.\n",
                  day_words(entry.date + record.settings.interval_days), record.settings.interval_days,
                  units::inert(record.entry_names[last - 1].name));
  if (due.event) {
    const auto& event = record.event_names[*due.event];
    text += fmt::format("- {}: '{}'{}.\n", event.date, event.name,
                        due.stands_otherwise ? ", after which it may stand otherwise" : "");
  }
  if (due.cause) {
    text += fmt::format("- {}{:.0f} days after the cause noted on {}, or after the check that proved it.\n",
                        due.by == history::DueBy::cause ? day_words(due.date) + ": " : "",
                        record.settings.after_cause_days, record.event_names[*due.cause].date);
  }
  if (due.leaves_tolerance) {
    text += fmt::format(
        "- {}: by then the next panel is out with a chance of 5 %, as the checks drift and scatter.\n",
        day_words(*due.leaves_tolerance));
  } else if (!due.not_told.empty()) {
    text += fmt::format("- When a panel leaves what is allowed cannot be told: {}.\n",
                        reason_words(due.not_told));
  }
  if (due.by == history::DueBy::outside)
    return text + "It is outside: the check comes as soon as it is put right.\n";
  return text + fmt::format("So {}.\n", day_words(due.date));
}

}  // namespace

std::string history_why_text(const history::Record& record, const TextOptions& options) {
  const auto& series = record.history.series;
  std::string text = due_words(record);
  if (series.empty()) return finished(text, options);
  const std::size_t from = series.size() - std::min(series.size(), kTold);
  text += fmt::format("It rests on {}\n",
                      series.size() == 1 ? std::string("one check of the table as it stands")
                                         : fmt::format("{} checks of the table as it stands{}", series.size(),
                                                       from > 0 ? ", the last of them" : ""));
  for (std::size_t k = from; k < series.size(); ++k) text += entry_words(record, series[k], options);
  const auto& level = record.history.level;
  if (series.size() > 1 && !level.unknown) {
    text +=
        fmt::format("Each counts by its uncertainty: together {} 90° by {} over {}.\n", side_word(level.x),
                    plus_minus_text(std::fabs(over_panel(record.panel_mm, level.x)),
                                    over_panel(record.panel_mm, level.half_width), options.unit),
                    size_text(record.panel_mm, options.unit));
  }
  return finished(text, options);
}

}  // namespace quarterturn::report
