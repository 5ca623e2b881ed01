// SPDX-License-Identifier: MIT
// When the next check is due, and since when panels may be out.
#include <algorithm>
#include <cmath>

#include "history/parts.hpp"
#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"

namespace quarterturn::history {
namespace {

constexpr double kOut = 0.05;  // probability that the next panel is out
constexpr double kIn = 1 - kOut;
constexpr std::size_t kFewest = 6;  // checks, for a date from the tolerance
constexpr int kHorizonDays = 365;   // how far a line is trusted; common practice, no source

/// The checks whose line is carried on: those of the series, after a step that was named only those since.
ColumnsView carried_on(const Parts& parts, const History& out) {
  if (out.change != Change::step) return parts.current;
  const auto& entry = parts.current.entry;
  return parts.current.from(
      static_cast<std::size_t>(std::ranges::lower_bound(entry, out.step.entry) - entry.begin()));
}

// (M75) First day on which P(|eta(t) + e| > T) reaches 5 %.
void tell_tolerance(const Parts& parts, const Settings& settings, const Lines& lines, const History& out,
                    Due& due) {
  if (!settings.tolerance_rad) {
    due.not_told = reason::kNoTolerance;
    return;
  }
  const ColumnsView c = carried_on(parts, out);
  if (c.size() < kFewest) {
    due.not_told = out.change == Change::step ? reason::kFewSinceStep : reason::kFewChecks;
    return;
  }
  if (std::ranges::max(c.date) - std::ranges::min(c.date) < kLeastTrendDays) {
    due.not_told = reason::kOneDay;
    return;
  }
  const bool is_trend = lines.trend && c.size() == parts.current.size();
  const auto line = is_trend ? *lines.trend : stats::meta_regression(c.y, c.v, c.date);
  const double panel2 = settings.panel_u_rad * settings.panel_u_rad + line.tau2;
  for (int day = 0; day <= kHorizonDays; ++day) {
    const double date = c.date.back() + day;
    const double inside = check::probability_inside(line.at(date), std::sqrt(line.variance_at(date) + panel2),
                                                    line.dof, *settings.tolerance_rad);
    if (inside > kIn) continue;
    // What is so on the very day of the last check is no question of when.
    if (day == 0) {
      due.not_told = reason::kPanelsScatter;
    } else {
      due.leaves_tolerance = date;
    }
    return;
  }
  due.not_told = reason::kNotWithinAYear;
}

}  // namespace

// (M75)
void tell_due(std::span<const Entry> entries, std::span<const Event> events, const Parts& parts,
              const Settings& settings, const Lines& lines, History& out) {
  if (parts.checks.size() == 0) return;
  const Entry& last = entries[parts.checks.entry.back()];
  Due due;
  due.date = last.date + settings.interval_days;
  const auto sooner = [&](double date, DueBy by) {
    if (date >= due.date) return;
    due.date = date;
    due.by = by;
  };
  std::optional<double> cause;
  for (std::size_t e = 0; e < events.size(); ++e) {
    const Event& event = events[e];
    if (event.kind == kCauseNoted) {
      // noted on the day of the check that proved it, before or after; or proved by the last check
      const bool proved = out.last_answer == check::Answer::within && parts.split[e] > 0 &&
                          parts.split[e] + 1 == parts.checks.size() &&
                          entries[parts.checks.entry[parts.split[e] - 1]].answer == check::Answer::outside;
      if (std::floor(event.date) < std::floor(last.date) && !proved) continue;
      cause = std::max(event.date, proved ? last.date : event.date);
      due.cause = e;
    } else if (parts.split[e] == parts.checks.size()) {
      if (!due.event) due.event = e;
      due.stands_otherwise = due.stands_otherwise || event.ends_validity;
      sooner(event.date, DueBy::event);
    }
  }
  if (cause) sooner(*cause + settings.after_cause_days, DueBy::cause);
  if (last.valid_until) sooner(std::max(*last.valid_until, last.date), DueBy::event);
  if (out.last_answer == check::Answer::outside || out.level_outside) {
    due.not_told = reason::kOutsideNow;
    sooner(last.date, DueBy::outside);
  } else {
    tell_tolerance(parts, settings, lines, out, due);
  }
  if (due.leaves_tolerance) sooner(*due.leaves_tolerance, DueBy::tolerance);
  out.due = due;
}

// (M76)
void tell_last_good(std::span<const Entry> entries, const Parts& parts, const Settings& settings,
                    History& out) {
  if (!settings.tolerance_rad || parts.checks.size() == 0) return;
  const Columns& c = parts.checks;
  const double tolerance = *settings.tolerance_rad;
  // The normal has the lightest tail: what fails with it fails with t, and costs nothing.
  const double least = stats::normal_quantile(kIn);
  const auto answer = [&](std::size_t i) {
    if (const auto& told = entries[c.entry[i]].answer) return *told;
    const double inside = check::probability_inside(c.y[i], std::sqrt(c.v[i]), c.dof[i], tolerance);
    if (inside >= kIn) return check::Answer::within;
    return inside <= kOut ? check::Answer::outside : check::Answer::cannot_tell;
  };
  out.last_answer = answer(c.size() - 1);
  const bool still = out.change == Change::none || out.change == Change::unknown;
  out.level_outside = still && parts.current.size() > 1 && !out.level.unknown && out.level.u > 0 &&
                      check::probability_inside(out.level.x, out.level.u, out.level.dof, tolerance) <= kOut;
  for (std::size_t i = c.size(); i-- > 0 && !out.last_good;) {
    const bool hopeless =
        !entries[c.entry[i]].answer && tolerance - std::fabs(c.y[i]) < least * std::sqrt(c.v[i]);
    if (!hopeless && answer(i) == check::Answer::within) out.last_good = c.entry[i];
  }
}

}  // namespace quarterturn::history
