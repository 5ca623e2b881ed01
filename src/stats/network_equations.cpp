// SPDX-License-Identifier: MIT
#include "stats/network_equations.hpp"

#include <cmath>
#include <stdexcept>
#include <utility>

namespace quarterturn::stats {
namespace {

bool is_sigma(double sigma) {
  return sigma > 0 && std::isfinite(sigma);
}

void check(const Network& network) {
  const auto is_parameter = [&network](int i) { return i >= 0 && index(i) < network.start.size(); };
  for (double v : network.start) require(std::isfinite(v), "network: a start value is not finite");
  for (const Observed& o : network.observations)
    require(std::isfinite(o.value) && is_sigma(o.sigma), "network: an observation is not usable");
  for (const Prior& p : network.priors)
    require(is_parameter(p.parameter) && std::isfinite(p.value) && is_sigma(p.sigma),
            "network: a prior is not usable");
  for (int i : network.fixed) require(is_parameter(i), "network: a fixed parameter is none");
  for (const auto& column : network.datum)
    require(column.size() == network.start.size(), "network: a column of the datum is not a value each");
}

/// Modified Gram-Schmidt on copies: does a column hold nothing new?
bool independent(std::vector<std::vector<double>> columns) {
  const auto dot = [](const auto& a, const auto& b) {
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
    return sum;
  };
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const double before = dot(columns[i], columns[i]);
    for (std::size_t j = 0; j < i; ++j) {
      const double share = dot(columns[i], columns[j]);
      for (std::size_t r = 0; r < columns[i].size(); ++r) columns[i][r] -= share * columns[j][r];
    }
    const double left = dot(columns[i], columns[i]);
    if (!(left > 1e-18 * before)) return false;
    for (double& v : columns[i]) v /= std::sqrt(left);
  }
  return true;
}

}  // namespace

NetworkEquations::NetworkEquations(const Network& network) : network_(network), free_(network.start.size()) {
  check(network);
  for (int i : network.fixed) free_.at(index(i)) = -1;
  for (int& place : free_)
    if (place == 0) place = n_++;
  require(n_ > 0, "network: no parameter is free");
  for (const auto& column : network.datum)
    for (std::size_t i = 0; i < free_.size(); ++i)
      if (free_[i] >= 0) border_.push_back(column[i]);
  std::vector<std::vector<double>> columns;
  for (std::size_t c = 0; c < network.datum.size(); ++c)
    columns.emplace_back(border_.begin() + static_cast<std::ptrdiff_t>(c * index(n_)),
                         border_.begin() + static_cast<std::ptrdiff_t>((c + 1) * index(n_)));
  require(independent(std::move(columns)), "network: columns of the datum depend on each other");
}

std::vector<NetworkLine> NetworkEquations::lines(std::span<const double> x) const {
  std::vector<NetworkLine> all;
  lines(x, all);
  return all;
}

void NetworkEquations::lines(std::span<const double> x, std::vector<NetworkLine>& all) const {
  all.resize(network_.observations.size() + network_.priors.size());
  std::vector<Entry> derivatives;
  auto line = all.begin();
  for (std::size_t i = 0; i < network_.observations.size(); ++i, ++line) {
    derivatives.clear();
    const Observed& seen = network_.observations[i];
    line->computed = network_.model(static_cast<int>(i), x, derivatives);
    line->residual = seen.value - line->computed;
    line->sigma = seen.sigma;
    line->derivatives.clear();
    line->derivatives.reserve(derivatives.size());
    for (const Entry& e : derivatives)
      if (const int place = free_.at(index(e.index)); place >= 0)
        line->derivatives.push_back({place, e.value});
  }
  for (const Prior& prior : network_.priors) {
    const double now = x[index(prior.parameter)];
    *line = NetworkLine{now, prior.value - now, prior.sigma, {}};
    if (const int place = free_[index(prior.parameter)]; place >= 0) line->derivatives = {{place, 1.0}};
    ++line;
  }
}

/// (M103) N = J' P J, bordered by the columns of the datum.
BorderedCholesky NetworkEquations::normal(std::span<const NetworkLine> lines) const {
  std::vector<Triplet> lower;
  for (const NetworkLine& line : lines)
    for (const Entry& a : line.derivatives)
      for (const Entry& b : line.derivatives)
        if (a.index >= b.index)
          lower.push_back({a.index, b.index, a.value * b.value / (line.sigma * line.sigma)});
  auto normal = BorderedCholesky::of(n_, lower, border_);
  require(normal.has_value(), "network: more conditions are missing than can be named");
  return *std::move(normal);
}

/// (M103) N dx + G k = J' P (l - f(x)), G' dx = -G'(x - start).
std::vector<double> NetworkEquations::step(const BorderedCholesky& normal, std::span<const NetworkLine> lines,
                                           std::span<const double> x) const {
  std::vector<double> right(index(n_) + network_.datum.size());
  for (const NetworkLine& line : lines)
    for (const Entry& e : line.derivatives)
      right[index(e.index)] += e.value * line.residual / (line.sigma * line.sigma);
  for (std::size_t c = 0; c < network_.datum.size(); ++c)
    for (std::size_t i = 0; i < free_.size(); ++i)
      if (free_[i] >= 0) right[index(n_) + c] -= network_.datum[c][i] * (x[i] - network_.start[i]);
  std::vector<double> dx = normal.solve_once(right);  // what it leaves the next step takes away
  dx.resize(index(n_));
  return dx;
}

std::vector<double> NetworkEquations::moved(std::span<const double> x, std::span<const double> dx,
                                            double share) const {
  std::vector<double> to(x.begin(), x.end());
  for (std::size_t i = 0; i < to.size(); ++i)
    if (free_[i] >= 0) to[i] += share * dx[index(free_[i])];
  return to;
}

double NetworkEquations::weighted_squares(std::span<const NetworkLine> lines) {
  double sum = 0;
  for (const NetworkLine& line : lines) sum += line.residual / line.sigma * (line.residual / line.sigma);
  return sum;
}

double NetworkEquations::length(std::span<const NetworkLine> lines, std::span<const double> dx) {
  double sum = 0;
  for (const NetworkLine& line : lines) {
    double change = 0;
    for (const Entry& e : line.derivatives) change += e.value * dx[index(e.index)];
    sum += change / line.sigma * (change / line.sigma);
  }
  return std::sqrt(sum);
}

}  // namespace quarterturn::stats
