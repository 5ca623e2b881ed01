// SPDX-License-Identifier: MIT
#include "stats/sparse_factor.hpp"

#include <algorithm>
#include <cmath>

namespace quarterturn::stats {
namespace {

constexpr double kZero = 1e-12;  ///< of z'Az against |z|'|A||z|, where rounding leaves some 1e-15
constexpr double kSuspicious =
    1e-6;  ///< share of its diagonal element under which a pivot is looked at closely

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

/// P A P', upper triangle by columns; those of one place stand beside each other or apart, unadded.
struct Upper {
  std::vector<int> begin, row;
  std::vector<double> value;

  Upper(std::span<const Triplet> lower, std::span<const int> order) {
    begin.assign(order.size() + 1, 0);
    for (const Triplet& t : lower) ++begin[index(std::max(order[index(t.row)], order[index(t.column)])) + 1];
    for (std::size_t k = 0; k < order.size(); ++k) begin[k + 1] += begin[k];
    std::vector<int> next(begin.begin(), begin.end() - 1);
    row.resize(lower.size());
    value.resize(lower.size());
    for (const Triplet& t : lower) {
      const auto [low, high] = std::minmax(order[index(t.row)], order[index(t.column)]);
      const auto at = index(next[index(high)]++);
      row[at] = low;
      value[at] = t.value;
    }
  }
};

}  // namespace

/// The elimination tree and how many elements each column gets: row k of L has those columns that are met on
/// the way up from the rows of column k.
void SparseCholesky::Factor::analyse(std::span<const int> column_begin, std::span<const int> row) {
  const std::size_t n = size();
  parent.assign(n, -1);
  std::vector<int> seen(n, -1);
  begin.assign(n + 1, 0);
  for (std::size_t k = 0; k < n; ++k) {
    const int here = static_cast<int>(k);
    seen[k] = here;
    for (int p = column_begin[k]; p < column_begin[k + 1]; ++p) {
      for (int i = row[index(p)]; seen[index(i)] != here; i = parent[index(i)]) {
        if (parent[index(i)] < 0) parent[index(i)] = here;
        ++begin[index(i) + 1];
        seen[index(i)] = here;
      }
    }
  }
  for (std::size_t k = 0; k < n; ++k) begin[k + 1] += begin[k];
}

/// (M101) |z|'|A||z| for the z with L' P z = e_k: pivot k is z'Az.
double SparseCholesky::Factor::size_of_pivot(std::size_t k, std::span<const Triplet> lower,
                                             std::span<const Entry> weights) const {
  std::vector<double> placed(size()), z(size());
  placed[k] = 1;
  for (std::size_t j = k; j-- > 0;) {
    for (int p = begin[j]; p < begin[j] + filled[j] && index(rows[index(p)]) <= k; ++p)
      placed[j] -= values[index(p)] * placed[index(rows[index(p)])];
  }
  for (std::size_t i = 0; i < size(); ++i) z[index(back[i])] = placed[i];
  double sum = 0;
  for (const Triplet& t : lower)
    sum += (t.row == t.column ? 1 : 2) * std::fabs(t.value * z[index(t.row)] * z[index(t.column)]);
  for (const Entry& w : weights) sum += w.value * z[index(w.index)] * z[index(w.index)];
  return sum;
}

/// (M101) Row by row: row k of L from the rows before it, and with it pivot k, so that a weight can be added
/// to what nothing is left of before anything follows from it.
std::size_t SparseCholesky::Factor::eliminate(std::span<const Triplet> lower, double least_pivot,
                                              AddedWeights* weights, NotPositiveDefinite& why) {
  const std::size_t n = size();
  const Upper upper(lower, order);
  analyse(upper.begin, upper.row);
  std::vector<double> diagonal(n), y(n);
  for (const Triplet& t : lower)
    if (t.row == t.column) diagonal[index(t.row)] += t.value;
  const double largest = *std::ranges::max_element(diagonal);
  rows.resize(index(begin[n]));
  values.resize(index(begin[n]));
  filled.assign(n, 0);
  d.assign(n, 0);
  std::vector<int> seen(n, -1), met(n), way(n);
  for (std::size_t k = 0; k < n; ++k) {
    const int here = static_cast<int>(k);
    seen[k] = here;
    std::size_t top = n;
    for (int p = upper.begin[k]; p < upper.begin[k + 1]; ++p) {
      int i = upper.row[index(p)];
      y[index(i)] += upper.value[index(p)];
      std::size_t length = 0;
      for (; seen[index(i)] != here; i = parent[index(i)]) {
        way[length++] = i;
        seen[index(i)] = here;
      }
      while (length > 0) met[--top] = way[--length];
    }
    double pivot = y[k];
    y[k] = 0;
    for (; top < n; ++top) {
      const auto i = index(met[top]);
      const double yi = y[i], l = yi / d[i];
      y[i] = 0;
      const auto first = index(begin[i]), last = first + index(filled[i]);
      for (std::size_t p = first; p < last; ++p) y[index(rows[p])] -= values[p] * yi;
      pivot -= l * yi;
      rows[last] = here;
      values[last] = l;
      ++filled[i];
    }
    d[k] = pivot;
    const int column = back[k];
    const double whole = diagonal[index(column)];
    if (whole > 0 && pivot > std::max(kSuspicious, least_pivot) * whole) continue;
    const std::span<const Entry> so_far = weights == nullptr ? std::span<const Entry>() : weights->added;
    // |z|'|A||z| is at least the diagonal element: where the answer is plain without it, it is not computed.
    const bool plain =
        whole > 0 && std::fabs(pivot) <= std::max(kZero, least_pivot) * whole && pivot >= -kZero * whole;
    const double rounding = plain ? std::fabs(pivot) : kZero * size_of_pivot(k, lower, so_far);
    if (whole > 0 && pivot > std::max(rounding, least_pivot * whole)) continue;
    why = {column, whole > 0 ? pivot / whole : pivot, !plain && pivot < -rounding};
    if (weights == nullptr || why.indefinite || weights->added.size() == weights->most) return k;
    const double weight = whole > 0 ? whole : largest > 0 ? largest : 1;
    weights->added.push_back({column, weight});
    d[k] += weight;
  }
  return n;
}

/// What is not reached stays zero, and is not looked at: a few columns of thousands.
void SparseCholesky::Factor::half_solve(std::span<const Entry> b, std::vector<double>& z,
                                        std::vector<int>& reached) const {
  z.resize(size(), 0.0);
  reached.clear();
  std::vector<char> seen(size(), 0);
  for (const Entry& e : b) {
    const int place = order.at(index(e.index));
    z[index(place)] += e.value;
    for (int i = place; i >= 0 && seen[index(i)] == 0; i = parent[index(i)]) {
      seen[index(i)] = 1;
      reached.push_back(i);
    }
  }
  std::ranges::sort(reached);
  for (const int j : reached) {
    const double at = z[index(j)];
    for (int p = begin[index(j)]; p < begin[index(j) + 1]; ++p)
      z[index(rows[index(p)])] -= values[index(p)] * at;
  }
}

}  // namespace quarterturn::stats
