// SPDX-License-Identifier: MIT
#include "history/history.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "history/parts.hpp"
#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"

namespace quarterturn::history {

void Columns::add(const Entry& from, std::size_t index) {
  entry.push_back(index);
  date.push_back(from.date);
  y.push_back(from.eta);
  v.push_back(from.u * from.u);
  dof.push_back(from.dof);
}

void Columns::reserve(std::size_t count) {
  entry.reserve(count);
  for (auto* column : {&date, &y, &v, &dof}) column->reserve(count);
}

check::Estimate estimate_of(double x, double variance, double dof, double confidence) {
  check::Estimate out;
  out.x = x;
  out.u = std::sqrt(variance);
  out.dof = dof;
  out.confidence = confidence;
  out.half_width = stats::t_quantile(0.5 * (1 + confidence), dof) * out.u;
  return out;
}

check::Estimate no_surer_than(check::Estimate estimate, double u) {
  const double least = stats::normal_quantile(0.5 * (1 + estimate.confidence)) * u;
  if (estimate.half_width >= least) return estimate;
  const double q = stats::t_quantile(0.5 * (1 + estimate.confidence), estimate.dof);
  estimate.half_width = least;
  estimate.u = least / q;
  return estimate;
}

check::Estimate unknown_because(const char* reason) {
  check::Estimate out;
  out.unknown = reason;
  return out;
}

namespace {

void hold_order(std::span<const Entry> entries, std::span<const Event> events) {
  const auto by_date = [](const auto& a, const auto& b) { return a.date < b.date; };
  if (!std::ranges::is_sorted(entries, by_date) || !std::ranges::is_sorted(events, by_date))
    throw std::domain_error("history: checks and events go in by date");
  if (!std::ranges::all_of(events, [](const Event& event) { return std::isfinite(event.date); }))
    throw std::domain_error("history: an event needs a date");
  for (const Entry& entry : entries) {
    const bool told = std::isfinite(entry.u) && (entry.u > 0 || (entry.hollow && entry.u == 0));
    if (!std::isfinite(entry.date) || !std::isfinite(entry.eta) || !told || !(entry.dof > 0))
      throw std::domain_error("history: a check needs a date, a finite eta, and u and dof above 0");
  }
}

/// On its own day an event comes after a check whose validity it ended, and before any other.
bool precedes(const Entry& entry, const Event& event) {
  return entry.date < event.date ||
         (entry.date == event.date && entry.valid_until && *entry.valid_until <= event.date);
}

/// (M68) Dogs, rail or fence stand otherwise after it: not only put in anew.
bool changes(const Event& event) {
  return event.ends_validity && event.kind != kReinserted;
}

enum class Between { nothing, insertion, change };

/// (M68) What two checks that follow one another have between them: these events, and perhaps one nobody
/// noted.
Between between(const Entry& earlier, const Entry& later, std::span<const Event> lying) {
  const bool ended = earlier.valid_until && *earlier.valid_until <= later.date;
  const bool inserted = std::ranges::any_of(lying, [](const Event& e) { return e.kind == kReinserted; });
  if (std::ranges::any_of(lying, changes) || (ended && !inserted)) return Between::change;
  return inserted ? Between::insertion : Between::nothing;
}

/// Old results belong to the current series when nothing changed between them and it.
void add_hollow(std::span<const Entry> entries, std::span<const Event> events, double begins, Parts& parts) {
  parts.with_hollow = parts.current;
  const double last = parts.checks.date.back();
  double ends = std::numeric_limits<double>::infinity();
  for (const Event& event : events) {
    if (changes(event) && event.date >= last && event.date > begins) ends = std::min(ends, event.date);
  }
  const auto belongs = [&](const Entry& entry) {
    return entry.u > 0 && !(entry.date < begins || entry.date > ends);
  };
  if (parts.checks.size() == entries.size() ||
      std::ranges::none_of(entries, [&](const Entry& entry) { return entry.hollow && belongs(entry); }))
    return;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const Entry& entry = entries[i];
    if (entry.hollow ? !belongs(entry) : i < parts.current.entry.front()) continue;
    parts.mixed.add(entry, i);
    parts.informs.push_back(entry.hollow ? 0 : 1);
  }
  parts.with_hollow = parts.mixed.view();
}

}  // namespace

// (M68)
Parts parts_of(std::span<const Entry> entries, std::span<const Event> events) {
  Parts parts;
  std::size_t next = 0, from = 0;
  double begins = -std::numeric_limits<double>::infinity();
  parts.checks.reserve(entries.size());
  parts.series.reserve(entries.size());
  parts.insertion.reserve(entries.size());
  const Entry* earlier = nullptr;
  int series = 0, insertion = 0;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const Entry& entry = entries[i];
    if (entry.hollow) continue;
    for (; next < events.size() && !precedes(entry, events[next]); ++next)
      parts.split.push_back(parts.checks.size());
    const auto lying = events.subspan(from, next - from);
    const Between what = earlier == nullptr ? Between::nothing : between(*earlier, entry, lying);
    if (what != Between::nothing) ++insertion;
    if (what == Between::change) {
      ++series;
      parts.current_from = parts.checks.size();
      begins = earlier->valid_until.value_or(earlier->date);
    }
    for (const Event& event : lying) {
      if (changes(event)) begins = event.date;
    }
    parts.checks.add(entry, i);
    parts.series.push_back(series);
    parts.insertion.push_back(insertion);
    earlier = &entry;
    from = next;
  }
  parts.split.resize(events.size(), parts.checks.size());
  parts.current = parts.checks.view().from(parts.current_from);
  if (parts.current.size() > 0) add_hollow(entries, events, begins, parts);
  return parts;
}

namespace {

/// Weighted mean of checks whose own u is all that is known of their scatter.
check::Estimate known_mean(const ColumnsView& c, double confidence) {
  double total = 0, sum = 0;
  for (std::size_t i = 0; i < c.size(); ++i) {
    total += 1 / c.v[i];
    sum += c.y[i] / c.v[i];
  }
  Pooled pooled;
  for (std::size_t i = 0; i < c.size(); ++i) pooled.add(1 / (c.v[i] * total * total), c.dof[i]);
  return estimate_of(sum / total, pooled.variance, pooled.dof(), confidence);
}

// (M69), (M70)
void tell_level(const Parts& parts, const Settings& settings, History& out) {
  const ColumnsView& c = parts.current;
  if (c.size() < 2) {
    const char* reason = c.size() == 0 ? reason::kNoChecks : reason::kOneCheck;
    out.constancy.unknown = reason;
    out.scatter.unknown = reason;
    out.level = c.size() == 0 ? unknown_because(reason) : known_mean(c, settings.confidence);
    return;
  }
  const auto q = stats::cochran_q(c.y, c.v);
  out.constancy = {q.q, q.dof, stats::welch_test(c.y, c.v, c.dof).p, {}};
  if (c.size() < 3) {
    out.level = known_mean(c, settings.confidence);
    out.scatter.unknown = reason::kTwoChecks;
    return;
  }
  const auto mean = stats::weighted_mean(c.y, c.v);
  out.level =
      no_surer_than(estimate_of(mean.intercept, mean.intercept_variance, mean.dof, settings.confidence),
                    known_mean(c, settings.confidence).u);
  const auto range = stats::between_variance_interval(c.y, c.v, settings.confidence);
  out.scatter = {std::sqrt(mean.tau2), std::sqrt(range.low), std::sqrt(range.high), mean.dof, {}};
}

// (M69) with the two last checks, whatever lies between them
void tell_since_last(const Parts& parts, const Settings& settings, History& out) {
  const Columns& c = parts.checks;
  const std::size_t n = c.size();
  if (n < 2) {
    out.since_last = unknown_because(n == 0 ? reason::kNoChecks : reason::kOneCheck);
    return;
  }
  Pooled pooled;
  pooled.add(c.v[n - 2], c.dof[n - 2]);
  pooled.add(c.v[n - 1], c.dof[n - 1]);
  const double moved = c.y[n - 1] - c.y[n - 2];
  out.since_last = estimate_of(moved, pooled.variance, pooled.dof(), settings.confidence);
  out.since_last_p = 2 * stats::t_probability(-std::fabs(moved) / out.since_last.u, pooled.dof());
}

void tell_chart(const Parts& parts, History& out) {
  out.chart = stats::self_starting_ewma(parts.current.y, parts.current.v);
  for (std::size_t i = out.chart.size(); i-- > 0 && out.chart[i].alarm;) out.alarm_since = i;
}

}  // namespace

History history_of(std::span<const Entry> entries, std::span<const Event> events, const Settings& settings) {
  hold_order(entries, events);
  const Parts parts = parts_of(entries, events);
  Lines lines;
  History out;
  out.checks = static_cast<int>(parts.checks.size());
  out.hollow = static_cast<int>(entries.size() - parts.checks.size());
  out.series.assign(parts.current.entry.begin(), parts.current.entry.end());
  if (parts.checks.size() > 0)
    out.insertions = 1 + parts.insertion.back() - parts.insertion[parts.current_from];
  tell_level(parts, settings, out);
  tell_since_last(parts, settings, out);
  tell_trend(parts, settings, lines, out);
  tell_step(parts, events, settings, lines, out);
  tell_change(parts, lines, out);
  tell_events(parts, events, settings, out);
  tell_chart(parts, out);
  tell_play(parts, settings, out);
  tell_last_good(entries, parts, settings, out);
  tell_due(entries, events, parts, settings, lines, out);
  return out;
}

}  // namespace quarterturn::history
