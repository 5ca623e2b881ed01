// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/amounts.hpp"
#include "report/canvas.hpp"
#include "report/history_report.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using history::Record;

constexpr int kRows = 13;
constexpr int kMargin = 12;
constexpr int kWidest = 100, kNarrowest = 24;
constexpr std::size_t kMostLetters = 26;

struct Range {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
  void take(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

/// What stands in one column: the mean of its checks, and how far they and their ± reach.
struct Column {
  double sum = 0;
  int checks = 0, hollow = 0;
  Range reach;
};

double mm_of(const Record& record, double rad) {
  return over_panel(record.panel_mm, rad);
}

double half_of(const Record& record, const history::Entry& entry) {
  return mm_of(record, entry.u * stats::t_quantile(0.5 * (1 + record.settings.confidence), entry.dof));
}

std::string label(double mm, units::Unit unit) {
  return fmt::format("{:>{}} ", length_text(mm, unit), kMargin - 3);
}

/// Letters under the dates; of events in one column the first has its letter there.
std::string events_row(const Record& record, double from, double to, int columns) {
  std::string row(static_cast<std::size_t>(columns), ' ');
  for (std::size_t k = 0; k < std::min(kMostLetters, record.events.size()); ++k) {
    const int at = scaled(std::clamp(record.events[k].date, from, to), from, to, columns);
    char& cell = row[static_cast<std::size_t>(at)];
    if (cell == ' ') cell = static_cast<char>('a' + k);
  }
  row.erase(row.find_last_not_of(' ') + 1);
  return row.empty() ? "" : std::string(kMargin, ' ') + row + "\n";
}

std::string legend(const Record& record) {
  std::string text;
  for (std::size_t k = 0; k < std::min(kMostLetters, record.events.size()); ++k) {
    const auto& named = record.event_names[k];
    const auto& target = record.events[k].target;
    text += fmt::format("  {}  {} {}{}\n", static_cast<char>('a' + k), named.date, named.name,
                        target.empty() ? "" : " (" + units::inert(target, 40) + ")");
  }
  if (record.events.size() > kMostLetters)
    text += fmt::format("  and {} further events\n", record.events.size() - kMostLetters);
  return text;
}

}  // namespace

std::string history_plot(const Record& record, const TextOptions& options) {
  if (record.entries.size() < 2) return "";
  const int columns = std::clamp(options.width - kMargin - 2, kNarrowest, kWidest);
  double from = record.entries.front().date, to = record.entries.back().date;
  Range y;
  const bool crowded = record.entries.size() > static_cast<std::size_t>(columns);
  std::vector<Column> at(static_cast<std::size_t>(columns));
  for (const auto& entry : record.entries) {
    const double mm = mm_of(record, entry.eta), half = crowded ? 0 : half_of(record, entry);
    auto& column = at[static_cast<std::size_t>(scaled(entry.date, from, to, columns))];
    column.sum += mm;
    ++(entry.hollow ? column.hollow : column.checks);
    column.reach.take(mm - half);
    column.reach.take(mm + half);
    y.take(mm - half);
    y.take(mm + half);
  }
  y.take(0);
  const auto& tolerance = record.settings.tolerance_rad;
  if (tolerance) {
    y.take(mm_of(record, *tolerance));
    y.take(-mm_of(record, *tolerance));
  }
  const auto row_of = [&](double mm) { return kRows - 1 - scaled(mm, y.low, y.high, kRows); };
  Canvas canvas(columns, kRows);
  for (int c = 0; c < columns; ++c) {
    canvas.put(c, row_of(0), "─");
    if (!tolerance || c % 2 != 0) continue;
    canvas.put(c, row_of(mm_of(record, *tolerance)), "-");
    canvas.put(c, row_of(-mm_of(record, *tolerance)), "-");
  }
  for (int c = 0; c < columns; ++c) {
    const auto& column = at[static_cast<std::size_t>(c)];
    const int here = column.checks + column.hollow;
    if (here == 0) continue;
    for (int r = row_of(column.reach.high); r <= row_of(column.reach.low); ++r) canvas.put(c, r, "│");
    if (crowded) canvas.put(c, row_of(column.sum / here), column.checks > 0 ? "●" : "○");
  }
  for (const auto& entry : record.entries) {  // each its own, also where two share a column
    if (!crowded)
      canvas.put(scaled(entry.date, from, to, columns), row_of(mm_of(record, entry.eta)),
                 entry.hollow ? "○" : "●");
  }
  const auto unit = options.unit;
  std::string text = fmt::format(
      "The corner over {}, ● a check with its ±{}{}\n", size_text(record.panel_mm, unit),
      record.history.hollow > 0 ? ", ○ an old result" : "",
      tolerance ? fmt::format("; allowed between - - lines, {}", length_text(mm_of(record, *tolerance), unit))
                : "");
  text = wrapped(options.unicode ? text : ascii(text), options.width);
  if (crowded) text += "Several checks a column: their mean ● and how far they reach.\n";
  for (int r = 0; r < kRows; ++r) {
    std::string head(kMargin - 2, ' ');
    if (r == 0) head = label(y.high, unit);
    if (r == kRows - 1) head = label(y.low, unit);
    if (r == row_of(0)) head = fmt::format("{:>{}} ", "square", kMargin - 3);
    text += head + " │" + canvas.row(r) + "\n";
  }
  const auto& first = record.entry_names.front().date;
  const auto& last = record.entry_names.back().date;
  text += std::string(kMargin, ' ') + first +
          std::string(static_cast<std::size_t>(std::max(1, columns - 20)), ' ') + last + "\n";
  return text + events_row(record, from, to, columns) + legend(record);
}

}  // namespace quarterturn::report
