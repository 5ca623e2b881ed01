// SPDX-License-Identifier: MIT
// What stood before and after each event; how far the dogs' play goes from one insertion to the next.
#include <algorithm>
#include <cmath>

#include "history/parts.hpp"
#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"

namespace quarterturn::history {
namespace {

/// Sums over checks 0 … k-1, so that the mean of any run of them costs nothing.
struct Sums {
  std::vector<double> w, wy, own, own2;  // own: sum of w^2 v; own2: sum of (w^2 v)^2/dof

  Sums(const Columns& c, double tau2) {
    for (auto* column : {&w, &wy, &own, &own2}) column->assign(c.size() + 1, 0.0);
    for (std::size_t i = 0; i < c.size(); ++i) {
      const double weight = 1 / (c.v[i] + tau2), part = weight * weight * c.v[i];
      w[i + 1] = w[i] + weight;
      wy[i + 1] = wy[i] + weight * c.y[i];
      own[i + 1] = own[i] + part;
      own2[i + 1] = own2[i] + part * part / c.dof[i];
    }
  }
};

/// Mean of one run, its variance 1/W, and (sum of squares of what is estimated, each over its dof).
struct Run {
  double mean = 0, variance = 0, inverse = 0;
};
Run run_of(const Sums& sums, std::size_t from, std::size_t to, double tau_dof) {
  const double total = sums.w[to] - sums.w[from], t2 = total * total;
  const double own = (sums.own[to] - sums.own[from]) / t2;
  Run run{(sums.wy[to] - sums.wy[from]) / total, 1 / total, (sums.own2[to] - sums.own2[from]) / (t2 * t2)};
  const double between = std::max(0.0, run.variance - own);
  if (between > 0 && tau_dof > 0) run.inverse += between * between / tau_dof;
  return run;
}

/// No more scatter than their own u lets expect.
bool alike(const Columns& c, std::size_t from, std::size_t to) {
  constexpr double kLevel = 0.05;
  if (to - from < 2) return true;
  const auto part = [&](const std::vector<double>& all) { return std::span(all).subspan(from, to - from); };
  return stats::welch_test(part(c.y), part(c.v), part(c.dof)).p >= kLevel;
}

}  // namespace

// (M72)
void tell_events(const Parts& parts, std::span<const Event> events, const Settings& settings, History& out) {
  const std::size_t n = parts.checks.size();
  if (n < 2 || events.empty()) return;
  // What lies between checks with no event between them: a step at an event is no scatter.
  std::vector<int> run(n, 0);
  for (const std::size_t at : parts.split) {
    if (at < n) run[at] = 1;
  }
  for (std::size_t i = 1; i < n; ++i) run[i] += run[i - 1];
  const auto between = stats::between_variance_grouped(parts.checks.y, parts.checks.v, run);
  const Sums sums(parts.checks, between.tau2), own(parts.checks, 0);
  for (std::size_t first = 0, next = 0, from = 0; first < events.size(); first = next) {
    const std::size_t at = parts.split[first];
    while (next < events.size() && parts.split[next] == at) ++next;  // between the same two checks
    const std::size_t to = next < events.size() ? parts.split[next] : n;
    if (at > 0 && at < n) {
      // Where checks on one side moved by themselves, their neighbours alone tell what it did.
      const bool near_alone = !alike(parts.checks, from, at) || !alike(parts.checks, at, to);
      const Run before = near_alone ? run_of(own, at - 1, at, 0) : run_of(sums, from, at, between.dof);
      const Run after = near_alone ? run_of(own, at, at + 1, 0) : run_of(sums, at, to, between.dof);
      AtEvent told;
      told.before = near_alone ? 1 : static_cast<int>(at - from);
      told.after = near_alone ? 1 : static_cast<int>(to - at);
      told.shared = next - first > 1;
      const double variance = before.variance + after.variance, inverse = before.inverse + after.inverse;
      const double dof = inverse > 0 ? variance * variance / inverse : check::kUnbounded;
      told.size = estimate_of(after.mean - before.mean, variance, dof, settings.confidence);
      told.p = 2 * stats::t_probability(-std::fabs(told.size.x) / told.size.u, dof);
      for (told.event = first; told.event < next; ++told.event) out.at_events.push_back(told);
    }
    from = at;
  }
}

// (M73)
void tell_play(const Parts& parts, const Settings& settings, History& out) {
  const Columns& c = parts.checks;
  if (c.size() == 0 || parts.insertion.front() == parts.insertion.back()) {
    out.play.unknown = reason::kNotInserted;
    return;
  }
  // What one insertion's checks scatter among themselves is no play.
  const double within = stats::between_variance_grouped(c.y, c.v, parts.insertion).tau2;
  std::vector<double> y, v;
  std::vector<int> series;
  for (std::size_t i = 0; i < c.size();) {
    double total = 0, sum = 0;
    const std::size_t begin = i;
    for (; i < c.size() && parts.insertion[i] == parts.insertion[begin]; ++i) {
      total += 1 / (c.v[i] + within);
      sum += c.y[i] / (c.v[i] + within);
    }
    y.push_back(sum / total);
    v.push_back(1 / total);
    series.push_back(parts.series[begin]);
  }
  if (std::ranges::adjacent_find(series) == series.end()) {
    out.play.unknown = reason::kNotInserted;
    return;
  }
  const auto found = stats::between_variance_grouped(y, v, series);
  const auto range = stats::between_variance_interval(y, v, settings.confidence, series);
  out.play = {std::sqrt(found.tau2), std::sqrt(range.low), std::sqrt(range.high), found.dof, {}};
}

// (M74) The dog's centre anywhere in a disc of radius c/2: c/4 a direction; two dogs a line, two lines.
double insertion_sd_rad(double play_mm, double rail_baseline_mm, double fence_baseline_mm) {
  return std::sqrt(2.0) * play_mm / 4 *
         std::sqrt(1 / (rail_baseline_mm * rail_baseline_mm) + 1 / (fence_baseline_mm * fence_baseline_mm));
}

}  // namespace quarterturn::history
