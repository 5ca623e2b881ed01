// SPDX-License-Identifier: MIT
#include "stats/change_point.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "stats/streams.hpp"

namespace quarterturn::stats {
namespace {

/// Weights and weighted deviations from the common mean, added up from the left: sums[k] is over values 0 …
/// k-1.
struct Sums {
  std::vector<double> weight, deviation;
  double q = 0;  ///< sum of w (y - mean)^2

  Sums(std::span<const double> y, std::span<const double> v, double tau2)
      : weight(y.size() + 1, 0.0), deviation(y.size() + 1, 0.0) {
    double wy = 0;
    for (std::size_t i = 0; i < y.size(); ++i) {
      weight[i + 1] = weight[i] + 1 / (v[i] + tau2);
      wy += y[i] / (v[i] + tau2);
    }
    const double mean = wy / total();
    for (std::size_t i = 0; i < y.size(); ++i) {
      const double d = (y[i] - mean) / (v[i] + tau2);
      deviation[i + 1] = deviation[i] + d;
      q += d * (y[i] - mean);
    }
  }
  [[nodiscard]] double total() const { return weight.back(); }
  /// 1/variance of the step at k, for scale 1.
  [[nodiscard]] double information(std::size_t k) const {
    return weight[k] * (total() - weight[k]) / total();
  }
  [[nodiscard]] double size(std::size_t k) const { return -deviation[k] / information(k); }
  /// (size)^2 over its variance for scale 1: what the step takes away from q.
  [[nodiscard]] double z2(std::size_t k) const { return deviation[k] * deviation[k] / information(k); }
};

void hold_series(std::span<const double> y, std::span<const double> v) {
  if (y.size() < 3 || v.size() != y.size())
    throw std::domain_error("step: at least three values, and a variance for each");
  for (std::size_t i = 0; i < y.size(); ++i) {
    if (!std::isfinite(y[i]) || !std::isfinite(v[i]) || !(v[i] > 0))
      throw std::domain_error("step: a value is not finite, or its variance not above 0");
  }
}

// (M63) t^2 = (n - 2) z^2/(Q - z^2)
Step step_at(const Sums& sums, std::size_t k, double dof) {
  Step step;
  step.index = k;
  step.size = sums.size(k);
  const double left = std::max(0.0, sums.q - sums.z2(k));
  step.variance = left / dof / sums.information(k);
  if (step.size != 0)
    step.t =
        left > 0 ? std::fabs(step.size) / std::sqrt(step.variance) : std::numeric_limits<double>::infinity();
  return step;
}

/// Splits that take part in the simulation, and which of them are candidates.
struct Places {
  std::vector<std::size_t> split;
  std::vector<char> candidate;
  bool any = false;
};

Places places_of(std::size_t n, const StepOptions& options) {
  std::vector<char> mark(n, 0);
  const std::size_t splits = n - 1, kept = std::min(splits, options.most_splits);
  for (std::size_t j = 0; j < kept; ++j) mark[1 + j * splits / kept] = 1;
  const auto& all = options.candidates;
  for (const std::size_t k : all.last(std::min(all.size(), options.most_splits))) {
    if (k < 1 || k >= n) throw std::domain_error("step: a candidate outside the series");
    mark[k] = 2;
  }
  Places places;
  for (std::size_t k = 1; k < n; ++k) {
    if (mark[k] == 0) continue;
    places.split.push_back(k);
    places.candidate.push_back(mark[k] == 2 ? 1 : 0);
    places.any = places.any || mark[k] == 2;
  }
  return places;
}

/// Chi-square deviate on dof degrees of freedom from a normal one (Wilson and Hilferty): 0 when there are
/// none.
double chi_square(double normal, double dof) {
  if (!(dof > 0)) return 0;
  const double a = 2 / (9 * dof), root = 1 - a + std::sqrt(a) * normal;
  return std::max(0.0, dof * root * root * root);
}

/// (M65) One kind of search, its observed share z^2/Q and how often chance reached it.
struct Tally {
  double observed = 0;
  int reached = 0;
  bool wanted = true;
};

/// (M64) Values between two places are one block: under the null its weighted deviation is normal with the
/// block's weight as its variance, whatever lies inside. What scatters inside the blocks adds a chi-square to
/// Q. A block of one value whose variance was estimated scatters more, as Student's t. Each series is a
/// stream.
class Simulation {
 public:
  Simulation(const Sums& sums, const Places& places, std::span<const double> v, const StepOptions& options)
      : places_(places), seed_(options.seed), total_(sums.total()) {
    const std::size_t n = v.size(), blocks = places.split.size() + 1;
    inside_ = static_cast<double>(n - blocks);
    std::size_t from = 0;
    for (std::size_t j = 0; j < blocks; ++j) {
      const std::size_t to = j + 1 < blocks ? places.split[j] : n;
      root_.push_back(std::sqrt(sums.weight[to] - sums.weight[from]));
      share_.push_back(sums.weight[to] / total_);
      if (j + 1 < blocks) factor_.push_back(1 / sums.information(to));
      const bool alone = to == from + 1 && !options.dof.empty();
      dof_.push_back(alone ? options.dof[from] : std::numeric_limits<double>::infinity());
      estimated_.push_back(v[from] / (v[from] + options.tau2));
      from = to;
    }
    sum_.resize(blocks);
    const auto alone = std::ranges::count_if(dof_, [](double dof) { return std::isfinite(dof); });
    normal_.resize(blocks + static_cast<std::size_t>(alone) + 1);
  }

  /// Draws one stationary series and counts where its largest shares reach those observed.
  void draw(Tally& all, Tally& candidates) {
    Stream(seed_, series_++).normals(normal_);
    double sum = 0, squares = 0;
    std::size_t used = root_.size();  // of normal_: one a block, then what the variances take
    for (std::size_t j = 0; j < root_.size(); ++j) {
      double e = normal_[j];
      if (std::isfinite(dof_[j])) {
        const double ratio = std::max(chi_square(normal_[used++], dof_[j]) / dof_[j], kLeastRatio);
        e *= std::sqrt(1 + estimated_[j] * (1 / ratio - 1));
      }
      squares += e * e;
      sum += root_[j] * e;
      sum_[j] = sum;
    }
    const double q = squares - sum * sum / total_ + chi_square(normal_.back(), inside_);
    double largest = 0, at_candidate = 0;
    for (std::size_t j = 0; j < factor_.size(); ++j) {
      const double d = sum_[j] - share_[j] * sum, z2 = d * d * factor_[j];
      largest = std::max(largest, z2);
      if (places_.candidate[j] != 0) at_candidate = std::max(at_candidate, z2);
    }
    // A share within rounding of 1 on both sides (three values) counts as reached: never a smaller p.
    constexpr double kRounding = 1 - 1e-12;
    all.reached += largest >= all.observed * q * kRounding;
    candidates.reached += at_candidate >= candidates.observed * q * kRounding;
  }

 private:
  static constexpr double kLeastRatio = 1e-3;
  const Places& places_;
  std::uint64_t seed_, series_ = 0;
  double total_ = 0, inside_ = 0;
  std::vector<double> root_, share_, factor_, dof_, estimated_, sum_, normal_;
};

/// Whether the share of `trials` that reached it settles on which side of 0.05 p lies: three standard errors.
bool settled(const Tally& tally, int trials, int usual) {
  if (!tally.wanted) return true;
  constexpr double kLevel = 0.05;
  const double tried = trials, off = tally.reached / tried - kLevel;
  const int least = off > 0 ? usual / 20 : usual;
  return trials >= least && std::fabs(off) > 3 * std::sqrt(kLevel * (1 - kLevel) / tried);
}

/// (M66) Odds of the places in logarithms, and the shortest set of them that holds 95 %.
void locate(const Sums& sums, double dof, StepSearch& out) {
  const std::size_t n = sums.weight.size() - 1;
  std::vector<std::pair<double, std::size_t>> odds;
  const double floor = 1e-15 * sums.q;
  const auto left = [&](std::size_t k) { return std::max(sums.q - sums.z2(k), floor); };
  // Odds so small that all of them together are nothing are not put in order; with log x >= 1 - 1/x, most of
  // them are known for such before a logarithm is taken.
  constexpr double kNothing = 60;
  double least_left = left(1), at_least = sums.information(1), least = at_least;
  for (std::size_t k = 2; k < n; ++k) {
    const double information = sums.information(k);
    least = std::min(least, information);
    if (const double one = left(k); one < least_left) {
      least_left = one;
      at_least = information;
    }
  }
  const double nothing = 2 * kNothing + 1 + std::log(at_least / least);
  for (std::size_t k = 1; k < n; ++k) {
    const double one = left(k);
    if (dof * (one - least_left) > nothing * one) continue;
    odds.emplace_back(-0.5 * std::log(sums.information(k)) - 0.5 * dof * std::log(one), k);
  }
  const double best = std::ranges::max(odds).first;
  std::erase_if(odds, [&](const auto& place) { return place.first < best - kNothing; });
  std::ranges::sort(odds, std::greater<>());
  double all = 0, held = 0;
  for (const auto& place : odds) all += std::exp(place.first - odds[0].first);
  out.first = out.last = odds[0].second;
  for (const auto& place : odds) {
    if (held >= 0.95 * all) break;
    held += std::exp(place.first - odds[0].first);
    out.first = std::min(out.first, place.second);
    out.last = std::max(out.last, place.second);
  }
}

}  // namespace

StepSearch largest_step(std::span<const double> y, std::span<const double> v, const StepOptions& options) {
  hold_series(y, v);
  const std::size_t n = y.size();
  if (!options.dof.empty() && options.dof.size() != n)
    throw std::domain_error("step: degrees of freedom for each value, or none");
  const Sums sums(y, v, options.tau2);
  StepSearch out;
  out.dof = static_cast<double>(n) - 2;
  std::size_t best = 1;
  double largest = sums.z2(1);
  for (std::size_t k = 2; k < n; ++k) {
    const double z2 = sums.z2(k);
    if (z2 > largest) {
      largest = z2;
      best = k;
    }
  }
  out.largest = step_at(sums, best, out.dof);
  const Places places = places_of(n, options);
  out.first = 1;
  out.last = n - 1;
  Tally all, candidates;
  candidates.wanted = places.any;
  std::size_t at = 0;
  for (std::size_t j = 0; j < places.split.size(); ++j) {
    const std::size_t k = places.split[j];
    const double share = sums.q > 0 ? sums.z2(k) / sums.q : 0.0;
    all.observed = std::max(all.observed, share);
    if (places.candidate[j] != 0 && (at == 0 || share > candidates.observed)) {
      candidates.observed = share;
      at = k;
    }
  }
  if (at != 0) out.at_candidate = step_at(sums, at, out.dof);
  // Values that are all alike but for the arithmetic's rounding have no step.
  constexpr double kAlike = 1e-16;
  if (!(sums.q > kAlike * static_cast<double>(n))) return out;
  locate(sums, out.dof, out);

  Simulation simulation(sums, places, v, options);
  // p near 0.05 is worth more trials, within what a long series can afford.
  constexpr double kMostDraws = 2e6;
  const auto blocks = static_cast<double>(places.split.size() + 1);
  const int most = std::clamp(static_cast<int>(kMostDraws / blocks), options.trials, 3 * options.trials);
  while (out.trials < most &&
         !(settled(all, out.trials, options.trials) && settled(candidates, out.trials, options.trials))) {
    simulation.draw(all, candidates);
    ++out.trials;
  }
  const auto p_of = [&](const Tally& tally) { return (1.0 + tally.reached) / (1.0 + out.trials); };
  out.p = p_of(all);
  if (candidates.wanted) out.candidate_p = p_of(candidates);
  return out;
}

// (M67) log of [mean over places of L(step)] / L(line), L = s^-(n-2) exp(-RSS/(2 s^2)) at s^2 = max(1, RSS/(n
// - 2))
double step_against_trend(std::span<const double> y, std::span<const double> v, std::span<const double> x) {
  hold_series(y, v);
  if (x.size() != y.size()) throw std::domain_error("step: a time for each value");
  const std::size_t n = y.size();
  const double dof = static_cast<double>(n) - 2;
  const Sums sums(y, v, 0);
  const auto fit = [&](double rss) {
    const double s2 = std::max(1.0, rss / dof);
    return -0.5 * (dof * std::log(s2) + std::max(0.0, rss) / s2);
  };
  double best = -std::numeric_limits<double>::infinity(), sum = 0;
  for (std::size_t k = 1; k < n; ++k) best = std::max(best, fit(sums.q - sums.z2(k)));
  for (std::size_t k = 1; k < n; ++k) sum += std::exp(fit(sums.q - sums.z2(k)) - best);

  double wx = 0, sxx = 0, sxy = 0;
  for (std::size_t i = 0; i < n; ++i) wx += x[i] / v[i];
  const double centre = wx / sums.total();
  for (std::size_t i = 0; i < n; ++i) {
    sxx += (x[i] - centre) * (x[i] - centre) / v[i];
    sxy += (x[i] - centre) * (sums.deviation[i + 1] - sums.deviation[i]);
  }
  const double line = sxx > 0 ? fit(sums.q - sxy * sxy / sxx) : fit(sums.q);
  return best + std::log(sum / (static_cast<double>(n) - 1)) - line;
}

}  // namespace quarterturn::stats
