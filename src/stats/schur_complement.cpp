// SPDX-License-Identifier: MIT
#include "stats/schur_complement.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/QR>
#include <cmath>

namespace quarterturn::stats {
namespace {

using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

constexpr double kZero = 1e-12;       ///< of w'Sw against its terms, where rounding leaves some 1e-15
constexpr double kSuspicious = 1e-4;  ///< eigenvalue of the scaled S under which it is looked at closely

}  // namespace

/// (M102) S scaled on both sides by the roots of |c_jj| + b_j' y_j, which is how large its diagonal was
/// before anything cancelled.
SchurComplement::SchurComplement(const Matrix& border, const Matrix& corner, const Matrix& y,
                                 const Terms& terms) {
  const Matrix product = border.transpose() * y;
  s_ = corner - (product + product.transpose()) / 2;
  scale_ = (corner.diagonal().cwiseAbs() + product.diagonal().cwiseAbs()).cwiseSqrt();
  for (double& one : scale_)
    if (!(one > 0)) one = 1;
  nulls_ = Matrix(s_.rows(), 0);
  const Vector less = scale_.cwiseInverse();
  const Eigen::SelfAdjointEigenSolver<Matrix> eigen(less.asDiagonal() * s_ * less.asDiagonal());
  values_ = eigen.eigenvalues();
  vectors_ = less.asDiagonal() * eigen.eigenvectors();
  for (Eigen::Index i = 0; i < values_.size(); ++i) {
    if (std::fabs(values_[i]) > kSuspicious) continue;
    if (std::fabs(values_[i]) > kZero * terms(vectors_.col(i))) continue;
    values_[i] = 0;
    nulls_.conservativeResize(Eigen::NoChange, nulls_.cols() + 1);
    nulls_.rightCols(1) = vectors_.col(i);
  }
}

Matrix SchurComplement::inverse() const {
  Vector of(values_.size());
  for (Eigen::Index i = 0; i < of.size(); ++i) of[i] = values_[i] == 0 ? 0 : 1 / values_[i];
  return vectors_ * of.asDiagonal() * vectors_.transpose();
}

double SchurComplement::log_determinant() const {
  if (nulls_.cols() == s_.rows()) return 0;
  if (nulls_.cols() == 0) return values_.cwiseAbs().array().log().sum() + 2 * scale_.array().log().sum();
  const Matrix q = Eigen::HouseholderQR<Matrix>(nulls_).householderQ();
  const Matrix u = q.rightCols(s_.rows() - nulls_.cols());
  const Eigen::SelfAdjointEigenSolver<Matrix> eigen(u.transpose() * s_ * u, Eigen::EigenvaluesOnly);
  return eigen.eigenvalues().cwiseAbs().array().log().sum();
}

}  // namespace quarterturn::stats
