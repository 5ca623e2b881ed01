// SPDX-License-Identifier: MIT
#include "stats/bordered.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "stats/schur_complement.hpp"

namespace quarterturn::stats {
namespace {

using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

constexpr std::size_t kMostPins = 64;  ///< the Schur complement stays small
constexpr double kWeakPivot =
    1e-6;  ///< share of its diagonal element; weights cost nothing but a border column

std::size_t index(Eigen::Index i) {
  return static_cast<std::size_t>(i);
}

Matrix matrix_of(std::span<const double> values, Eigen::Index rows, Eigen::Index columns, const char* what) {
  if (static_cast<Eigen::Index>(values.size()) != rows * columns) throw std::domain_error(what);
  if (!std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); }))
    throw std::domain_error("bordered matrix: a value is not finite");
  return Eigen::Map<const Matrix>(values.data(), rows, columns);
}

/// A, with weights added to the diagonal where elimination finds nothing left: pinned + A = L D L'.
struct Pinned {
  std::optional<SparseCholesky> sparse;
  std::vector<Entry> pins;  ///< root of what was added
  NotPositiveDefinite why;
};

/// Weights do not change N, so a pivot that is only weak gets one as well, as long as there are not too many.
Pinned pin(int n, std::span<const Triplet> lower, double least_pivot) {
  Pinned pinned;
  AddedWeights weights{kMostPins, {}};
  pinned.sparse = SparseCholesky::of(n, lower, weights, &pinned.why, least_pivot);
  if (!pinned.sparse && !pinned.why.indefinite && least_pivot > 0) return pin(n, lower, 0);
  for (const Entry& one : weights.added) pinned.pins.push_back({one.index, std::sqrt(one.value)});
  return pinned;
}

}  // namespace

/// (M102) With weights F F' that make A positive definite, N is what is left of
/// [A + F F'  B  F;  B'  C  0;  F'  0  I] when the last block is eliminated: B and F are one border.
struct BorderedInverse::Parts {
  Eigen::Index n = 0, k = 0;
  std::vector<Triplet> lower;
  Matrix border, corner;  ///< B, C as given
  Matrix all;             ///< (B F)
  Matrix y;               ///< (A + F F')^-1 (B F)
  Matrix inverse;         ///< of the Schur complement, over what is determined
  Matrix rows, across;    ///< Y' and inverse Y': what N^-1 differs by from A^-1 is a product of their columns
  std::vector<std::vector<double>> undetermined;
  std::optional<double> log_determinant;

  /// What follows from the border and the corner, once A is factored.
  void complete(const SparseCholesky& sparse, std::span<const Entry> pins) {
    const auto f = static_cast<Eigen::Index>(pins.size());
    log_determinant = sparse.log_determinant();
    if (k + f == 0) return;
    all = Matrix::Zero(n, k + f);
    Matrix whole = Matrix::Zero(k + f, k + f);
    if (k > 0) {
      all.leftCols(k) = border;
      whole.topLeftCorner(k, k) = corner;
    }
    for (Eigen::Index i = 0; i < f; ++i) {
      all(pins[index(i)].index, k + i) = pins[index(i)].value;
      whole(k + i, k + i) = 1;
    }
    const std::vector<double> solved = sparse.solve(std::span<const double>(all.data(), index(all.size())));
    y = Eigen::Map<const Matrix>(solved.data(), n, k + f);
    const SchurComplement schur(all, whole, y, [&](const Vector& w) { return terms(whole, pins, w); });
    inverse = schur.inverse();
    rows = y.transpose();
    across.noalias() = inverse * rows;
    for (const auto& null : schur.nulls().colwise()) {
      Vector z(n + k);
      z.head(n) = -(y * null);
      z.tail(k) = null.head(k);
      z.normalize();
      undetermined.emplace_back(z.data(), z.data() + z.size());
    }
    const Matrix& nulls = schur.nulls();
    // a null vector without a share in the weights leaves A as it is
    if (nulls.cols() == 0 || f == 0 || nulls.bottomRows(f).norm() <= 1e-6 * nulls.norm())
      *log_determinant += schur.log_determinant();
    else
      log_determinant.reset();
  }
  /// |z|' |[A + F F'  B F; (B F)'  whole]| |z| for z = (-y w, w).
  [[nodiscard]] double terms(const Matrix& whole, std::span<const Entry> pins, const Vector& w) const {
    const Vector x = (y * w).cwiseAbs(), u = w.cwiseAbs();
    double sum = 2 * x.dot(all.cwiseAbs() * u) + u.dot(whole.cwiseAbs() * u);
    for (const Triplet& t : lower)
      sum += (t.row == t.column ? 1 : 2) * std::fabs(t.value) * x[t.row] * x[t.column];
    for (const Entry& pin : pins) sum += pin.value * pin.value * x[pin.index] * x[pin.index];
    return sum;
  }
  /// What the border adds to a'A^-1 b.
  [[nodiscard]] double by_border(std::span<const Entry> a, std::span<const Entry> b) const {
    Vector left = Vector::Zero(inverse.rows()), right = left;
    for (const Entry& e : a) left += e.value * rows.col(e.index);
    for (const Entry& e : b) right += e.value * across.col(e.index);
    return left.dot(right);
  }
  [[nodiscard]] Vector times(const Vector& z) const {
    Vector out(n + k);
    out.head(n).setZero();
    if (k > 0) {
      out.head(n) = border * z.tail(k);
      out.tail(k) = border.transpose() * z.head(n) + corner * z.tail(k);
    }
    for (const Triplet& t : lower) {
      out[t.row] += t.value * z[t.column];
      if (t.row != t.column) out[t.column] += t.value * z[t.row];
    }
    return out;
  }
  [[nodiscard]] Vector solve_once(const SparseCholesky& sparse, const Vector& b) const {
    const std::vector<double> alone = sparse.solve(std::span(b.data(), index(n)));
    const Eigen::Map<const Vector> x(alone.data(), n);
    if (all.size() == 0) return x;
    Vector rest = -(all.transpose() * x);
    rest.head(k) += b.tail(k);
    const Vector w = inverse * rest;
    Vector z(n + k);
    z.head(n) = x - y * w;
    z.tail(k) = w.head(k);
    return z;
  }
};

BorderedInverse::BorderedInverse(SelectedInverse sparse, std::shared_ptr<const Parts> parts)
    : sparse_(std::move(sparse)), parts_(std::move(parts)) {}

BorderedCholesky::BorderedCholesky(SparseCholesky sparse, std::shared_ptr<const Parts> parts)
    : sparse_(std::move(sparse)), parts_(std::move(parts)) {}

std::optional<BorderedCholesky> BorderedCholesky::of(int n, std::span<const Triplet> lower,
                                                     std::span<const double> border,
                                                     std::span<const double> corner,
                                                     NotPositiveDefinite* why) {
  Pinned pinned = pin(n, lower, kWeakPivot);
  if (!pinned.sparse) {
    if (why != nullptr) *why = pinned.why;
    return std::nullopt;
  }
  auto parts = std::make_shared<Parts>();
  parts->n = n;
  parts->k = static_cast<Eigen::Index>(border.size()) / n;
  parts->lower.assign(lower.begin(), lower.end());
  parts->border = matrix_of(border, n, parts->k, "bordered matrix: the border is not n k values");
  parts->corner =
      corner.empty() ? Matrix(Matrix::Zero(parts->k, parts->k))
                     : matrix_of(corner, parts->k, parts->k, "bordered matrix: the corner is not k k values");
  parts->complete(*pinned.sparse, pinned.pins);
  return BorderedCholesky(*std::move(pinned.sparse), std::move(parts));
}

int BorderedCholesky::size() const {
  return static_cast<int>(parts_->n);
}

int BorderedCholesky::borders() const {
  return static_cast<int>(parts_->k);
}

const std::vector<std::vector<double>>& BorderedCholesky::undetermined() const {
  return parts_->undetermined;
}

bool BorderedCholesky::determines(std::span<const Entry> c) const {
  for (const auto& z : parts_->undetermined) {
    double sum = 0, size = 0, length = 0;
    for (const Entry& e : c) {
      const double share = e.value * z.at(static_cast<std::size_t>(e.index));
      sum += share;
      size += std::fabs(share);
      length += e.value * e.value;
    }
    // z is of length 1 and good to about nine digits
    if (std::fabs(sum) > 1e-7 * size + 1e-9 * std::sqrt(length)) return false;
  }
  return true;
}

std::vector<double> BorderedCholesky::solve_once(std::span<const double> b) const {
  const Eigen::Index size = parts_->n + parts_->k;
  if (static_cast<Eigen::Index>(b.size()) != size)
    throw std::domain_error("bordered matrix: a right-hand side is not n + k values");
  const Vector z = parts_->solve_once(sparse_, Eigen::Map<const Vector>(b.data(), size));
  return {z.data(), z.data() + size};
}

/// (M102), once refined on what is left over: the weights F would cost digits otherwise.
std::vector<double> BorderedCholesky::solve(std::span<const double> b) const {
  const Eigen::Index size = parts_->n + parts_->k;
  if (static_cast<Eigen::Index>(b.size()) != size)
    throw std::domain_error("bordered matrix: a right-hand side is not n + k values");
  const Eigen::Map<const Vector> given(b.data(), size);
  Vector z = parts_->solve_once(sparse_, given);
  z += parts_->solve_once(sparse_, given - parts_->times(z));
  return {z.data(), z.data() + size};
}

/// (M102) For vectors without a share in the border the half solutions of A do, and what the border adds.
double BorderedCholesky::bilinear(std::span<const Entry> a, std::span<const Entry> b) const {
  const auto inside = [&](const Entry& e) { return e.index < parts_->n; };
  if (std::ranges::all_of(a, inside) && std::ranges::all_of(b, inside)) {
    const double alone = sparse_.bilinear(a, b);
    return parts_->inverse.size() == 0 ? alone : alone + parts_->by_border(a, b);
  }
  std::vector<double> right(index(parts_->n + parts_->k));
  for (const Entry& e : b) right.at(static_cast<std::size_t>(e.index)) += e.value;
  const std::vector<double> z = solve(right);
  double sum = 0;
  for (const Entry& e : a) sum += e.value * z.at(static_cast<std::size_t>(e.index));
  return sum;
}

std::optional<double> BorderedCholesky::log_determinant() const {
  return parts_->log_determinant;
}

BorderedInverse BorderedCholesky::selected_inverse() const {
  return {sparse_.selected_inverse(), parts_};
}

/// (M102) N^-1 = [A^-1 + Y T Y'  -Y T; -T Y'  T], T the inverse of the Schur complement.
std::optional<double> BorderedInverse::at(int i, int j) const {
  const Parts& p = *parts_;
  if (i < 0 || j < 0 || i >= p.n + p.k || j >= p.n + p.k)
    throw std::out_of_range("bordered inverse: no such element");
  if (i >= p.n && j >= p.n) return p.inverse(i - p.n, j - p.n);
  if (i >= p.n) std::swap(i, j);
  if (j >= p.n) return -p.y.row(i).dot(p.inverse.col(j - p.n));
  const std::optional<double> sparse = sparse_.at(i, j);
  if (!sparse || p.inverse.size() == 0) return sparse;
  return *sparse + p.rows.col(i).dot(p.across.col(j));
}

std::optional<double> BorderedInverse::bilinear(std::span<const Entry> a, std::span<const Entry> b) const {
  double sum = 0;
  for (const Entry& e : a) {
    for (const Entry& f : b) {
      const std::optional<double> one = at(e.index, f.index);
      if (!one) return std::nullopt;
      sum += e.value * f.value * *one;
    }
  }
  return sum;
}

}  // namespace quarterturn::stats
