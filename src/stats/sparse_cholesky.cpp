// SPDX-License-Identifier: MIT
#include "stats/sparse_cholesky.hpp"

#include <Eigen/SparseCholesky>
#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace quarterturn::stats {
namespace {

using Sparse = Eigen::SparseMatrix<double>;

constexpr double kZero = 1e-12;  ///< of z'Az against |z|'|A||z|, where rounding leaves some 1e-15
constexpr double kSuspicious =
    1e-6;  ///< share of its diagonal element under which a pivot is looked at closely

Sparse matrix_of(int n, std::span<const Triplet> lower) {
  if (n < 1) throw std::domain_error("sparse matrix: no columns");
  std::vector<Eigen::Triplet<double>> all;
  all.reserve(lower.size() + static_cast<std::size_t>(n));
  for (const Triplet& t : lower) {
    if (t.column < 0 || t.row < t.column || t.row >= n)
      throw std::domain_error("sparse matrix: an element is not of the lower triangle");
    if (!std::isfinite(t.value)) throw std::domain_error("sparse matrix: an element is not finite");
    all.emplace_back(t.row, t.column, t.value);
  }
  for (int i = 0; i < n; ++i) all.emplace_back(i, i, 0.0);  // an absent diagonal element is a zero one
  Sparse matrix(n, n);
  matrix.setFromTriplets(all.begin(), all.end());
  return matrix;
}

}  // namespace

struct SparseCholesky::Factor {
  /// Where the library stops early, columns are filled only so far, and what follows in them is no element.
  struct Ldlt : Eigen::SimplicialLDLT<Sparse, Eigen::Lower, Eigen::AMDOrdering<int>> {
    [[nodiscard]] int filled(Eigen::Index column) const { return m_nonZerosPerCol[column]; }
  };
  Ldlt ldlt;

  /// (M101) |z|'|A||z| for the z with L' P z = e_k: pivot k is z'Az.
  [[nodiscard]] double size_of_pivot(Eigen::Index k, std::span<const Triplet> lower) const {
    const Sparse& l = ldlt.matrixL().nestedExpression();
    Eigen::VectorXd z = Eigen::VectorXd::Zero(l.cols());
    z[k] = 1;
    for (Eigen::Index j = k; j-- > 0;) {
      const int begin = l.outerIndexPtr()[j];
      for (int p = begin; p < begin + ldlt.filled(j) && l.innerIndexPtr()[p] <= k; ++p)
        z[j] -= l.valuePtr()[p] * z[l.innerIndexPtr()[p]];
    }
    z = ldlt.permutationPinv() * z;
    double size = 0;
    for (const Triplet& t : lower)
      size += (t.row == t.column ? 1 : 2) * std::fabs(t.value * z[t.row] * z[t.column]);
    return size;
  }
};

SparseCholesky::SparseCholesky(std::shared_ptr<const Factor> factor) : factor_(std::move(factor)) {}

/// (M101) P A P' = L D L'. The library stops at a pivot of exactly zero only, and what follows a bad pivot is
/// worth nothing, so the first one that is not clearly positive counts.
std::optional<SparseCholesky> SparseCholesky::of(int n, std::span<const Triplet> lower,
                                                 NotPositiveDefinite* why, double least_pivot) {
  const Sparse matrix = matrix_of(n, lower);
  auto factor = std::make_shared<Factor>();
  factor->ldlt.compute(matrix);
  const Eigen::VectorXd d = factor->ldlt.vectorD();
  const auto& back = factor->ldlt.permutationPinv().indices();
  for (Eigen::Index k = 0; k < d.size(); ++k) {
    const int column = back[k];
    const double diagonal = matrix.coeff(column, column);
    if (diagonal > 0 && d[k] > std::max(kSuspicious, least_pivot) * diagonal) continue;
    const double rounding = kZero * factor->size_of_pivot(k, lower);
    if (diagonal > 0 && d[k] > std::max(rounding, least_pivot * diagonal)) continue;
    if (why != nullptr) *why = {column, diagonal > 0 ? d[k] / diagonal : d[k], d[k] < -rounding};
    return std::nullopt;
  }
  return SparseCholesky(std::move(factor));
}

int SparseCholesky::size() const {
  return static_cast<int>(factor_->ldlt.rows());
}

std::vector<double> SparseCholesky::solve(std::span<const double> b) const {
  const std::size_t n = static_cast<std::size_t>(size());
  if (b.size() % n != 0) throw std::domain_error("sparse matrix: a right-hand side is not n values");
  std::vector<double> x(b.size());
  const auto columns = static_cast<Eigen::Index>(b.size() / n);
  Eigen::Map<Eigen::MatrixXd>(x.data(), size(), columns) =
      factor_->ldlt.solve(Eigen::Map<const Eigen::MatrixXd>(b.data(), size(), columns));
  return x;
}

std::vector<double> SparseCholesky::solve(std::span<const Entry> b) const {
  std::vector<double> dense(static_cast<std::size_t>(size()));
  for (const Entry& e : b) dense.at(static_cast<std::size_t>(e.index)) += e.value;
  return solve(dense);
}

double SparseCholesky::log_determinant() const {
  return factor_->ldlt.vectorD().array().log().sum();
}

/// (M101) Z = A^-1 column by column from the last: z_ij = -sum over k of z_ik l_kj, z_jj = 1/d_j - sum l_kj
/// z_kj, k over the rows of column j of L. Two rows of one column are a place of L, so all z_ik are at hand.
SelectedInverse SparseCholesky::selected_inverse() const {
  const auto& ldlt = factor_->ldlt;
  const Sparse& l = ldlt.matrixL().nestedExpression();
  const Eigen::VectorXd d = ldlt.vectorD();
  const auto n = static_cast<std::size_t>(l.cols());
  const auto index = [](auto i) { return static_cast<std::size_t>(i); };

  SelectedInverse z;
  const auto& order = ldlt.permutationP().indices();
  z.position_.assign(order.data(), order.data() + order.size());
  z.begin_.assign(l.outerIndexPtr(), l.outerIndexPtr() + n + 1);
  z.rows_.assign(l.innerIndexPtr(), l.innerIndexPtr() + z.begin_[n]);
  z.diagonal_.resize(n);
  z.off_diagonal_.resize(z.rows_.size());
  const double* value = l.valuePtr();
  std::vector<int> place(n, -1);  // of a row in the column at hand; older entries lie outside [begin, end)
  for (std::size_t j = n; j-- > 0;) {
    const int begin = z.begin_[j], end = z.begin_[j + 1];
    for (int p = begin; p < end; ++p) place[index(z.rows_[index(p)])] = p;
    for (int p = begin; p < end; ++p) {
      const std::size_t k = index(z.rows_[index(p)]);
      double sum = z.diagonal_[k] * value[p];
      for (int q = z.begin_[k]; q < z.begin_[k + 1]; ++q) {
        const int other = place[index(z.rows_[index(q)])];
        if (other < begin || other >= end) continue;
        z.off_diagonal_[index(other)] -= z.off_diagonal_[index(q)] * value[p];
        sum += z.off_diagonal_[index(q)] * value[other];
      }
      z.off_diagonal_[index(p)] -= sum;
    }
    z.diagonal_[j] = 1 / d[static_cast<Eigen::Index>(j)];
    for (int p = begin; p < end; ++p) z.diagonal_[j] -= value[p] * z.off_diagonal_[index(p)];
  }
  return z;
}

std::optional<double> SelectedInverse::at(int i, int j) const {
  const int a = position_.at(static_cast<std::size_t>(i)), b = position_.at(static_cast<std::size_t>(j));
  if (a == b) return diagonal_[static_cast<std::size_t>(a)];
  const auto column = static_cast<std::size_t>(std::min(a, b));
  const int row = std::max(a, b);
  const auto first = rows_.begin() + begin_[column], last = rows_.begin() + begin_[column + 1];
  const auto found = std::lower_bound(first, last, row);
  if (found == last || *found != row) return std::nullopt;
  return off_diagonal_[static_cast<std::size_t>(found - rows_.begin())];
}

double SelectedInverse::diagonal(int i) const {
  return diagonal_[static_cast<std::size_t>(position_.at(static_cast<std::size_t>(i)))];
}

}  // namespace quarterturn::stats
