// SPDX-License-Identifier: MIT
#include "check/interval.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "stats/distributions.hpp"
#include "stats/root.hpp"

namespace quarterturn::check {

// (M27): max(q(n-1) s / (tau sqrt n), q(nu_v) sqrt(sum v) / (n tau)).
PanelsInterval panels_interval(std::span<const double> taper, std::span<const double> variance,
                               double variance_dof, double turns, double confidence) {
  const auto n = static_cast<double>(taper.size());
  PanelsInterval out;
  double sum = 0;
  for (const double x : taper) sum += x;
  const double mean = sum / n;
  double ss = 0, sum_v = 0;
  for (const double x : taper) ss += (x - mean) * (x - mean);
  for (const double v : variance) sum_v += v;
  out.mean = mean / turns;
  out.s2_taper = ss / (n - 1);
  const double p = 0.5 * (1 + confidence);
  const double between = stats::t_quantile(p, n - 1) * std::sqrt(out.s2_taper / n) / turns;
  const double within = stats::t_quantile(p, variance_dof) * std::sqrt(sum_v) / (n * turns);
  out.half_width = std::max(between, within);
  out.dof = between >= within ? n - 1 : variance_dof;
  return out;
}

namespace {

// (M29): trapezoid in the normal score z of each chi-square, p = Phi(z). The integrands are smooth and die
// off at both ends, where the trapezoid rule converges geometrically.
constexpr double kStep = 0.2, kCoarseStep = 0.6;
constexpr double kFarthest = 6.4;
constexpr double kMostDof = 1e5;  // as good as known

struct Node {
  double scaled;  // nu / chi2
  double weight;
};

std::vector<Node> chi2_nodes(double nu, double step) {
  std::vector<Node> nodes;
  double total = 0;
  const int each_side = static_cast<int>(std::lround(kFarthest / step));
  for (int i = -each_side; i <= each_side; ++i) {
    const double z = step * i;
    const double x = stats::chi2_quantile(stats::normal_probability(z), nu);
    const double weight = stats::normal_density(z);
    nodes.push_back({nu / std::max(x, 1e-300), weight});
    total += weight;
  }
  for (Node& node : nodes) node.weight /= total;
  return nodes;
}

/// Quantiles of the same degrees of freedom come back in every check of a simulation.
const std::vector<Node>& cached_nodes(double nu, double step) {
  thread_local std::vector<std::pair<std::pair<double, double>, std::vector<Node>>> cache;
  const std::pair key{nu, step};
  for (const auto& entry : cache) {
    if (entry.first == key) return entry.second;
  }
  if (cache.size() > 16) cache.erase(cache.begin());
  cache.emplace_back(key, chi2_nodes(nu, step));
  return cache.back().second;
}

/// P(nu s2 / chi2 <= m).
double below(double m, double s2, double nu) {
  if (s2 <= 0 || nu <= 0) return 1.0;
  return 1.0 - stats::chi2_probability(nu * s2 / m, nu);
}

/// Where the other variance is known far better, the probability that it lies below is nearly a step: the
/// nodes then lie closer.
double step_beside(double nu, double other_nu, double step) {
  constexpr double kFar = 10, kDofOfAStep = 20, kMost = 8;
  if (other_nu < kFar * nu) return step;
  return step / std::clamp(std::ceil(std::sqrt(other_nu / kDofOfAStep)), 1.0, kMost);
}

/// The distribution of the spot-mean variance, max of two scaled inverse chi-squares and a known floor: each
/// node of one carries the probability that the other lies below it.
std::vector<Node> largest_nodes(const FewDfTerms& t, double step) {
  std::vector<Node> out;
  const auto add = [&](double s2, double nu, double other_s2, double other_nu) {
    if (s2 <= 0 || nu <= 0) return;
    for (const Node& node : cached_nodes(nu, other_s2 > 0 ? step_beside(nu, other_nu, step) : step)) {
      const double value = node.scaled * s2;
      out.push_back({std::max(value, t.fixed), node.weight * below(value, other_s2, other_nu)});
    }
  };
  add(t.s2_l, t.nu_l, t.s2_e_over_k, t.nu_e);
  add(t.s2_e_over_k, t.nu_e, t.s2_l, t.nu_l);
  if (out.empty()) out.push_back({t.fixed, 1.0});
  double total = 0;
  for (const Node& node : out) total += node.weight;
  for (Node& node : out) node.weight /= total;
  return out;
}

}  // namespace

FewDf::FewDf(const FewDfTerms& terms, bool coarse) {
  const double step = coarse ? kCoarseStep : kStep;
  FewDfTerms t = terms;
  for (double* nu : {&t.nu_r, &t.nu_l, &t.nu_e}) *nu = std::min(*nu, kMostDof);
  const std::vector<Node> largest = largest_nodes(t, step);
  const std::vector<Node> none{{0.0, 1.0}};
  const bool has_seating = t.c_r > 0 && t.s2_r > 0 && t.nu_r > 0;
  const std::vector<Node> seating = has_seating ? chi2_nodes(std::max(t.nu_r, 0.5), step) : none;
  root_q_.reserve(largest.size() * seating.size());
  weight_.reserve(root_q_.capacity());
  for (const Node& r : seating) {
    for (const Node& l : largest) {
      const double weight = r.weight * l.weight;
      if (weight < 1e-12) continue;
      root_q_.push_back(std::sqrt(t.c_r * t.s2_r * r.scaled + t.c_b * l.scaled));
      weight_.push_back(weight);
    }
  }
}

double FewDf::half_width(double confidence) const {
  double high = 0;
  for (std::size_t i = 0; i < root_q_.size(); ++i) high += weight_[i] * std::min(root_q_[i], 1.0);
  const auto inside = [&](double h) {
    double p = 0;
    for (std::size_t i = 0; i < root_q_.size(); ++i) {
      p += weight_[i] * std::erf(h / (root_q_[i] * 1.4142135623730951));
    }
    return p;
  };
  high = std::max(high, std::numeric_limits<double>::min());
  while (inside(high) < confidence && high < 1e3) high *= 2;
  return stats::root([&](double h) { return inside(h) - confidence; }, {0, -confidence},
                     {high, inside(high) - confidence});
}

double FewDf::probability_within(double x, double tolerance) const {
  double p = 0;
  for (std::size_t i = 0; i < root_q_.size(); ++i) {
    p += weight_[i] * (stats::normal_probability((tolerance - x) / root_q_[i]) -
                       stats::normal_probability((-tolerance - x) / root_q_[i]));
  }
  return p;
}

}  // namespace quarterturn::check
