// SPDX-License-Identifier: MIT
/// \file bordered.hpp
/// A sparse symmetric matrix with a few dense border columns: fixed effects beside many random ones, or
/// constraints.
///
/// In       N = [A B; B' C]: A (n x n) positive semidefinite, lower triplets; B (n x k) dense; C (k x k)
/// Out      solutions, log |N|, elements of N^-1, what is not determined
/// Maths    METHOD.md (M102); [GOLVL] 4.2 (Schur complement), [PATT]
/// Assumes  C symmetric; C of zeros makes B' x = 0 a constraint
/// Range    k up to about 12; A lacks at most 64 of its rank, which B or nothing may make up for
/// Accuracy 1e-9 against dense inverses (tests/stats/bordered_test.cpp)
///
/// Where N is singular, it is said which combinations are not determined, and the rest stays right: solutions
/// and variances of functions without a share in those combinations are those that any way of fixing them
/// gives.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "stats/sparse_cholesky.hpp"

namespace quarterturn::stats {

/// Elements of N^-1; indices from n on are border columns.
class BorderedInverse {
 public:
  /// Empty where both indices are below n and outside the pattern of L. \throws std::out_of_range
  [[nodiscard]] std::optional<double> at(int i, int j) const;
  [[nodiscard]] double diagonal(int i) const { return *at(i, i); }
  /// a' N^-1 b; empty where an element that it takes is.
  [[nodiscard]] std::optional<double> bilinear(std::span<const Entry> a, std::span<const Entry> b) const;

 private:
  friend class BorderedCholesky;
  struct Parts;
  BorderedInverse(SelectedInverse sparse, std::shared_ptr<const Parts> parts);
  SelectedInverse sparse_;
  std::shared_ptr<const Parts> parts_;
};

/// Immutable; a copy shares the factor.
class BorderedCholesky {
 public:
  /// \param border  columns of B one after the other, n k values
  /// \param corner  C, k k values; empty: zeros
  /// \param why     told when the answer is empty: A is indefinite, or lacks more than 64 of its rank
  /// \throws std::domain_error on shapes that do not fit or a value not finite
  /// Example: A = I (2), B = (1, 1)', C empty: solve({{1, 0, 0}}) is {0.5, -0.5, 0.5}.
  static std::optional<BorderedCholesky> of(int n, std::span<const Triplet> lower,
                                            std::span<const double> border,
                                            std::span<const double> corner = {},
                                            NotPositiveDefinite* why = nullptr);

  [[nodiscard]] int size() const;     ///< n
  [[nodiscard]] int borders() const;  ///< k
  /// Vectors of n + k values of length 1 that N turns into zero; none: all is determined. Their last k values
  /// are the combinations of border columns that nothing tells.
  [[nodiscard]] const std::vector<std::vector<double>>& undetermined() const;
  /// Whether c'x has no share in what is not determined.
  [[nodiscard]] bool determines(std::span<const Entry> c) const;
  /// \param b  n + k values
  [[nodiscard]] std::vector<double> solve(std::span<const double> b) const;
  /// The same but for a few digits fewer, in half the time: within iterations that take away what is left.
  [[nodiscard]] std::vector<double> solve_once(std::span<const double> b) const;
  /// a' N^-1 b
  [[nodiscard]] double bilinear(std::span<const Entry> a, std::span<const Entry> b) const;
  /// Log of the absolute value. Where A is positive definite and combinations of the border are not
  /// determined, over those that are: matrices that lack the same ones may be compared. Empty where N is
  /// singular and A is, too.
  [[nodiscard]] std::optional<double> log_determinant() const;
  [[nodiscard]] BorderedInverse selected_inverse() const;

 private:
  using Parts = BorderedInverse::Parts;
  BorderedCholesky(SparseCholesky sparse, std::shared_ptr<const Parts> parts);
  SparseCholesky sparse_;
  std::shared_ptr<const Parts> parts_;
};

}  // namespace quarterturn::stats
