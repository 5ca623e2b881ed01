// SPDX-License-Identifier: MIT
/// \file pair_sums.hpp
/// Several sums over the same data in one pass, two values at a time, which any machine's registers hold.
///
/// In       columns of numbers; a function of a place that gives one term of each sum, written for one value
/// and for two alike
/// Out      the sums, each in four parts that do not wait for one another
/// Accuracy to the bit what four plain sums of every fourth value make
#pragma once

#include <array>
#include <cstddef>
#include <cstring>

namespace quarterturn::stats {

typedef double Pair __attribute__((vector_size(16)));

/// The values of some columns at one place, or at two that follow one another.
template <typename Number>
struct At {
  std::size_t i = 0;
  Number operator()(const double* column) const {
    Number value;
    std::memcpy(&value, column + i, sizeof value);
    return value;
  }
};

/// Sums over i that do not wait for one another: four parts of each, all of one pass over the data.
/// \param terms  the terms at some place, one of each sum
template <std::size_t kSums, typename Terms>
std::array<double, kSums> sums_over(std::size_t n, Terms terms) {
  Pair low[kSums] = {}, high[kSums] = {};
  std::size_t i = 0;
  for (; i + 4 <= n; i += 4) {
    const auto one = terms(At<Pair>{i}), other = terms(At<Pair>{i + 2});
    for (std::size_t k = 0; k < kSums; ++k) {
      low[k] += one[k];
      high[k] += other[k];
    }
  }
  for (; i < n; ++i) {
    const auto last = terms(At<double>{i});
    for (std::size_t k = 0; k < kSums; ++k) low[k][0] += last[k];
  }
  std::array<double, kSums> sums;
  for (std::size_t k = 0; k < kSums; ++k) sums[k] = (low[k][0] + low[k][1]) + (high[k][0] + high[k][1]);
  return sums;
}

}  // namespace quarterturn::stats
