// SPDX-License-Identifier: MIT
// Trend, step, and which of them is named.
#include <algorithm>
#include <cmath>

#include "history/parts.hpp"
#include "stats/change_point.hpp"
#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"

namespace quarterturn::history {
namespace {

constexpr double kLevel = 0.05;

/// (M69) The line through results whose own u is all that is known: two checks, or one with old results.
Trend known_trend(const ColumnsView& c, double confidence) {
  double total = 0, centre = 0, sxx = 0, slope = 0;
  for (std::size_t i = 0; i < c.size(); ++i) {
    total += 1 / c.v[i];
    centre += c.date[i] / c.v[i];
  }
  centre /= total;
  for (std::size_t i = 0; i < c.size(); ++i) sxx += (c.date[i] - centre) * (c.date[i] - centre) / c.v[i];
  Pooled pooled;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double share = (c.date[i] - centre) / (c.v[i] * sxx);
    slope += share * c.y[i];
    pooled.add(share * share * c.v[i], c.dof[i]);
  }
  Trend trend;
  trend.per_day = estimate_of(slope, pooled.variance, pooled.dof(), confidence);
  trend.p = 2 * stats::t_probability(-std::fabs(slope) / trend.per_day.u, pooled.dof());
  trend.known_u_only = true;
  return trend;
}

bool short_time(const ColumnsView& c) {
  return c.size() == 0 || std::ranges::max(c.date) - std::ranges::min(c.date) < kLeastTrendDays;
}

}  // namespace

void tell_trend(const Parts& parts, const Settings& settings, Lines& lines, History& out) {
  const ColumnsView& c = parts.with_hollow;
  if (c.size() < 2 || short_time(c)) {
    out.trend.per_day = unknown_because(c.size() == 0   ? reason::kNoChecks
                                        : c.size() == 1 ? reason::kOneCheck
                                                        : reason::kOneDay);
    return;
  }
  if (parts.current.size() < 3 || short_time(parts.current)) {
    out.trend = known_trend(c, settings.confidence);
    return;
  }
  const auto line = stats::meta_regression(c.y, c.v, c.date, stats::Between::reml, parts.informs);
  out.trend.per_day = estimate_of(line.slope, line.slope_variance, line.dof, settings.confidence);
  out.trend.p = line.slope_p();
  if (parts.informs.empty()) lines.trend = line;
}

namespace {

/// Places of the events that lie between two checks of the current series.
std::vector<std::size_t> candidates_of(const Parts& parts) {
  std::vector<std::size_t> places;
  for (const std::size_t split : parts.split) {
    if (split <= parts.current_from || split >= parts.checks.size()) continue;
    const std::size_t place = split - parts.current_from;
    if (places.empty() || places.back() != place) places.push_back(place);
  }
  return places;
}

/// (M70) Size of a step at its place: (M59), and never surer than the u of the checks are.
check::Estimate size_at(const ColumnsView& c, std::size_t place, double confidence, Lines& lines) {
  std::vector<double> after(c.size(), 0.0);
  double known[2] = {0, 0};
  for (std::size_t i = 0; i < c.size(); ++i) {
    after[i] = i >= place ? 1 : 0;
    known[i >= place ? 1 : 0] += 1 / c.v[i];
  }
  const auto line = stats::meta_regression(c.y, c.v, after);
  lines.step_tau2 = line.tau2;
  return no_surer_than(estimate_of(line.slope, line.slope_variance, line.dof, confidence),
                       std::sqrt(1 / known[0] + 1 / known[1]));
}

}  // namespace

void tell_step(const Parts& parts, std::span<const Event> events, const Settings& settings, Lines& lines,
               History& out) {
  const ColumnsView& c = parts.current;
  if (c.size() < 3) {
    out.step.unknown = c.size() == 0   ? reason::kNoChecks
                       : c.size() == 1 ? reason::kOneCheck
                                       : reason::kTwoChecks;
    out.step.size = unknown_because(out.step.unknown->c_str());
    return;
  }
  const auto candidates = candidates_of(parts);
  stats::StepOptions options;
  options.tau2 = out.scatter.sd * out.scatter.sd;
  options.dof = c.dof;
  options.candidates = candidates;
  const auto found = stats::largest_step(c.y, c.v, options);
  std::size_t place = found.largest.index, first = found.first, last = found.last;
  out.step.p = found.p;
  if (found.at_candidate) {  // (M70) two searches: the better p counts twice
    out.step.p = std::min(1.0, 2 * std::min(found.p, found.candidate_p));
    const std::size_t event = found.at_candidate->index;
    const bool as_likely = event >= first && event <= last;
    const bool only_there = found.p > kLevel && found.candidate_p <= kLevel / 2;
    if (as_likely || only_there) place = event;
    if (!as_likely && only_there) first = last = event;
  }
  out.step.entry = c.entry[place];
  out.step.after = c.date[place - 1];
  out.step.before = c.date[place];
  out.step.earliest = c.date[first - 1];
  out.step.latest = c.date[last];
  out.step.size = size_at(c, place, settings.confidence, lines);
  for (std::size_t e = 0; e < events.size(); ++e) {
    if (parts.split[e] == parts.current_from + place) out.step.event = e;
  }
}

// (M71)
void tell_change(const Parts& parts, const Lines& lines, History& out) {
  const ColumnsView& c = parts.current;
  if (c.size() < 3) return;
  const bool beyond_u = [&] {
    double before = 0, after = 0;
    for (std::size_t i = 0; i < c.size(); ++i) (c.entry[i] < out.step.entry ? before : after) += 1 / c.v[i];
    return std::fabs(out.step.size.x) > stats::kTwoSided95 * std::sqrt(1 / before + 1 / after);
  }();
  const bool step = out.step.p <= kLevel && beyond_u;
  const bool trend =
      !out.trend.per_day.unknown && !out.trend.known_u_only && out.trend.p <= kLevel &&
      std::fabs(out.trend.per_day.x) > stats::kTwoSided95 * known_trend(parts.with_hollow, 0.95).per_day.u;
  if (!step && !trend) {
    out.change = Change::none;
    return;
  }
  double tau2 = lines.step_tau2.value();
  if (!short_time(c))
    tau2 = std::min(tau2, lines.trend ? lines.trend->tau2 : stats::between_variance(c.y, c.v, c.date));
  std::vector<double> v(c.v.begin(), c.v.end());
  for (double& one : v) one += tau2;
  out.log_odds = stats::step_against_trend(c.y, v, c.date);
  out.change = Change::not_told_apart;
  if (c.size() < stats::kFewestToldApart) return;
  if (out.log_odds >= std::log(stats::kToldApart)) out.change = Change::step;
  if (out.log_odds <= -std::log(stats::kToldApart)) out.change = Change::trend;
}

}  // namespace quarterturn::history
