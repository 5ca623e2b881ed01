// SPDX-License-Identifier: MIT
// The model's equations at given variances: factored, solved, traced, and their likelihood.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "survey/mixed_model.hpp"

namespace quarterturn::survey {
namespace {

double square(double x) {
  return x * x;
}

}  // namespace

// (M109): N = [I + S Z'R^-1 Z S, S Z'R^-1 X; ., X'R^-1 X]
Factored MixedModel::factor(std::span<const double> theta) const {
  const auto k = static_cast<std::size_t>(basis_.cols()), n = static_cast<std::size_t>(random_);
  std::vector<stats::Triplet> lower;
  for (int i = 0; i < random_; ++i) lower.push_back({i, i, 1});
  // a place for the covariance of each hole's x and y, whatever couples them
  for (int i = 0; i < 2 * static_cast<int>(holes_.size()); i += 2) lower.push_back({i + 1, i, 0});
  for (const auto& entry : aside_index_) lower.push_back({entry.second + 1, entry.second, 0});
  std::vector<double> border(n * k), corner(k * k), right(n + k);
  double squares = 0, log_u = 0;
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    const double weight = 1 / square(u_[i]);
    std::vector<stats::Entry> z = rows_[i].random;
    for (stats::Entry& e : z) e.value *= sd(e.index, theta);
    for (std::size_t a = 0; a < z.size(); ++a) {
      for (std::size_t b = 0; b <= a; ++b) {  // indices ascend
        lower.push_back({z[a].index, z[b].index, weight * z[a].value * z[b].value});
      }
      const auto at = static_cast<std::size_t>(z[a].index);
      right[at] += weight * z[a].value * y_[i];
      for (std::size_t c = 0; c < k; ++c) border[c * n + at] += weight * z[a].value * reduced_[i][c];
    }
    for (std::size_t c = 0; c < k; ++c) {
      right[n + c] += weight * reduced_[i][c] * y_[i];
      for (std::size_t d = 0; d < k; ++d) corner[c * k + d] += weight * reduced_[i][c] * reduced_[i][d];
    }
    squares += weight * square(y_[i]);
    log_u += 2 * std::log(u_[i]);
  }
  Factored out;
  out.equations = stats::BorderedCholesky::of(random_, lower, border, corner);
  out.minus_log = std::numeric_limits<double>::infinity();
  const std::optional<double> log_determinant =
      out.equations ? out.equations->log_determinant() : std::optional<double>();
  if (!log_determinant) {
    out.equations.reset();
    return out;
  }
  out.solution = out.equations->solve(right);
  for (std::size_t i = 0; i < right.size(); ++i) squares -= right[i] * out.solution[i];
  out.minus_log = 0.5 * (*log_determinant + log_u + squares);
  return out;
}

std::vector<double> MixedModel::right_side(std::span<const double> theta, std::span<const double> f) const {
  const auto n = static_cast<std::size_t>(random_);
  std::vector<double> right(n + static_cast<std::size_t>(basis_.cols()));
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    const double weighted = f[i] / square(u_[i]);
    for (const stats::Entry& e : rows_[i].random) {
      right[static_cast<std::size_t>(e.index)] += weighted * e.value * sd(e.index, theta);
    }
    for (std::size_t c = 0; c < reduced_[i].size(); ++c) right[n + c] += weighted * reduced_[i][c];
  }
  return right;
}

std::vector<double> MixedModel::project(const Factored& at, std::span<const double> theta,
                                        std::span<const double> f) const {
  const std::vector<double> x = at.equations->solve(right_side(theta, f));
  std::vector<double> out(f.begin(), f.end());
  const auto n = static_cast<std::size_t>(random_);
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    for (const stats::Entry& e : rows_[i].random) {
      out[i] -= e.value * sd(e.index, theta) * x[static_cast<std::size_t>(e.index)];
    }
    for (std::size_t c = 0; c < reduced_[i].size(); ++c) out[i] -= reduced_[i][c] * x[n + c];
    out[i] /= square(u_[i]);
  }
  return out;
}

// tr(P V_a) = (q_a - tr of the inverse over the term)/theta_a
std::vector<double> MixedModel::traces(const Factored& at, std::span<const double> theta) const {
  std::vector<double> sum(terms_.size());
  const stats::BorderedInverse inverse = at.equations->selected_inverse();
  for (int i = 0; i < random_; ++i) {
    if (component_of(i) < sum.size()) sum[component_of(i)] += 1 - inverse.diagonal(i);
  }
  for (std::size_t k = 0; k < sum.size(); ++k) sum[k] /= theta[k];
  return sum;
}

std::vector<double> MixedModel::traces(std::span<const double> theta) const {
  return traces(factor(theta), theta);
}

std::vector<std::vector<double>> MixedModel::spread(std::span<const double> theta,
                                                    std::span<const double> scaled) const {
  std::vector<std::vector<double>> f(terms_.size(), std::vector<double>(rows_.size()));
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    for (const stats::Entry& e : rows_[i].random) {
      const std::size_t k = component_of(e.index);
      if (k == terms_.size()) continue;
      f[k][i] += e.value * scaled[static_cast<std::size_t>(e.index)] / std::sqrt(theta[k]);
    }
  }
  return f;
}

// (M109): dw/dtheta_a = P Z_a s_a/sqrt(theta_a)
std::vector<double> MixedModel::sensitivity(const Factored& at, std::span<const double> theta,
                                            std::span<const double> solved) const {
  const std::size_t m = terms_.size();
  const std::vector<std::vector<double>> f = spread(theta, solved);
  std::vector<double> out(m * m);
  for (std::size_t a = 0; a < m; ++a) {
    const std::vector<double> projected = project(at, theta, f[a]);
    for (std::size_t b = 0; b < m; ++b) {
      out[a * m + b] = std::inner_product(f[b].begin(), f[b].end(), projected.begin(), 0.0);
    }
  }
  return out;
}

// (M109): gradient 1/2 [tr(P V_a) - y'P V_a P y], information 1/2 y'P V_a P V_b P y
void MixedModel::evaluate(std::span<const double> given, stats::RemlPoint& out) const {
  const std::size_t m = terms_.size();
  std::vector<double> theta(given.begin(), given.end());
  for (double& t : theta) t = std::max(t, kSmallest);
  const Factored at = factor(theta);
  out.minus_log = at.minus_log;
  out.gradient.assign(m, 0);
  out.information.assign(m * m, 0);
  if (!at.equations) return;
  const std::vector<double> trace = traces(at, theta);
  const std::vector<std::vector<double>> f = spread(theta, at.solution);  // V_a P y
  for (int i = 0; i < random_; ++i) {
    const std::size_t k = component_of(i);
    if (k == m) continue;
    out.gradient[k] -= 0.5 * square(at.solution[static_cast<std::size_t>(i)]) / theta[k];
  }
  for (std::size_t a = 0; a < m; ++a) {
    out.gradient[a] += 0.5 * trace[a];
    const std::vector<double> projected = project(at, theta, f[a]);
    for (std::size_t b = 0; b < m; ++b) {
      for (std::size_t i = 0; i < rows_.size(); ++i)
        out.information[a * m + b] += 0.5 * f[b][i] * projected[i];
    }
  }
}

}  // namespace quarterturn::survey
