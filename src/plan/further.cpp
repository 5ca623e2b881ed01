// SPDX-License-Identifier: MIT
#include "plan/further.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <tuple>

#include "check/corners.hpp"
#include "check/resolution.hpp"
#include "check/summary.hpp"
#include "check/test_cost.hpp"
#include "plan/synthetic.hpp"
#include "stats/conditional_normal.hpp"
#include "stats/distributions.hpp"
#include "stats/latin_hypercube.hpp"

namespace quarterturn::plan {
namespace {

constexpr int kDraws = 512;
// The quadrature of (M28) costs a hundred times as much.
constexpr int kDrawsFewDf = 96;
constexpr int kDrawsOfMedian = 64;  // its median is told to one digit
/// Of a kind, on the panel on the table or fresh ones, before its last is asked whether to go on.
constexpr std::size_t kTriedBefore = 3;
constexpr std::uint64_t kSeed = 20260302;
/// So near to what is allowed, as a share of it, no number of cuts will tell on which side it lies.
constexpr double kAtTolerance = 0.05;

struct Variances {
  double reading = 0, saw = 0, seating = 0;  // mm^2
};
Variances variances_of(const check::Fit& fit) {
  const auto square = [&](check::Component component) {
    const double s = fit.scatter[static_cast<std::size_t>(component)].estimate_mm;
    return s * s;
  };
  Variances v{square(check::Component::reading), square(check::Component::saw_marks),
              square(check::Component::seating)};
  if (fit.scatter[static_cast<std::size_t>(check::Component::seating)].source == check::Source::unknown)
    v.seating = check::kAssumedSeatingMm * check::kAssumedSeatingMm;
  // (M38) has one standard error in its place; all of it is seating of one corner.
  if (v.seating <= 0 && fit.next_panel) {
    const double of_one = fit.next_panel->u * fit.next_panel->u - fit.eta.u * fit.eta.u;
    v.seating = std::max(0.0, of_one) * fit.span_mm * fit.span_mm / 2;
  }
  return v;
}

/// What is on the table: the panel that was cut last, how often, and how wide its strips are.
struct OnTable {
  int panel = 1, cuts = 0;
  double strip_mm = 0;
};
OnTable on_table(const check::Check& check) {
  OnTable table;
  for (const auto& strip : check.strips) table.panel = std::max(table.panel, strip.panel);
  for (const auto& strip : check.strips) {
    if (strip.panel != table.panel) continue;
    table.cuts = std::max(table.cuts, strip.to_cut);
    for (const auto& spot : strip.spots)
      table.strip_mm = std::max(table.strip_mm, check::mean_mm(spot.readings));
  }
  return table;
}

/// A strip as the last one was measured.
check::Strip next_strip(const check::Check& check, int panel, int cut) {
  check::Strip strip = check.strips.back();
  strip.panel = panel;
  strip.from_cut = cut - 4;
  strip.to_cut = cut;
  return strip;
}

/// The check carried on: `on_panel` more cuts, or so many cuts on each of some fresh panels.
check::Check carried_on(const check::Check& check, const OnTable& table, const FurtherStep& step,
                        double resolution_mm) {
  check::Check more = check;
  if (step.fresh_panels == 0) {
    for (int cut = table.cuts + 1; cut <= table.cuts + step.cuts; ++cut)
      more.strips.push_back(next_strip(check, table.panel, cut));
  }
  for (int panel = 1; panel <= step.fresh_panels; ++panel) {
    for (int cut = 5; cut <= step.cuts; ++cut)
      more.strips.push_back(next_strip(check, table.panel + panel, cut));
  }
  more.test = check::TestKind::progressive;
  // New widths are no multiples of the step that the readings were found to have (M15).
  if (!more.caliper) more.caliper = check::Caliper{};
  more.caliper->resolution_mm = resolution_mm;
  return more;
}

/// (M14) of all strips together, the old ones first.
std::vector<double> covariance_of(const check::Check& all, const check::Fit& fit, const Variances& v,
                                  double new_variance, const check::Corners& corners,
                                  const check::FitOptions& options) {
  auto covariance = check::seating_matrix(corners, check::corner_spans(all, corners, options));
  for (double& value : covariance) value *= v.seating;
  const std::size_t n = all.strips.size();
  for (std::size_t j = 0; j < n; ++j) {
    const bool old = j < fit.tapers.size();
    covariance[j * n + j] += old ? fit.tapers[j].u_rad * fit.tapers[j].u_rad : new_variance;
  }
  return covariance;
}

/// (M91) The fits of the check carried on, as they may turn out: a few hundred of them.
/// \param most_draws  fewer, where only the middle of them is asked for
void draw_fits(const FurtherStep& step, const check::Check& check, const check::Fit& fit,
               const OnTable& table, std::span<const check::Evidence> evidence,
               std::span<const check::ScatterEvidence> earlier, const check::FitOptions& options,
               int most_draws, const std::function<void(const check::Fit&)>& use) {
  check::Check all = carried_on(check, table, step, fit.resolution_mm);
  const check::Corners corners = check::corners_of(all);
  const Variances v = variances_of(fit);
  const std::size_t old = check.strips.size(), fresh = all.strips.size() - old;
  const auto& like = check.strips.back();
  const auto summary = check::summarise(check);
  const auto spot = check::spot_variance(v.reading, static_cast<int>(like.spots.front().readings.size()),
                                         fit.resolution_mm);
  const double spot_variance = v.saw + spot.share * v.reading + spot.fixed;
  const auto covariance = covariance_of(all, fit, v, spot_variance / summary.sxx.back(), corners, options);
  const auto given = stats::conditional_normal(covariance, static_cast<int>(old), static_cast<int>(fresh));
  std::vector<double> mean(fresh);
  for (std::size_t i = 0; i < fresh; ++i) {
    mean[i] = corners.t[old + i] * fit.eta.x;
    for (std::size_t j = 0; j < old; ++j)
      mean[i] += given.gain[i * old + j] * (fit.tapers[j].taper_rad - corners.t[j] * fit.eta.x);
  }
  const check::Refit refit(all, {evidence.begin(), evidence.end()}, earlier, options);
  const double nu_e = pure_dof(like), nu_l = line_dof(like);
  const std::size_t dimensions = 3 * fresh;
  for (std::size_t i = 0; i < fresh; ++i)
    write_strip(all.strips[old + i], mean[i], v.reading * nu_e, spot_variance * nu_l);
  const int n = std::min(most_draws, refit(all).rule == check::Rule::few_df ? kDrawsFewDf : kDraws);
  const auto u = stats::latin_hypercube(n, static_cast<int>(dimensions), kSeed);
  for (std::size_t d = 0; d < static_cast<std::size_t>(n); ++d) {
    const double* at = u.data() + d * dimensions;
    for (std::size_t i = 0; i < fresh; ++i) {
      double taper = mean[i];
      for (std::size_t k = 0; k <= i; ++k) taper += given.root[i * fresh + k] * stats::normal_quantile(at[k]);
      const double ss_e = nu_e > 0 ? v.reading * stats::chi2_quantile(at[fresh + i], nu_e) : 0;
      const double ss_l = nu_l > 0 ? spot_variance * stats::chi2_quantile(at[2 * fresh + i], nu_l) : 0;
      write_strip(all.strips[old + i], taper, ss_e, ss_l);
    }
    use(refit(all));
  }
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::ranges::nth_element(values, middle);
  return *middle;
}

void try_step(FurtherStep& step, const check::Check& check, const check::Fit& fit, const OnTable& table,
              std::span<const check::Evidence> evidence, std::span<const check::ScatterEvidence> earlier,
              const check::FitOptions& options, const FurtherAim& aim) {
  const auto wanted =
      std::fabs(fit.eta.x) <= aim.tolerance_rad ? check::Answer::within : check::Answer::outside;
  std::vector<double> half_widths;
  int right = 0;
  draw_fits(step, check, fit, table, evidence, earlier, options, kDraws, [&](const check::Fit& then) {
    step.provisional = then.provisional;
    half_widths.push_back(then.eta.half_width);
    if (check::setup_answer(then, aim.tolerance_rad, aim.strict) == wanted) ++right;
  });
  step.chance = static_cast<double>(right) / static_cast<double>(half_widths.size());
  step.half_width = median_of(std::move(half_widths));
}

/// What is looked at: first what the panel on the table still bears, then fresh ones; each by minutes.
std::vector<FurtherStep> steps_of(const check::Check& check, const OnTable& table, const FurtherAim& aim) {
  std::vector<FurtherStep> steps;
  const auto strips = static_cast<int>(check.strips.size());
  for (const int cuts : {1, 2, 3, 4, 6, 8, 10, 12}) {
    // In twos; an odd one where it makes the fourth strip, from which on no seating is assumed (M19).
    if (cuts % 2 != 0 && strips + cuts != 4) continue;
    FurtherStep step;
    step.cuts = cuts;
    step.minutes = check::minutes_of_more_cuts(cuts);
    if (check.panel_size) {
      step.side_after_mm = check::shorter_side_after(*check.panel_size, table.cuts + cuts, table.strip_mm);
      if (*step.side_after_mm < aim.least_mm) continue;
    }
    if (cuts <= aim.most_cuts) steps.push_back(step);
  }
  static constexpr std::array<std::array<int, 2>, 8> kFresh{
      {{1, 5}, {1, 7}, {1, 8}, {1, 10}, {1, 12}, {2, 5}, {3, 5}, {4, 5}}};
  for (const auto& [panels, cuts] : kFresh) {
    FurtherStep step;
    step.fresh_panels = panels;
    step.cuts = cuts;
    step.minutes = panels * (check::kMinutesFiveCut + check::minutes_of_more_cuts(cuts - 5));
    if (check.panel_size) {
      step.side_after_mm = check::shorter_side_after(*check.panel_size, cuts, table.strip_mm);
      if (*step.side_after_mm < aim.least_mm) continue;
    }
    if (panels * cuts <= aim.most_cuts) steps.push_back(step);
  }
  std::ranges::stable_sort(
      steps, {}, [](const FurtherStep& s) { return std::tuple(s.fresh_panels > 0, s.minutes, s.cuts); });
  return steps;
}

}  // namespace

std::optional<NoWay> no_way(const Further& further) {
  if (further.settled || further.cheapest) return std::nullopt;
  if (further.at_tolerance) return NoWay::at_tolerance;
  return further.steps.empty() ? NoWay::panel_too_small : NoWay::not_likely;
}

const char* no_way_word(NoWay reason) {
  switch (reason) {
    case NoWay::at_tolerance:
      return "at-tolerance";
    case NoWay::panel_too_small:
      return "panel-too-small";
    case NoWay::not_likely:
      break;
  }
  return "not-likely";
}

std::size_t nearest(const Further& further) {
  const auto chance = [](const FurtherStep& step) { return step.provisional ? -1.0 : step.chance; };
  return static_cast<std::size_t>(std::ranges::max_element(further.steps, {}, chance) -
                                  further.steps.begin());
}

Further further_cuts(const check::Check& check, const check::Fit& fit,
                     std::span<const check::Evidence> evidence,
                     std::span<const check::ScatterEvidence> earlier, const check::FitOptions& options,
                     const FurtherAim& aim) {
  Further out;
  out.eta_rad = fit.eta.x;
  out.tolerance_rad = aim.tolerance_rad;
  out.wanted = aim.chance;
  out.strict = aim.strict;
  out.provisional_now = fit.provisional;
  out.now = check::setup_answer(fit, aim.tolerance_rad, aim.strict);
  out.settled = out.now != check::Answer::cannot_tell && !fit.provisional;
  if (out.settled) return out;
  const OnTable table = on_table(check);
  out.used_up = check.panel_size &&
                check::shorter_side_after(*check.panel_size, table.cuts + 1, table.strip_mm) < aim.least_mm;
  out.at_tolerance = std::fabs(std::fabs(fit.eta.x) - aim.tolerance_rad) < kAtTolerance * aim.tolerance_rad;
  if (out.at_tolerance) return out;
  std::vector<FurtherStep> steps = steps_of(check, table, aim);
  const auto tried = [&](FurtherStep& step) {
    try_step(step, check, fit, table, evidence, earlier, options, aim);
    out.steps.push_back(step);
    if (step.chance < aim.chance) return false;
    auto& cheapest = step.provisional ? out.cheapest_provisional : out.cheapest;
    if (!cheapest) cheapest = out.steps.size() - 1;
    return !step.provisional;
  };
  const auto fresh = std::ranges::find_if(steps, [](const FurtherStep& s) { return s.fresh_panels > 0; });
  for (auto& kind : {std::span(steps.begin(), fresh), std::span(fresh, steps.end())}) {
    for (std::size_t i = 0; i < kind.size() && !out.cheapest; ++i) {
      if (tried(kind[i]) || !aim.brief || i + 1 != kTriedBefore || i + 2 >= kind.size()) continue;
      // Where the most of a kind will not do, those in between will not either.
      FurtherStep most = kind.back();
      try_step(most, check, fit, table, evidence, earlier, options, aim);
      if (most.chance >= aim.chance) continue;
      out.steps.push_back(most);
      break;
    }
  }
  return out;
}

std::optional<FurtherStep> two_more_cuts(const check::Check& check, const check::Fit& fit,
                                         std::span<const check::Evidence> evidence,
                                         std::span<const check::ScatterEvidence> earlier,
                                         const check::FitOptions& options, double least_mm) {
  const OnTable table = on_table(check);
  FurtherStep step;
  step.cuts = 2;
  step.minutes = check::minutes_of_more_cuts(step.cuts);
  if (check.panel_size) {
    step.side_after_mm = check::shorter_side_after(*check.panel_size, table.cuts + 2, table.strip_mm);
    if (*step.side_after_mm < least_mm) return std::nullopt;
  }
  std::vector<double> half_widths;
  draw_fits(step, check, fit, table, evidence, earlier, options, kDrawsOfMedian, [&](const check::Fit& then) {
    step.provisional = then.provisional;
    half_widths.push_back(then.eta.half_width);
  });
  step.half_width = median_of(std::move(half_widths));
  return step;
}

}  // namespace quarterturn::plan
