// SPDX-License-Identifier: MIT
/// \file schur_complement.hpp
/// The small dense part of a bordered matrix: what is left for the border once the sparse part is eliminated.
///
/// In       border B (n x k), corner C (k x k), Y = A^-1 B, how large the terms of z'Nz are
/// Out      S = C - B' Y: its inverse over what is determined, the rest as null vectors, its determinant
/// Maths    METHOD.md (M102)
/// Assumes  C symmetric, k >= 1
/// Range    an eigenvalue under 1e-12 of the terms it is a sum of counts as zero
/// Accuracy with (M102): tests/stats/bordered_test.cpp
#pragma once

#include <Eigen/Core>
#include <functional>

namespace quarterturn::stats {

class SchurComplement {
 public:
  /// Of w: |z|'|N||z| for z = (-Y w, w); z'Nz = w'Sw.
  using Terms = std::function<double(const Eigen::VectorXd& w)>;
  SchurComplement(const Eigen::MatrixXd& border, const Eigen::MatrixXd& corner, const Eigen::MatrixXd& y,
                  const Terms& terms);

  /// Columns that S turns into zero.
  [[nodiscard]] const Eigen::MatrixXd& nulls() const { return nulls_; }
  /// T with S T S = S.
  [[nodiscard]] Eigen::MatrixXd inverse() const;
  /// Log of the absolute value, over what is orthogonal to `nulls`; 0 where nothing is.
  [[nodiscard]] double log_determinant() const;

 private:
  Eigen::MatrixXd s_;
  Eigen::VectorXd scale_, values_;  ///< eigenvalues once scaled
  Eigen::MatrixXd vectors_, nulls_;
};

}  // namespace quarterturn::stats
