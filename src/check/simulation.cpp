// SPDX-License-Identifier: MIT
#include "check/simulation.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "check/summary.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::check {
namespace {

constexpr int kDigits = 2;
constexpr double kNoVariance = 2;                    // degrees of freedom up to which t has none
constexpr std::uint64_t kRefitStreams = 1ULL << 40;  // far from those of the trials

/// (M86) eta minus what each source adds: t on its degrees of freedom; rounding even, at so many spots.
void add_trials(const Budget& budget, double eta, std::size_t spots, stats::Stream& random,
                std::span<double> out) {
  std::ranges::fill(out, eta);
  for (const auto& row : budget.rows) {
    if (row.contribution <= 0) continue;
    if (row.source == BudgetSource::rounding) {
      const double most = row.contribution * std::sqrt(3.0 / static_cast<double>(spots));
      for (std::size_t i = 0; i < spots; ++i) random.add_uniforms(-most, most, out);
    } else if (std::isfinite(row.dof)) {
      random.add_ts(row.contribution, std::max(1.0, row.dof), out);  // fewer are never counted (M26)
    } else {
      random.add_normals(row.contribution, out);
    }
  }
}

/// s^2 nu / sigma^2 is chi-square: a variance as a further experiment would find it.
double drawn_variance(double sigma2, double nu, stats::Stream& random) {
  return sigma2 * stats::chi2_quantile(std::max(1e-12, random.uniform()), nu) / nu;
}

/// What was known from outside, as it might have come out; of a log its scatters.
std::vector<Evidence> drawn_evidence(std::span<const Evidence> evidence, const Fit& fit,
                                     stats::Stream& random) {
  std::vector<Evidence> drawn(evidence.begin(), evidence.end());
  if (fit.log) {
    const auto& log = *fit.log;
    const double known[3] = {log.nu_pure, log.nu_line, log.used() ? log.nu_counted : 0.0};
    for (std::size_t k = 0; k < 3; ++k) {
      if (known[k] > 0) drawn.push_back({static_cast<Component>(k), 0, known[k], Source::log, {}});
    }
  }
  for (auto& one : drawn) {
    const double sigma = fit.scatter[static_cast<std::size_t>(one.component)].estimate_mm;
    one.s2 = drawn_variance(sigma * sigma, one.nu, random);
  }
  std::erase_if(drawn, [](const Evidence& one) { return one.s2 <= 0; });
  return drawn;
}

std::size_t spots_of(const Check& check) {
  std::size_t spots = 0;
  for (const auto& strip : check.strips) spots += strip.spots.size();
  return spots;
}

double stepped(double mm, double step) {
  return step > 0 ? std::round(mm / step) * step : mm;
}

/// (M94)
void refit(const Check& check, std::span<const Evidence> evidence, const Fit& fit,
           const FitOptions& fit_options, const SimulationOptions& options, Simulation& out) {
  for (int k = 0; k < options.refits; ++k) {
    stats::Stream random(options.seed, kRefitStreams + static_cast<std::uint64_t>(k));
    const Check drawn = drawn_check(check, fit, fit_options, random);
    const auto known = drawn_evidence(evidence, fit, random);
    try {
      const Estimate eta = fit_interval(drawn, known, fit_options).eta;
      ++out.refits;
      out.covered += eta.low() <= fit.eta.x && fit.eta.x <= eta.high() ? 1 : 0;
    } catch (const NoInterval&) {
      // Readings that all agree, and nothing else known: no ± would have been told.
    }
    if (options.progress) options.progress(0.5 + 0.5 * (k + 1) / options.refits);
  }
  if (out.refits == 0) return;
  const auto interval = stats::share_interval(out.covered, out.refits, 0.95);
  out.covered_low = interval.first;
  out.covered_high = interval.second;
}

}  // namespace

Check drawn_check(const Check& check, const Fit& fit, const FitOptions& fit_options, stats::Stream& random) {
  const Corners corners = corners_of(check);
  const auto spans = corner_spans(check, corners, fit_options);
  const double reading = fit.scatter[0].estimate_mm, saw = fit.scatter[1].estimate_mm,
               seating = fit.scatter[2].estimate_mm;
  std::vector<double> seated;
  for (const double span : spans) seated.push_back(seating * std::sqrt(2.0) / span * random.normal());
  Check drawn = check;
  for (std::size_t j = 0; j < drawn.strips.size(); ++j) {
    double taper = corners.t[j] * fit.eta.x;
    for (int c = 0; c < corners.columns(); ++c)
      taper += corners.at(static_cast<int>(j), c) * seated[static_cast<std::size_t>(c)];
    auto& strip = drawn.strips[j];
    double wide = mean_mm(strip.spots.front().readings) + random.uniform();
    if (check.gaps()) {  // how far a joint stands open tells nothing: so far that no drawn gap is below none
      const double middle = (strip.spots.front().position_mm + strip.spots.back().position_mm) / 2;
      wide = kMostGapMm / 2 + random.uniform() + taper * middle;
    }
    for (auto& spot : strip.spots) {
      const double edge = wide - taper * spot.position_mm + saw * random.normal();
      for (auto& one : spot.readings) one.mm = stepped(edge + reading * random.normal(), fit.resolution_mm);
    }
  }
  return drawn;
}

Simulation simulate(const Check& check, std::span<const Evidence> evidence, const Fit& fit,
                    const FitOptions& fit_options, const SimulationOptions& options) {
  Simulation out;
  out.seed = options.seed;
  const Budget budget = budget_of(fit);
  const std::size_t spots = spots_of(check);
  out.heavy_tails = std::ranges::any_of(
      budget.rows, [](const BudgetRow& row) { return row.contribution > 0 && row.dof <= kNoVariance; });
  stats::MonteCarloOptions trials;
  trials.seed = options.seed;
  trials.coverage = fit.eta.confidence;
  trials.steady = stats::Coverage::shortest;
  trials.significant_digits = kDigits;
  trials.tolerance_share = 0.2;  // [JCGM101] 8.2: finer, since a budget is judged by it
  trials.most_trials = options.most_trials;
  trials.threads = options.threads;
  if (options.progress) {
    trials.progress = [&](std::size_t done) {
      options.progress(0.5 * static_cast<double>(done) / static_cast<double>(options.most_trials));
    };
  }
  out.trials = stats::monte_carlo(
      [&](stats::Stream& random, std::span<double> y) { add_trials(budget, fit.eta.x, spots, random, y); },
      trials);
  out.validation =
      stats::validate_interval({fit.eta.low(), fit.eta.high()}, out.trials.shortest, budget.u, kDigits);
  refit(check, evidence, fit, fit_options, options, out);
  return out;
}

}  // namespace quarterturn::check
