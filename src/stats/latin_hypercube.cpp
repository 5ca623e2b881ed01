// SPDX-License-Identifier: MIT
#include "stats/latin_hypercube.hpp"

#include <numeric>
#include <utility>

#include "stats/streams.hpp"

namespace quarterturn::stats {

std::vector<double> latin_hypercube(int points, int dimensions, std::uint64_t seed) {
  const auto n = static_cast<std::size_t>(points), d = static_cast<std::size_t>(dimensions);
  std::vector<double> out(n * d);
  std::vector<std::size_t> slice(n);
  for (std::size_t k = 0; k < d; ++k) {
    Stream random(seed, k);
    std::iota(slice.begin(), slice.end(), std::size_t{0});
    // Not std::shuffle: its draws differ from one standard library to another.
    for (std::size_t i = n; i > 1; --i) std::swap(slice[i - 1], slice[random.bits() % i]);
    for (std::size_t i = 0; i < n; ++i)
      out[i * d + k] = (static_cast<double>(slice[i]) + 0.5) / static_cast<double>(n);
  }
  return out;
}

}  // namespace quarterturn::stats
