// SPDX-License-Identifier: MIT
#include <cmath>
#include <vector>

#include "correct/correct.hpp"
#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"

namespace quarterturn::correct {
// (M40) tau^2 = 2 sigma_h^2 (1/B_r^2 + 1/B_f^2). A line that is not known counts with the short baseline that
// its seating is reckoned with: leaving it out would pull eps towards zero harder than anybody knows.
Prediction prediction_of_new_station(const station::Geometry& geometry,
                                     std::optional<double> drill_scatter_mm) {
  const double sigma_mm = drill_scatter_mm.value_or(kDrillScatterMm);
  Prediction prediction;
  for (const auto* line : {&geometry.rail, &geometry.fence}) {
    const double baseline_mm = *line ? (*line)->baseline_mm : check::kDefaultSpanMm;
    prediction.tau2 += 2 * sigma_mm * sigma_mm / (baseline_mm * baseline_mm);
  }
  return prediction;
}

// (M40) 1/v = 1/tau_0^2 + sum w, w = 1/(u^2 + t^2); m0 = v (m_0/tau_0^2 + sum w eps); tau^2 = v + t^2
Prediction prediction_from_log(const Prediction& of_new_station, const Believed& believed) {
  Prediction prior = believed.after_move.value_or(of_new_station);
  prior.from_log = believed.after_move.has_value() || !believed.eps.empty();
  if (believed.eps.empty()) return prior;
  std::vector<double> v;
  for (const double u : believed.u) v.push_back(u * u);
  constexpr std::size_t kFewestForBetween = 3;
  const double between =
      believed.eps.size() < kFewestForBetween ? 0.0 : stats::between_variance(believed.eps, v);
  double weight = prior.tau2 > 0 ? 1 / prior.tau2 : 0, sum = weight * prior.m0;
  for (std::size_t i = 0; i < v.size(); ++i) {
    const double w = 1 / (v[i] + between);
    weight += w;
    sum += w * believed.eps[i];
  }
  prior.m0 = sum / weight;
  prior.tau2 = 1 / weight + between;
  return prior;
}

bool contradicts(const Prediction& prior, double eps_rad, double u_rad) {
  return std::fabs(eps_rad - prior.m0) > stats::kTwoSided95 * std::hypot(u_rad, std::sqrt(prior.tau2));
}

Decision decide(double eps_rad, double u_rad, const Prediction& prior, double u_action, double tolerance_rad,
                std::optional<LastCheck> last) {
  Decision decision;
  // (M41) g = tau^2/(tau^2 + u^2), mu = m0 + g (eps - m0), v = g u^2
  const double u2 = u_rad * u_rad;
  const double g = prior.tau2 + u2 > 0 ? prior.tau2 / (prior.tau2 + u2) : 1.0;
  decision.mu = prior.m0 + g * (eps_rad - prior.m0);
  decision.v = g * u2;
  // (M42) move iff mu^2 > u_a^2 + c^2
  const double c = kMoveCostShare * tolerance_rad;
  decision.remaining_u = std::sqrt(decision.v + u_action * u_action);
  const bool move = decision.mu * decision.mu > u_action * u_action + c * c;
  if (move) decision.correct = decision.remaining_u <= tolerance_rad / 2 ? Correct::yes : Correct::unclear;
  // (M43) Phi(|mu| / (2 sqrt v)); a perfectly known eps is improved by any move towards zero
  if (decision.v > 0) {
    decision.probability_improves =
        stats::normal_probability(std::fabs(decision.mu) / (2 * std::sqrt(decision.v)));
  } else {
    decision.probability_improves = decision.mu != 0 ? 1.0 : 0.5;
  }
  if (last && !last->explained) {
    decision.find_first =
        std::fabs(eps_rad - last->eps_rad) > stats::kTwoSided95 * std::hypot(u_rad, last->u_rad);
  }
  return decision;
}

}  // namespace quarterturn::correct
