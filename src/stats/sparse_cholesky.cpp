// SPDX-License-Identifier: MIT
#include "stats/sparse_cholesky.hpp"

#include <Eigen/Core>
#include <Eigen/OrderingMethods>
#include <Eigen/SparseCore>
#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "stats/sparse_factor.hpp"

namespace quarterturn::stats {
namespace {

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

void hold_shape(int n, std::span<const Triplet> lower) {
  if (n < 1) throw std::domain_error("sparse matrix: no columns");
  for (const Triplet& t : lower) {
    if (t.column < 0 || t.row < t.column || t.row >= n)
      throw std::domain_error("sparse matrix: an element is not of the lower triangle");
    if (!std::isfinite(t.value)) throw std::domain_error("sparse matrix: an element is not finite");
  }
}

/// Index as given of each place in the order of elimination.
std::vector<int> least_degree(int n, std::span<const Triplet> lower) {
  std::vector<Eigen::Triplet<char>> places;  // where an element stands counts only
  places.reserve(lower.size() + index(n));
  for (const Triplet& t : lower) places.emplace_back(t.row, t.column, 1);
  for (int j = 0; j < n; ++j) places.emplace_back(j, j, 1);
  Eigen::SparseMatrix<char> pattern(n, n);
  pattern.setFromTriplets(places.begin(), places.end(), [](char one, char) { return one; });
  Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> back;
  Eigen::AMDOrdering<int>()(pattern.selfadjointView<Eigen::Lower>(), back);
  return {back.indices().data(), back.indices().data() + n};
}

}  // namespace

SparseCholesky::SparseCholesky(std::shared_ptr<const Factor> factor) : factor_(std::move(factor)) {}

std::optional<SparseCholesky> SparseCholesky::of(int n, std::span<const Triplet> lower,
                                                 NotPositiveDefinite* why, double least_pivot) {
  AddedWeights none;
  return of(n, lower, none, why, least_pivot);
}

/// (M101) P A P' = L D L'. What follows a bad pivot is worth nothing, so the first one that is not clearly
/// positive counts.
std::optional<SparseCholesky> SparseCholesky::of(int n, std::span<const Triplet> lower, AddedWeights& weights,
                                                 NotPositiveDefinite* why, double least_pivot) {
  hold_shape(n, lower);
  auto factor = std::make_shared<Factor>();
  factor->back = least_degree(n, lower);
  factor->order.resize(index(n));
  for (int k = 0; k < n; ++k) factor->order[index(factor->back[index(k)])] = k;
  NotPositiveDefinite refused;
  if (factor->eliminate(lower, least_pivot, &weights, refused) == index(n))
    return SparseCholesky(std::move(factor));
  if (why != nullptr) *why = refused;
  return std::nullopt;
}

int SparseCholesky::size() const {
  return static_cast<int>(factor_->size());
}

std::vector<double> SparseCholesky::solve(std::span<const double> b) const {
  const Factor& f = *factor_;
  const std::size_t n = f.size();
  if (b.size() % n != 0) throw std::domain_error("sparse matrix: a right-hand side is not n values");
  std::vector<double> x(b.size()), z(n);
  for (std::size_t from = 0; from < b.size(); from += n) {
    for (std::size_t k = 0; k < n; ++k) z[k] = b[from + index(f.back[k])];
    for (std::size_t j = 0; j < n; ++j)
      for (int p = f.begin[j]; p < f.begin[j + 1]; ++p)
        z[index(f.rows[index(p)])] -= f.values[index(p)] * z[j];
    for (std::size_t j = n; j-- > 0;) {
      double sum = z[j] / f.d[j];
      for (int p = f.begin[j]; p < f.begin[j + 1]; ++p)
        sum -= f.values[index(p)] * z[index(f.rows[index(p)])];
      z[j] = sum;
    }
    for (std::size_t k = 0; k < n; ++k) x[from + index(f.back[k])] = z[k];
  }
  return x;
}

std::vector<double> SparseCholesky::solve(std::span<const Entry> b) const {
  std::vector<double> dense(static_cast<std::size_t>(size()));
  for (const Entry& e : b) dense.at(index(e.index)) += e.value;
  return solve(dense);
}

/// (M101) A^-1 = P' L'^-1 D^-1 L^-1 P: what a and b both reach of their halves.
double SparseCholesky::bilinear(std::span<const Entry> a, std::span<const Entry> b) const {
  const bool same = a.data() == b.data() && a.size() == b.size();
  std::vector<double> left, right;
  std::vector<int> from_left, from_right;
  factor_->half_solve(a, left, from_left);
  if (!same) factor_->half_solve(b, right, from_right);
  const std::vector<double>& other = same ? left : right;
  double sum = 0;
  for (const int k : from_left) sum += left[index(k)] * other[index(k)] / factor_->d[index(k)];
  return sum;
}

double SparseCholesky::log_determinant() const {
  double sum = 0;
  for (const double d : factor_->d) sum += std::log(d);
  return sum;
}

}  // namespace quarterturn::stats
