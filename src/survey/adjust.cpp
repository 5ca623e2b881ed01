// SPDX-License-Identifier: MIT
#include "survey/adjust.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <limits>

#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::survey {

double Ellipse::major_mm() const {
  return std::sqrt(0.5 * (xx + yy) + std::hypot(0.5 * (xx - yy), xy));
}
double Ellipse::minor_mm() const {
  return std::sqrt(std::max(0.0, 0.5 * (xx + yy) - std::hypot(0.5 * (xx - yy), xy)));
}
double Ellipse::direction_rad() const {
  return 0.5 * std::atan2(2 * xy, xx - yy);
}

Adjustment::Adjustment(station::Station station, std::vector<Observation> observations, AdjustOptions options)
    : station_(std::move(station)), observations_(std::move(observations)), options_(std::move(options)) {
  if (observations_.empty()) {
    throw units::InputError("observations", std::string(units::kMissing), "at least one");
  }
  for (std::size_t i = 0; i < observations_.size(); ++i) {
    validate(station_, observations_[i], "observations[" + std::to_string(i) + "]");
  }
  components_ = fit_components(station_, observations_, options_);
  factored_ = model().factor(components_.theta);
  if (!options_.second_order) return;
  // What is second order in the displacements is put right at the estimate; then the scatter once more.
  components_ = refit_components(station_, observations_, options_, components_, second_order_y());
  factored_ = model().factor(components_.theta);
}

// (M105)
std::vector<double> Adjustment::second_order_y() const {
  const std::vector<Hole>& holes = model().holes();
  Displaced at;
  const auto value = [&](const Row& row) { return dot(row, factored_.solution); };
  for (const Hole& hole : holes) {
    at.holes[hole] = {value(model().row_of(displacement_of(hole, {1, 0}))),
                      value(model().row_of(displacement_of(hole, {0, 1})))};
  }
  for (const Observation& o : observations_) {
    for (const std::string& dog : o.dogs()) {
      Functional one;
      one.dogs[dog] = 1;
      at.dogs[dog] = value(model().row_of(one));
    }
  }
  std::vector<double> y;
  for (const Observation& o : observations_) {
    y.push_back(o.value - exact_value(station_, o, at) + apply(functional_of(station_, o), at));
  }
  return y;
}

double Adjustment::dot(const Row& row, std::span<const double> solved) const {
  double sum = 0;
  for (const stats::Entry& e : model().scaled(row, components_.theta)) {
    sum += e.value * solved[static_cast<std::size_t>(e.index)];
  }
  return sum;
}

std::vector<double> Adjustment::solve(const Row& row) const {
  std::vector<double> right(factored_.solution.size());
  for (const stats::Entry& e : model().scaled(row, components_.theta)) {
    right[static_cast<std::size_t>(e.index)] += e.value;
  }
  return factored_.equations->solve(right);
}

// (M109): the weights are best, so the variance changes by theta_a as if they stood still.
check::Estimate Adjustment::estimate_from(const Row& row, std::span<const double> solved) const {
  std::vector<double> gradient(components_.theta.size(), 0);
  for (int i = 0; i < model().random(); ++i) {
    const double s = solved[static_cast<std::size_t>(i)];
    const std::size_t term = model().component_of(i);
    if (term < gradient.size()) gradient[term] += s * s;
  }
  for (std::size_t k = 0; k < gradient.size(); ++k) gradient[k] /= components_.theta[k];
  gradient.front() += row.fresh;
  const double variance = dot(row, solved) + MixedModel::besides(row, components_.theta);
  check::Estimate out;
  out.x = dot(row, factored_.solution);
  out.u = std::sqrt(std::max(variance, 0.0) + from_scatter(solved));
  out.dof = dof_of(variance, gradient);
  out.confidence = options_.confidence;
  out.half_width = stats::t_quantile(0.5 * (1 + out.confidence), out.dof) * out.u;
  return out;
}

// (M109): twice tr(G I^-1), for the weights and for the variance, both taken at fitted variances [PRASADRAO]
double Adjustment::from_scatter(std::span<const double> solved) const {
  if (components_.source != ScatterSource::fitted) return 0;
  const std::vector<double> g = model().sensitivity(factored_, components_.theta, solved);
  const auto m = static_cast<Eigen::Index>(components_.theta.size());
  const Eigen::Map<const Eigen::MatrixXd> weights(g.data(), m, m),
      information(components_.information.data(), m, m);
  return 2 * std::max(0.0, information.ldlt().solve(weights).trace());
}

double Adjustment::dof_of(double variance, std::span<const double> gradient) const {
  if (components_.source != ScatterSource::fitted || !(variance > 0)) return check::kUnbounded;
  return stats::satterthwaite(variance, gradient, components_.information);
}

Answer Adjustment::answer(const Row& row) const {
  std::vector<std::string> because = model().undetermined(row);
  if (!because.empty()) return Undetermined{std::move(because)};
  return estimate_from(row, solve(row));
}

Answer Adjustment::estimate(const Functional& functional) const {
  return answer(model().row_of(functional));
}

Answer Adjustment::eps(const Lines& lines) const {
  Answer out = estimate(eps_of(station_, lines));
  if (auto* known = std::get_if<check::Estimate>(&out)) known->x += nominal_eps(station_, lines);
  return out;
}

Answer Adjustment::fixed(const std::vector<std::pair<std::size_t, double>>& shares) const {
  Row row = model().row_of(Functional{});
  for (const auto& [column, share] : shares) {
    row.fixed(static_cast<Eigen::Index>(column)) += share * model().fixed_scale(column);
  }
  return answer(row);
}

Answer Adjustment::effect(Effect effect) const {
  return answer(model().row_of(effect));
}
Answer Adjustment::pitch_difference() const {
  return fixed(
      {{static_cast<std::size_t>(Effect::pitch_x), 1.0}, {static_cast<std::size_t>(Effect::pitch_y), -1.0}});
}

Answer Adjustment::dogs(const std::string& first, double share, const std::string& second) const {
  const std::optional<std::size_t> one = model().index_of_dog(first), two = model().index_of_dog(second);
  if (!one || !two) return Undetermined{{one ? second : first}};
  return fixed({{*one, share}, {*two, 1.0}});
}
Answer Adjustment::oversize_difference(const std::string& first, const std::string& second) const {
  return dogs(first, -1, second);
}
Answer Adjustment::oversize_sum(const std::string& first, const std::string& second) const {
  return dogs(first, 1, second);
}

const stats::BorderedInverse& Adjustment::inverse() const {
  if (!inverse_) {
    inverse_ = std::make_shared<const stats::BorderedInverse>(factored_.equations->selected_inverse());
  }
  return *inverse_;
}

/// Scatter and place of its own together.
HoleResult Adjustment::aside(Hole hole, int scatter, int own) const {
  const double prior = components_.theta.front() + kAnywhereMm * kAnywhereMm;
  HoleResult out{hole, {}, {prior, 0, prior}, 0};
  Row x = model().row_of(Functional{}), y = x;
  x.random = {{scatter, 1}, {own, 1}};
  y.random = {{scatter + 1, 1}, {own + 1, 1}};
  const std::vector<double> of_x = solve(x), of_y = solve(y);
  out.deviation = {dot(x, factored_.solution), dot(y, factored_.solution)};
  out.covariance = {dot(x, of_x), dot(x, of_y), dot(y, of_y)};
  out.informed = 1 - (out.covariance.xx + out.covariance.yy) / (2 * prior);
  return out;
}

HoleResult Adjustment::hole(Hole hole) const {
  const double variance = components_.theta.front();
  HoleResult out{hole, {}, {variance, 0, variance}, 0};
  const std::optional<int> at = model().index_of(hole);
  if (!at) return out;
  if (const std::optional<int> own = model().index_aside(hole)) return aside(hole, *at, *own);
  const double sd = std::sqrt(variance);
  const auto x = static_cast<std::size_t>(*at);
  out.deviation = {sd * factored_.solution[x], sd * factored_.solution[x + 1]};
  out.covariance = {variance * inverse().diagonal(*at), variance * inverse().at(*at + 1, *at).value(),
                    variance * inverse().diagonal(*at + 1)};
  // Rounding must not make the share of a hole that nothing tells of a little less than none.
  out.informed = std::max(0.0, 1 - (out.covariance.xx + out.covariance.yy) / (2 * variance));
  return out;
}

std::vector<HoleResult> Adjustment::holes() const {
  std::vector<HoleResult> all;
  for (const Hole& one : model().holes()) all.push_back(hole(one));
  return all;
}

double Adjustment::residual(std::size_t observation) const {
  const int i = static_cast<int>(observation);
  return model().y(i) - dot(model().row(i), factored_.solution);
}

}  // namespace quarterturn::survey
