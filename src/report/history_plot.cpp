// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "report/amounts.hpp"
#include "report/canvas.hpp"
#include "report/history_parts.hpp"
#include "report/history_report.hpp"

namespace quarterturn::report {
namespace {

constexpr int kRows = 13;
constexpr int kMargin = 12;
constexpr int kWidest = 186, kNarrowest = 24;
constexpr int kEventRows = 3;
constexpr std::size_t kMostLines = 8;  ///< events with a line of their own

/// Days that the chart spans, with their names.
struct Span {
  double from = 0, to = 0;
  std::string first, last;
};

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

/// A column stays free at either side: what stands in the first would pass as part of the axis.
int day_column(const Span& days, double date, int columns) {
  return 1 + scaled(date, days.from, days.to, columns - 2);
}

/// Letters under the dates; those of one column stand below each other, a + where there is no room for more.
std::string events_rows(const Record& record, const Span& days, int columns) {
  Canvas canvas(columns, kEventRows);
  int used = 0;
  for (std::size_t k = first_lettered(record); k < record.events.size(); ++k) {
    const int at = day_column(days, record.events[k].date, columns);
    int row = 0;
    while (row < kEventRows && canvas.at(at, row) != " ") ++row;
    const char letter = static_cast<char>('a' + (k - first_lettered(record)));
    canvas.put_text(at, std::min(row, kEventRows - 1), std::string(1, row < kEventRows ? letter : '+'));
    used = std::max(used, std::min(row, kEventRows - 1) + 1);
  }
  std::string text;
  for (int row = 0; row < used; ++row) text += std::string(kMargin, ' ') + canvas.row(row) + "\n";
  return text;
}

/// Named events; those alike in day and words are one, under the letters they have: `d-f`.
std::vector<std::string> legend_items(const Record& record) {
  const std::size_t first = first_lettered(record);
  const auto letter = [&](std::size_t k) { return std::string(1, static_cast<char>('a' + (k - first))); };
  std::vector<std::string> items;
  for (std::size_t k = first; k < record.events.size();) {
    std::size_t last = k;
    while (last + 1 < record.events.size() && event_words(record, last + 1) == event_words(record, k)) ++last;
    items.push_back(letter(k) + (last > k ? "-" + letter(last) : "") + "  " + event_words(record, k));
    k = last + 1;
  }
  return items;
}

/// A line each, or where they are many as many on a line as there is room for.
std::string legend(const Record& record, int width) {
  const auto items = legend_items(record);
  std::string text, line;
  for (const auto& item : items) {
    const bool fits = items.size() > kMostLines && !line.empty() &&
                      columns_of(line) + columns_of(item) + 3 <= static_cast<std::size_t>(width);
    if (!fits) {
      if (!line.empty()) text.append(line).append("\n");
      line = "  ";
    } else {
      line += "   ";
    }
    line += item;
  }
  if (!line.empty()) text.append(line).append("\n");
  const std::size_t first = first_lettered(record);
  if (first > 0) text += fmt::format("  and {} earlier event{}\n", first, first == 1 ? "" : "s");
  return wrapped(text, width);
}

/// From the first check or event to the last.
Span days_of(const Record& record) {
  Span days{record.entries.front().date, record.entries.back().date, record.entry_names.front().date,
            record.entry_names.back().date};
  for (std::size_t k = first_lettered(record); k < record.events.size(); ++k) {
    const double date = record.events[k].date;
    if (date < days.from) {
      days.from = date;
      days.first = record.event_names[k].date;
    }
    if (date > days.to) {
      days.to = date;
      days.last = record.event_names[k].date;
    }
  }
  return days;
}

class Plot {
 public:
  Plot(const Record& record, const TextOptions& options)
      : record_(record),
        options_(options),
        columns_(std::clamp(drawn_width(options) - kMargin - 2, kNarrowest, kWidest)),
        crowded_(record.entries.size() > static_cast<std::size_t>(columns_)),
        days_(days_of(record)),
        canvas_(columns_, kRows) {
    if (record.settings.tolerance_rad) allowed_ = mm_of(record, *record.settings.tolerance_rad);
  }

  std::string text() {
    const auto at = gathered();
    axes();
    whiskers(at);
    points(at);
    std::string text = title();
    for (int r = 0; r < kRows; ++r) text += label(r) + " │" + canvas_.row(r, options_.color) + "\n";
    const int between = std::max(1, columns_ - static_cast<int>(days_.first.size() + days_.last.size()));
    text += fmt::format("{:{}}{}{:{}}{}\n", "", kMargin, days_.first, "", between, days_.last);
    return text + events_rows(record_, days_, columns_) + legend(record_, options_.width);
  }

 private:
  [[nodiscard]] int row_of(double mm) const { return kRows - 1 - scaled(mm, y_.low, y_.high, kRows); }
  [[nodiscard]] int column_of(double date) const { return day_column(days_, date, columns_); }
  [[nodiscard]] Ink ink(double mm) const {
    return allowed_ && std::fabs(mm) > *allowed_ ? Ink::mark : Ink::none;
  }

  std::vector<Column> gathered() {
    std::vector<Column> at(static_cast<std::size_t>(columns_));
    for (const auto& entry : record_.entries) {
      const double mm = mm_of(record_, entry.eta), half = crowded_ ? 0 : half_of(record_, entry);
      auto& column = at[static_cast<std::size_t>(column_of(entry.date))];
      column.sum += mm;
      ++(entry.hollow ? column.hollow : column.checks);
      for (const double end : {mm - half, mm + half}) {
        column.reach.take(end);
        y_.take(end);
      }
    }
    y_.take(0);
    if (allowed_) {
      y_.take(*allowed_);
      y_.take(-*allowed_);
    }
    return at;
  }

  void axes() {
    for (int c = 0; c < columns_; ++c) {
      canvas_.put(c, row_of(0), "─");
      if (!allowed_ || c % 2 != 0) continue;
      canvas_.put(c, row_of(*allowed_), "-");
      canvas_.put(c, row_of(-*allowed_), "-");
    }
  }

  void whiskers(const std::vector<Column>& at) {
    for (int c = 0; c < columns_; ++c) {
      const auto& column = at[static_cast<std::size_t>(c)];
      if (column.checks + column.hollow == 0) continue;
      for (int r = row_of(column.reach.high); r <= row_of(column.reach.low); ++r) canvas_.put(c, r, "│");
    }
  }

  void points(const std::vector<Column>& at) {
    for (int c = 0; crowded_ && c < columns_; ++c) {
      const auto& column = at[static_cast<std::size_t>(c)];
      const int here = column.checks + column.hollow;
      if (here > 0) put(c, column.sum / here, column.checks == 0);
    }
    if (crowded_) return;
    for (const auto& entry : record_.entries)  // each its own, also where two share a column
      put(column_of(entry.date), mm_of(record_, entry.eta), entry.hollow);
  }
  void put(int column, double mm, bool hollow) {
    canvas_.put(column, row_of(mm), hollow ? "○" : "●", ink(mm));
  }

  [[nodiscard]] std::string label(int row) const {
    std::string word;
    if (allowed_ && (row == row_of(*allowed_) || row == row_of(-*allowed_))) word = "allowed";
    if (row == 0) word = length_text(y_.high, options_.unit);
    if (row == kRows - 1) word = length_text(y_.low, options_.unit);
    if (row == row_of(0)) word = "square";
    return fmt::format("{:>{}} ", word, kMargin - 3);
  }

  [[nodiscard]] std::string title() const {
    std::string text = fmt::format(
        "The corner over {}, up is over 90°; {}{}{}\n", size_text(record_.panel_mm, options_.unit),
        crowded_ ? "● the mean of a column's checks, │ how far they reach" : "● a check with its ±",
        record_.history.hollow > 0 ? ", ○ an old result" : "",
        allowed_ ? fmt::format("; - - allowed, {}", length_text(*allowed_, options_.unit)) : "");
    return wrapped(options_.unicode ? text : ascii(text), options_.width);
  }

  const Record& record_;
  const TextOptions& options_;
  int columns_;
  bool crowded_;
  Span days_;
  Canvas canvas_;
  Range y_;
  std::optional<double> allowed_;
};

}  // namespace

std::string history_plot(const Record& record, const TextOptions& options) {
  return record.entries.size() < 2 ? "" : Plot(record, options).text();
}

}  // namespace quarterturn::report
