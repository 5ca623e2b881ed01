// SPDX-License-Identifier: MIT
#include "stats/uncertainty_budget.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>
#include <stdexcept>
#include <utility>

#include "stats/distributions.hpp"

namespace quarterturn::stats {
namespace {

std::domain_error refused(const std::string& why) {
  return std::domain_error("budget: " + why);
}

void hold_rows(std::span<const BudgetRow> rows) {
  if (rows.empty()) throw refused("no rows");
  for (const BudgetRow& row : rows) {
    if (!std::isfinite(row.value) || !std::isfinite(row.sensitivity))
      throw refused("value or sensitivity of row '" + row.name + "' is not finite");
    if (!std::isfinite(row.u) || row.u < 0)
      throw refused("standard uncertainty of row '" + row.name + "' must be finite and not below 0");
    if (!(row.dof > 0)) throw refused("degrees of freedom of row '" + row.name + "' must be above 0");
  }
}

/// Each pair within the rows and given once. `same` allows i = j.
template <class Pair>
void hold_pairs(std::span<const Pair> pairs, std::size_t rows, bool same, const char* what) {
  std::set<std::pair<std::size_t, std::size_t>> seen;
  for (const Pair& pair : pairs) {
    if (pair.i >= rows || pair.j >= rows) throw refused(std::string(what) + " of a row that does not exist");
    if (pair.i == pair.j && !same) throw refused(std::string(what) + " of a row with itself");
    if (!seen.emplace(std::minmax(pair.i, pair.j)).second)
      throw refused(std::string(what) + " of one pair of rows given twice");
  }
}

void hold_correlations(std::span<const Correlation> correlations, std::size_t rows) {
  hold_pairs(correlations, rows, false, "correlation");
  if (correlations.empty()) return;
  const auto n = static_cast<Eigen::Index>(rows);
  Eigen::MatrixXd r = Eigen::MatrixXd::Identity(n, n);
  for (const Correlation& c : correlations) {
    if (!(std::fabs(c.r) <= 1)) throw refused("a correlation must lie between -1 and 1");
    const auto i = static_cast<Eigen::Index>(c.i), j = static_cast<Eigen::Index>(c.j);
    r(i, j) = r(j, i) = c.r;
  }
  // No eigenvalue is below 0. Coefficients printed to two decimals move one by 0.005 (n - 1) at most.
  const double least =
      Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(r, Eigen::EigenvaluesOnly).eigenvalues().minCoeff();
  if (least < -0.005 * static_cast<double>(n - 1) - 1e-12)
    throw refused("the correlations contradict each other");
}

/// c_i u_i, signed.
std::vector<double> signed_contributions(std::span<const BudgetRow> rows) {
  std::vector<double> all;
  for (const BudgetRow& row : rows) all.push_back(row.sensitivity * row.u);
  return all;
}

/// The component each row belongs to: the least index among rows that are correlated with it and contribute.
std::vector<std::size_t> components(const std::vector<double>& cu,
                                    std::span<const Correlation> correlations) {
  std::vector<std::size_t> root(cu.size());
  std::iota(root.begin(), root.end(), std::size_t{0});
  for (const Correlation& c : correlations) {
    if (c.r == 0 || cu[c.i] == 0 || cu[c.j] == 0) continue;
    const auto [keep, gone] = std::minmax(root[c.i], root[c.j]);
    std::ranges::replace(root, std::size_t{gone}, std::size_t{keep});
  }
  return root;
}

// (M85) V^2/sum of g^2/nu over the components, g = sum of w dV/dw over the variances w of a component
double effective_dof(std::span<const BudgetRow> rows, const std::vector<double>& g,
                     const std::vector<std::size_t>& component, double variance) {
  double sum = 0;
  for (std::size_t c = 0; c < rows.size(); ++c) {
    double g_sum = 0, dof = std::numeric_limits<double>::infinity();
    for (std::size_t i = c; i < rows.size(); ++i) {
      if (component[i] != c) continue;
      g_sum += g[i];
      dof = std::min(dof, rows[i].dof);
    }
    const double part = g_sum / variance;
    sum += part * part / dof;
  }
  return sum > 0 ? std::max(1.0, 1 / sum) : std::numeric_limits<double>::infinity();
}

}  // namespace

Budget combine(std::span<const BudgetRow> rows, std::span<const Correlation> correlations,
               std::span<const SecondOrder> second) {
  hold_rows(rows);
  hold_correlations(correlations, rows.size());
  hold_pairs(second, rows.size(), true, "second derivative");
  const std::vector<double> cu = signed_contributions(rows);
  const std::vector<std::size_t> component = components(cu, correlations);

  // (M84) u^2 = sum of (c_i u_i)^2 + 2 c_i c_j u_i u_j r_ij; a row's part holds half of its covariances
  std::vector<double> part;
  double largest = 0;
  Budget budget;
  for (const double x : cu) {
    part.push_back(x * x);
    largest += x * x;
    budget.contribution.push_back(std::fabs(x));
  }
  std::vector<char> correlated(rows.size(), 0);
  for (const Correlation& c : correlations) {
    const double covariance = c.r * cu[c.i] * cu[c.j];
    part[c.i] += covariance;
    part[c.j] += covariance;
    if (c.r != 0) correlated[c.i] = correlated[c.j] = 1;
  }
  double variance = std::accumulate(part.begin(), part.end(), 0.0);
  if (variance < -1e-12 * largest) throw refused("the correlations contradict each other");
  variance = std::max(variance, 0.0);

  // (M84) second order: (d2f/dx_i dx_j)^2 u_i^2 u_j^2, of a square half of it
  std::vector<double> g = part, second_part;
  for (const SecondOrder& s : second) {
    if (!std::isfinite(s.derivative)) throw refused("a second derivative is not finite");
    if (correlated[s.i] != 0 || correlated[s.j] != 0)
      throw refused("a second derivative of a correlated row");
    const double root = s.derivative * rows[s.i].u * rows[s.j].u, square = root * root;
    second_part.push_back(s.i == s.j ? square / 2 : square);
    budget.second_contribution.push_back(std::sqrt(second_part.back()));
    variance += second_part.back();
    g[s.i] += second_part.back();
    g[s.j] += second_part.back();  // of a square both: it goes with the square of the variance
  }
  if (!std::isfinite(variance)) throw refused("the combined variance is not finite");

  const auto share_of = [&](double x) { return variance > 0 ? x / variance : 0.0; };
  for (const double x : part) budget.share.push_back(share_of(x));
  for (const double x : second_part) budget.second_share.push_back(share_of(x));
  budget.u = std::sqrt(variance);
  if (variance > 0) budget.dof = effective_dof(rows, g, component, variance);
  return budget;
}

double Budget::factor(double confidence, DofUse use) const {
  if (!(confidence > 0 && confidence < 1)) throw refused("the confidence must lie between 0 and 1");
  return t_quantile(0.5 + confidence / 2, use == DofUse::whole ? std::floor(dof) : dof);
}

double Budget::expanded(double confidence, DofUse use) const {
  return factor(confidence, use) * u;
}

double covariance(std::span<const BudgetRow> rows, std::span<const double> other,
                  std::span<const Correlation> correlations) {
  hold_rows(rows);
  hold_correlations(correlations, rows.size());
  if (other.size() != rows.size() || !std::ranges::all_of(other, [](double c) { return std::isfinite(c); }))
    throw refused("the other result needs one finite sensitivity a row");
  // (M84) u(y, z) = sum of dy/dx_i dz/dx_j u_i u_j r_ij
  double sum = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) sum += rows[i].sensitivity * other[i] * rows[i].u * rows[i].u;
  for (const Correlation& c : correlations)
    sum += c.r * rows[c.i].u * rows[c.j].u *
           (rows[c.i].sensitivity * other[c.j] + rows[c.j].sensitivity * other[c.i]);
  return sum;
}

Repeated repeated(std::span<const double> values) {
  if (values.size() < 2 || !std::ranges::all_of(values, [](double x) { return std::isfinite(x); }))
    throw refused("repeated observations must be two finite values at least");
  const auto n = static_cast<double>(values.size());
  // (M84) type A: s/sqrt n on n - 1
  const double mean = std::accumulate(values.begin(), values.end(), 0.0) / n;
  double ss = 0;
  for (const double x : values) ss += (x - mean) * (x - mean);
  return {mean, std::sqrt(ss / (n - 1) / n), n - 1};
}

double mean_correlation(std::span<const double> x, std::span<const double> y) {
  if (x.size() != y.size()) throw refused("quantities observed together have as many values each");
  const Repeated a = repeated(x), b = repeated(y);
  double sum = 0;
  for (std::size_t k = 0; k < x.size(); ++k) sum += (x[k] - a.mean) * (y[k] - b.mean);
  if (a.u == 0 || b.u == 0) return 0;
  return std::clamp(sum / (a.dof * (a.dof + 1) * a.u * b.u), -1.0, 1.0);
}

double dof_of_doubt(double relative) {
  if (!(relative >= 0)) throw refused("the doubt of a standard uncertainty must not be below 0");
  return 0.5 / (relative * relative);  // (M85); 0 gives infinity
}

}  // namespace quarterturn::stats
