// SPDX-License-Identifier: MIT
/// \file sparse_factor.hpp
/// Inside stats/: the factor itself, and the numbers it is made by.
#pragma once

#include <span>
#include <vector>

#include "stats/sparse_cholesky.hpp"

namespace quarterturn::stats {

/// P A P' = L D L'. Columns of L without the ones on the diagonal, rows ascending.
struct SparseCholesky::Factor {
  std::vector<int> order, back;            ///< place of an index as given; index as given of a place
  std::vector<int> parent, begin, filled;  ///< of a column: its first row, where it begins, how much is in it
  std::vector<int> rows;
  std::vector<double> values, d;

  [[nodiscard]] std::size_t size() const { return order.size(); }
  /// Place of a refused pivot, or size(). \param weights  null: none may be added
  std::size_t eliminate(std::span<const Triplet> lower, double least_pivot, AddedWeights* weights,
                        NotPositiveDefinite& why);
  /// Places that elimination reaches from an entry, ascending, into `reached`; z at them: L z = P b.
  void half_solve(std::span<const Entry> b, std::vector<double>& z, std::vector<int>& reached) const;

 private:
  void analyse(std::span<const int> column_begin, std::span<const int> row);
  [[nodiscard]] double size_of_pivot(std::size_t k, std::span<const Triplet> lower,
                                     std::span<const Entry> weights) const;
};

}  // namespace quarterturn::stats
