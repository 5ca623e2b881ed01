// SPDX-License-Identifier: MIT
#include "check/simulation.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "check/replicates.hpp"
#include "stats/distributions.hpp"
#include "stats/parts.hpp"

namespace quarterturn::check {
namespace {

constexpr int kDigits = 2;
constexpr double kNoVariance = 2;  // degrees of freedom up to which t has none

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

std::size_t spots_of(const Check& check) {
  std::size_t spots = 0;
  for (const auto& strip : check.strips) spots += strip.spots.size();
  return spots;
}

/// (M94): how often the told kind of interval holds the truth, and how much wider or narrower one would that
/// holds it as often as it should.
void refit(const Replicates& replicates, const Fit& fit, const SimulationOptions& options, Simulation& out) {
  constexpr std::size_t kRounds = 10;
  const auto by_itself = static_cast<std::size_t>(std::max(options.most_by_itself, 0));
  std::size_t most = static_cast<std::size_t>(std::max(options.refits, 0));
  if (!replicates.design()) most = std::min(most, by_itself);
  const std::size_t part = replicates.design() ? 128 : 8;
  std::vector<Replicate> all(most);
  const std::size_t round = (most + kRounds - 1) / kRounds;
  for (std::size_t first = 0, count = 0; first < most; first += count) {
    count = std::min(round, most - first);
    stats::in_parts((count + part - 1) / part, options.threads, [&](std::size_t k) {
      const std::size_t at = first + k * part;
      replicates.fill(at, std::span(all).subspan(at, std::min(part, first + count - at)));
    });
    const std::span<const Replicate> of_round = std::span(all).subspan(first, count);
    // Where one in ten has to be fitted by itself, many of them would take seconds.
    if (std::ranges::count(of_round, false, &Replicate::by_register) * 10 >= std::ssize(of_round))
      most = std::min(most, std::max(by_itself, first + count));
    if (options.progress)
      options.progress(0.5 + 0.5 * static_cast<double>(first + count) / static_cast<double>(most));
  }
  all.resize(most);
  std::vector<double> needed;  // of its own half-width
  for (const Replicate& one : all) {
    // Readings that all agree, and nothing else known: no ± would have been told.
    if (one.told) needed.push_back(std::fabs(one.eta - fit.eta.x) / one.half_width);
  }
  if (needed.empty()) return;
  out.refits = static_cast<int>(needed.size());
  out.covered = static_cast<int>(std::ranges::count_if(needed, [](double share) { return share <= 1; }));
  const auto interval = stats::share_interval(out.covered, out.refits, 0.95);
  out.covered_low = interval.first;
  out.covered_high = interval.second;
  const auto rank = static_cast<std::size_t>(std::ceil(fit.eta.confidence * out.refits - 1e-9));
  const auto holds = needed.begin() + static_cast<std::ptrdiff_t>(std::max<std::size_t>(rank, 1) - 1);
  std::ranges::nth_element(needed, holds);
  out.holding_half_width = *holds * fit.eta.half_width;
}

}  // namespace

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
  refit(Replicates(check, evidence, fit, fit_options, options.seed), fit, options, out);
  return out;
}

}  // namespace quarterturn::check
