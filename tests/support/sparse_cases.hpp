// SPDX-License-Identifier: MIT
/// \file sparse_cases.hpp
/// Sparse symmetric matrices to solve with: normal equations of few unknowns an observation.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <vector>

#include "stats/sparse_cholesky.hpp"
#include "support/dense_oracle.hpp"

namespace quarterturn::test {

using Row = std::vector<stats::Entry>;

/// Lower triplets of the sum of a a' over rows; a place is given as often as rows share it.
inline std::vector<stats::Triplet> normal_triplets(const std::vector<Row>& rows) {
  std::vector<stats::Triplet> lower;
  for (const Row& row : rows)
    for (const auto& a : row)
      for (const auto& b : row)
        if (a.index >= b.index) lower.push_back({a.index, b.index, a.value * b.value});
  return lower;
}

/// Nodes of a bent grid, so that no direction is special.
inline double grid_x(int c, int r) {
  return c + 0.05 * r + 0.01 * ((c * 7 + r * 3) % 5);
}
inline double grid_y(int c, int r) {
  return r - 0.03 * c + 0.01 * ((c * 5 + r * 2) % 7);
}

/// The distance from node to node, two unknowns a node: what it feels of small shifts.
inline Row grid_distance(int columns, int c, int r, int to_c, int to_r) {
  const double dx = grid_x(to_c, to_r) - grid_x(c, r), dy = grid_y(to_c, to_r) - grid_y(c, r),
               d = std::hypot(dx, dy);
  const int a = 2 * (r * columns + c), b = 2 * (to_r * columns + to_c);
  return {{a, -dx / d}, {a + 1, -dy / d}, {b, dx / d}, {b + 1, dy / d}};
}

/// Shifts and the turn of the whole grid, which no distance feels.
inline std::vector<std::vector<double>> grid_moves(int columns, int rows) {
  std::vector<std::vector<double>> moves(3,
                                         std::vector<double>(static_cast<std::size_t>(2 * columns * rows)));
  for (int r = 0; r < rows; ++r)
    for (int c = 0; c < columns; ++c) {
      const auto i = static_cast<std::size_t>(2 * (r * columns + c));
      moves[0][i] = moves[1][i + 1] = 1;
      moves[2][i] = -grid_y(c, r);
      moves[2][i + 1] = grid_x(c, r);
    }
  return moves;
}

/// Distances between neighbours of the grid, along, across and on both diagonals: at most four a node,
/// two unknowns a node. With `hold`, each unknown is observed itself with that weight.
inline std::vector<Row> grid_rows(int columns, int rows, double hold) {
  std::vector<Row> all;
  const auto distance = [&](int c, int r, int to_c, int to_r) {
    if (to_c >= 0 && to_c < columns && to_r < rows) all.push_back(grid_distance(columns, c, r, to_c, to_r));
  };
  for (int r = 0; r < rows; ++r)
    for (int c = 0; c < columns; ++c) {
      distance(c, r, c + 1, r);
      distance(c, r, c, r + 1);
      distance(c, r, c + 1, r + 1);
      distance(c, r, c - 1, r + 1);
    }
  if (hold > 0)
    for (int i = 0; i < 2 * columns * rows; ++i) all.push_back({{i, std::sqrt(hold)}});
  return all;
}

/// Rows of up to four unknowns anywhere, as many as three an unknown, and a weak one on each alone.
inline std::vector<Row> random_rows(int n, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  std::uniform_int_distribution<int> any(0, n - 1), length(1, 4);
  std::vector<Row> all;
  for (int i = 0; i < 3 * n; ++i) {
    Row row(static_cast<std::size_t>(length(random)));
    for (auto& e : row) e = {any(random), normal(random)};
    all.push_back(row);
  }
  for (int i = 0; i < n; ++i) all.push_back({{i, 0.1}});
  return all;
}

inline Dense dense_of(int n, const std::vector<stats::Triplet>& lower) {
  Dense a(static_cast<std::size_t>(n), static_cast<std::size_t>(n));
  for (const auto& t : lower) {
    const auto i = static_cast<std::size_t>(t.row), j = static_cast<std::size_t>(t.column);
    a(i, j) += t.value;
    if (i != j) a(j, i) += t.value;
  }
  return a;
}

}  // namespace quarterturn::test
