// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>

#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/history_report.hpp"
#include "report/picture_parts.hpp"
#include "report/pictures.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using history::Entry;
using history::Record;

constexpr double kLeft = 50, kRight = 12, kTop = 46, kPlot = 190;
constexpr std::size_t kMostLetters = 26;
constexpr double kSecondsADay = 86400;

std::string day_of(double day) {
  return files::day_text(static_cast<std::int64_t>(std::floor(day) * kSecondsADay));
}

double half_mm(const Record& record, const Entry& entry) {
  return over_panel(record.panel_mm,
                    entry.u * stats::t_quantile(0.5 * (1 + record.settings.confidence), entry.dof));
}

/// The first days of months between two days, in steps that give at most `most` of them.
std::vector<double> months(double from, double to, int most) {
  using namespace std::chrono;
  const auto month_of = [](double day) {
    const year_month_day date{sys_days{days{static_cast<int>(std::floor(day))}}};
    return static_cast<int>(date.year()) * 12 + static_cast<int>(static_cast<unsigned>(date.month())) - 1;
  };
  const int first = month_of(from), last = month_of(to);
  std::vector<double> found;
  for (const int step : {1, 2, 3, 6, 12, 24, 60, 120, 600}) {
    found.clear();
    for (int m = (first + step) / step * step; m <= last; m += step) {
      const year_month_day date{year{m / 12}, month{static_cast<unsigned>(m % 12 + 1)}, day{1}};
      found.push_back(static_cast<double>(sys_days{date}.time_since_epoch().count()));
    }
    if (static_cast<int>(found.size()) <= most) break;
  }
  return found;
}

class Plot {
 public:
  Plot(const Record& record, units::Unit unit, double width, const std::string& marked)
      : record_(record),
        unit_(unit),
        marked_(marked),
        drawing_(width, "The record of the corner"),
        frame_{kLeft, kTop, width - kRight, kTop + kPlot} {
    spans();
  }
  Drawing drawn();

 private:
  [[nodiscard]] double mm(double rad) const { return over_panel(record_.panel_mm, rad); }
  void spans();
  void limits();
  void events();
  void dates();
  void entries();
  void crowd();
  void legend();

  const Record& record_;
  units::Unit unit_;
  const std::string& marked_;
  Drawing drawing_;
  Box frame_;
  Scale x_, y_;
};

void Plot::spans() {
  double from = record_.today, to = record_.today, low = 0, high = 0;
  for (const auto& entry : record_.entries) {
    from = std::min(from, entry.date);
    const double half = half_mm(record_, entry), at = mm(entry.eta);
    low = std::min(low, at - half);
    high = std::max(high, at + half);
  }
  if (!record_.entries.empty()) to = record_.entries.back().date;
  for (const auto& event : record_.events) {
    from = std::min(from, event.date);
    to = std::max(to, event.date);
  }
  if (record_.settings.tolerance_rad) {
    high = std::max(high, mm(*record_.settings.tolerance_rad));
    low = std::min(low, -mm(*record_.settings.tolerance_rad));
  }
  if (!(to > from)) to = from + 1;
  const double margin = 0.06 * std::max(high - low, 0.02);
  x_ = {from, to, frame_.left + 10, frame_.right - 10};
  y_ = {low - margin, high + margin, frame_.bottom, frame_.top};
}

void Plot::limits() {
  const auto& tolerance = record_.settings.tolerance_rad;
  const double allowed = tolerance ? mm(*tolerance) : 0;
  if (tolerance) drawing_.rect("q-zone", {frame_.left, y_(allowed), frame_.right, y_(-allowed)});
  upright_axis(drawing_, frame_, y_, unit_, 6);
  if (tolerance) {
    for (const double side : {-allowed, allowed})
      drawing_.line("q-limit", {frame_.left, y_(side)}, {frame_.right, y_(side)});
  }
  drawing_.line("q-axis", {frame_.left, y_(0)}, {frame_.right, y_(0)});
}

void Plot::events() {
  for (std::size_t k = 0; k < std::min(kMostLetters, record_.events.size()); ++k) {
    const double at = x_(record_.events[k].date);
    drawing_.line("q-event", {at, frame_.top - 4}, {at, frame_.bottom});
    const std::string letter(1, static_cast<char>('a' + k));
    std::vector<Spotted> places;
    for (const double aside : {0.0, 7.0, -7.0, 14.0, -14.0})
      places.push_back({{at + aside, frame_.top - 8}, Anchor::middle});
    for (const double aside : {0.0, 8.0, -8.0, 16.0, -16.0, 24.0, -24.0})
      places.push_back({{at + aside, frame_.top - 21}, Anchor::middle});
    drawing_.label("q-act", places, letter, kSmallSize);
  }
}

void Plot::dates() {
  const double under = frame_.bottom + 17;
  for (const double day : months(x_.from, x_.to, static_cast<int>((drawing_.width() - kLeft) / 64))) {
    drawing_.line("q-axis", {x_(day), frame_.bottom}, {x_(day), frame_.bottom + 4});
    drawing_.label("q-quiet", {{{x_(day), under}, Anchor::middle}}, day_of(day).substr(0, 7), kSmallSize);
  }
  drawing_.label("q-quiet", {{{frame_.left, under}}}, day_of(x_.from), kSmallSize);
  drawing_.label("q-quiet", {{{frame_.right, under}, Anchor::end}}, day_of(x_.to), kSmallSize);
  drawing_.line("q-axis", {frame_.left, frame_.bottom}, {frame_.right, frame_.bottom});
}

void Plot::entries() {
  for (const auto& entry : record_.entries) {
    const Point at{x_(entry.date), y_(mm(entry.eta))};
    const double half = half_mm(record_, entry);
    const double low = y_(mm(entry.eta) - half), high = y_(mm(entry.eta) + half);
    if (half > 0) {
      drawing_.line("q-fit", {at.x, low}, {at.x, high});
      for (const double end : {low, high}) drawing_.line("q-fit", {at.x - 3, end}, {at.x + 3, end});
    }
    drawing_.circle(entry.hollow ? Literal("q-hollow") : Literal("q-dot"), at, 4);
    drawing_.keep_free({at.x - 4, high - 2, at.x + 4, low + 2});
  }
  for (std::size_t k = 0; k < record_.entries.size() && !marked_.empty(); ++k) {
    const auto& entry = record_.entries[k];
    const Point at{x_(entry.date), y_(mm(entry.eta))};
    if (record_.entry_names.id(k) == marked_) {
      drawing_.circle("q-hollow", at, 8);
      drawing_.label("q-ink", around(at, 11), "this one", kSmallSize);
    }
  }
}

/// More checks than there is room for: the mean of those that fall together and how far they reach.
void Plot::crowd() {
  struct Column {
    double sum = 0, low = 0, high = 0;
    int checks = 0;
  };
  constexpr double kColumn = 3;
  std::vector<Column> columns(static_cast<std::size_t>((frame_.right - frame_.left) / kColumn) + 1);
  for (const auto& entry : record_.entries) {
    auto& column = columns[static_cast<std::size_t>((x_(entry.date) - frame_.left) / kColumn)];
    const double at = mm(entry.eta);
    column.low = column.checks == 0 ? at : std::min(column.low, at);
    column.high = column.checks == 0 ? at : std::max(column.high, at);
    column.sum += at;
    ++column.checks;
  }
  for (std::size_t k = 0; k < columns.size(); ++k) {
    const auto& column = columns[k];
    if (column.checks == 0) continue;
    const double at = frame_.left + kColumn * (static_cast<double>(k) + 0.5);
    drawing_.line("q-fit", {at, y_(column.low)}, {at, y_(column.high)});
    drawing_.circle("q-dot", {at, y_(column.sum / column.checks)}, 1.5);
  }
}

void Plot::legend() {
  double y = frame_.bottom + 38;
  std::string words =
      fmt::format("{} over {}, each check with its ±", in_words(unit_), size_text(record_.panel_mm, unit_));
  if (record_.history.hollow > 0) words += "; a ring is an old result without readings";
  if (record_.settings.tolerance_rad)
    words += "; allowed ± " + length_text(mm(*record_.settings.tolerance_rad), unit_) +
             " between the dashed lines";
  words += ".";
  for (const auto& line : broken(words, drawing_.width(), kSmallSize)) {
    drawing_.text("q-quiet", {{0, y}}, line, kSmallSize);
    y += 15;
  }
  for (std::size_t k = 0; k < std::min(kMostLetters, record_.events.size()); ++k) {
    const auto& target = record_.events[k].target;
    const std::string line =
        fmt::format("{} {}{}", record_.event_names[k].date.substr(0, 10), record_.event_names[k].name,
                    target.empty() ? "" : " (" + units::inert(target, 40) + ")");
    drawing_.text("q-act", {{0, y}}, std::string(1, static_cast<char>('a' + k)), kSmallSize);
    drawing_.text("q-quiet", {{16, y}}, fitted(line, drawing_.width() - 16, kSmallSize), kSmallSize);
    words += fmt::format(" {}: {}.", static_cast<char>('a' + k), line);
    y += 15;
  }
  if (record_.events.size() > kMostLetters) {
    drawing_.text("q-quiet", {{0, y}},
                  fmt::format("and {} further events", record_.events.size() - kMostLetters), kSmallSize);
    y += 15;
  }
  for (std::size_t k = record_.entries.size() > 12 ? record_.entries.size() - 12 : 0;
       k < record_.entries.size(); ++k) {
    const auto& entry = record_.entries[k];
    words += fmt::format(" {} {}: {} 90° by {}.", record_.entry_names[k].date.substr(0, 10),
                         record_.entry_names[k].name, side_word(entry.eta),
                         length_text(std::fabs(mm(entry.eta)), unit_));
  }
  drawing_.describe(words);
  drawing_.set_height(y - 4);
}

Drawing Plot::drawn() {
  drawing_.text("q-ink", {{0, 13}}, unit_word(unit_));
  drawing_.text("q-quiet", {{drawing_.width(), 13}, Anchor::end}, "up: over 90°", kSmallSize);
  limits();
  events();
  dates();
  if (static_cast<double>(record_.entries.size()) > (frame_.right - frame_.left) / 4)
    crowd();
  else
    entries();
  legend();
  return drawing_;
}

}  // namespace

Drawing history_picture(const Record& record, units::Unit unit, double width, const std::string& marked) {
  return Plot(record, unit, width, marked).drawn();
}

}  // namespace quarterturn::report
