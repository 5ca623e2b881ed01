// SPDX-License-Identifier: MIT
/// \file sparse_cholesky.hpp
/// L D L' of a sparse symmetric positive definite matrix, and the elements of its inverse where L has some.
///
/// In       A (n x n) as triplets of its lower triangle, right-hand sides
/// Out      solutions, log |A|, elements of A^-1 on the pattern of L; no matrix of n x n elements is formed
/// Maths    METHOD.md (M101); in Eigen's order of approximately least degree; [TAKAHASHI], [ERISMAN]
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
  [[nodiscard]] int size() const { return static_cast<int>(position_.size()); }
  [[nodiscard]] std::size_t stored() const { return stored_; }

 private:
  friend class SparseCholesky;
  /// Columns of L that follow one another and have the same rows below themselves.
  struct Block {
    int first = 0, width = 0;          ///< columns, in the order of elimination
    std::size_t rows = 0, height = 0;  ///< where its rows begin, the columns themselves first; how many
    std::size_t values = 0;            ///< where its elements begin, column by column, height each
  };
  [[nodiscard]] double value(const Block& block, int row, int column) const;
  std::vector<int> position_;  ///< of an index as given, in the order of elimination
  std::vector<int> block_of_;  ///< of a column
  std::vector<Block> blocks_;
  std::vector<int> rows_;
  std::vector<double> values_;
  std::size_t stored_ = 0;
};

/// What may be added to the diagonal where a pivot is refused, and what was: the element itself, so that the
/// pivot is clearly positive.
struct AddedWeights {
  std::size_t most = 0;
  std::vector<Entry> added;  ///< by index as given
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
  /// The same of A with weights on the diagonal where it needs them. An indefinite A, or one that needs more
  /// than `weights.most`, has no factor.
  static std::optional<SparseCholesky> of(int n, std::span<const Triplet> lower, AddedWeights& weights,
                                          NotPositiveDefinite* why, double least_pivot);

  [[nodiscard]] int size() const;
  /// \param b  one or several right-hand sides, one after the other
  [[nodiscard]] std::vector<double> solve(std::span<const double> b) const;
  [[nodiscard]] std::vector<double> solve(std::span<const Entry> b) const;
  /// a' A^-1 b by half a solution each, over what elimination reaches from their elements.
  [[nodiscard]] double bilinear(std::span<const Entry> a, std::span<const Entry> b) const;
  [[nodiscard]] double log_determinant() const;
  [[nodiscard]] SelectedInverse selected_inverse() const;

 private:
  struct Factor;
  explicit SparseCholesky(std::shared_ptr<const Factor> factor);
  std::shared_ptr<const Factor> factor_;
};

}  // namespace quarterturn::stats
