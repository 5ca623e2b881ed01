// SPDX-License-Identifier: MIT
/// \file sparse_cholesky.hpp
/// L D L' of a sparse symmetric positive definite matrix, and the elements of its inverse where L has some.
///
/// In       A (n x n) as triplets of its lower triangle, right-hand sides
/// Out      solutions, log |A|, elements of A^-1 on the pattern of L; no matrix of n x n elements is formed
/// Maths    METHOD.md (M101); Eigen's SimplicialLDLT in the order of least degree; [TAKAHASHI], [ERISMAN]
/// Assumes  A symmetric; a pivot z'Az under 1e-12 |z|'|A||z| is taken for zero: rounding leaves as much
/// Range    n >= 1; time grows with the sum of squared column counts of L (table in METHOD.md)
/// Accuracy 1e-9 against dense inverses (tests/stats/sparse_cholesky_test.cpp)
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace quarterturn::stats {

/// One element of a lower triangle, row >= column; those of one place are added.
struct Triplet {
  int row = 0, column = 0;
  double value = 0;
};

/// One element of a vector that is zero nearly everywhere; those of one place are added.
struct Entry {
  int index = 0;
  double value = 0;
};

/// Why there is no factor: the first pivot, in the order of elimination, that is not above zero.
struct NotPositiveDefinite {
  int column = 0;           ///< of the matrix as given
  double pivot = 0;         ///< as a share of that column's diagonal element
  bool indefinite = false;  ///< further below zero than rounding goes
};

/// Elements of A^-1 where L + L' has elements, and so wherever A has.
class SelectedInverse {
 public:
  /// Empty outside the pattern. \throws std::out_of_range unless 0 <= i, j < n
  [[nodiscard]] std::optional<double> at(int i, int j) const;
  [[nodiscard]] double diagonal(int i) const;
  [[nodiscard]] int size() const { return static_cast<int>(diagonal_.size()); }
  [[nodiscard]] std::size_t stored() const { return rows_.size() + diagonal_.size(); }

 private:
  friend class SparseCholesky;
  std::vector<int> position_;      ///< of an index as given, in the order of elimination
  std::vector<int> begin_, rows_;  ///< strictly lower L, column by column, rows ascending
  std::vector<double> diagonal_, off_diagonal_;
};

/// Immutable; a copy shares the factor.
class SparseCholesky {
 public:
  /// \param why          told when the answer is empty: A is not positive definite
  /// \param least_pivot  a pivot under this share of its diagonal element is refused as well
  /// \throws std::domain_error on n < 1, an element above the diagonal, out of range or not finite
  /// Example: SparseCholesky::of(2, {{{0, 0, 4}, {1, 0, 2}, {1, 1, 3}}})->log_determinant() is log 8.
  static std::optional<SparseCholesky> of(int n, std::span<const Triplet> lower,
                                          NotPositiveDefinite* why = nullptr, double least_pivot = 0);

  [[nodiscard]] int size() const;
  /// \param b  one or several right-hand sides, one after the other
  [[nodiscard]] std::vector<double> solve(std::span<const double> b) const;
  [[nodiscard]] std::vector<double> solve(std::span<const Entry> b) const;
  [[nodiscard]] double log_determinant() const;
  [[nodiscard]] SelectedInverse selected_inverse() const;

 private:
  struct Factor;
  explicit SparseCholesky(std::shared_ptr<const Factor> factor);
  std::shared_ptr<const Factor> factor_;
};

}  // namespace quarterturn::stats
