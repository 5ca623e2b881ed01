// SPDX-License-Identifier: MIT
#include "stats/coverage_interval.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <iterator>
#include <stdexcept>

#include "stats/parts.hpp"

namespace quarterturn::stats {
namespace {

// (M86) q = pM to the nearest; interval r reaches from y_(r) to y_(r+q), r from 1 to k = M - q: the k lowest
// and the k highest trials are all that is looked at
std::size_t tail(std::size_t m, double coverage) {
  if (!(coverage > 0 && coverage < 1))
    throw std::domain_error("coverage interval: the coverage must lie between 0 and 1");
  const double q = std::floor(coverage * static_cast<double>(m) + 0.5);
  if (q < 1 || q >= static_cast<double>(m))
    throw std::domain_error("coverage interval: too few trials for this coverage");
  return m - static_cast<std::size_t>(q);
}

/// \param low, high  the k lowest and the k highest, each in ascending order
CoverageIntervals intervals_of(std::span<const double> low, std::span<const double> high) {
  std::size_t best = 0;
  for (std::size_t r = 1; r < low.size(); ++r)
    if (high[r] - low[r] < high[best] - low[best]) best = r;
  const std::size_t middle = (low.size() + 1) / 2 - 1;  // k/2, or (k + 1)/2 where k is odd, counted from 1
  return {{low[middle], high[middle]}, {low[best], high[best]}};
}

/// The k that come before all others go to the front, in no order, and the one behind them to its place.
/// One of a sample that lies a little behind them tells them from most of the others first.
template <class Iterator, class Before>
void to_front(Iterator begin, Iterator end, std::size_t k, Before before) {
  constexpr std::size_t kEvery = 16, kLeast = 1024;
  const auto size = static_cast<std::size_t>(end - begin);
  const auto at = [&](std::size_t i) { return begin + static_cast<std::ptrdiff_t>(i); };
  if (size >= kLeast) {
    std::vector<double> sample;
    sample.reserve(size / kEvery + 1);
    for (std::size_t i = 0; i < size; i += kEvery) sample.push_back(*at(i));
    // of the sample, and three standard deviations of how many of them it has
    const std::size_t share = k / kEvery,
                      place = share + 2 + static_cast<std::size_t>(3 * std::sqrt(static_cast<double>(share)));
    if (place < sample.size()) {
      std::nth_element(sample.begin(), sample.begin() + static_cast<std::ptrdiff_t>(place), sample.end(),
                       before);
      const double bound = sample[place];
      const Iterator some = std::partition(begin, end, [&](double y) { return before(y, bound); });
      if (some - begin > static_cast<std::ptrdiff_t>(k)) end = some;
    }
  }
  std::nth_element(begin, at(k), end, before);
}

/// The first `count` of all trials, ascending. Each block has its own first ones on one side of `edge`, so
/// what comes after every block's edge is not among them.
template <class Before>
std::vector<double> first_of_all(std::span<const std::vector<double>> blocks, std::size_t edge,
                                 std::size_t count, Before before) {
  double bound = blocks.front()[edge];
  for (const auto& block : blocks) bound = std::max(bound, block[edge], before);
  std::vector<double> found;
  for (const auto& block : blocks)
    std::ranges::copy_if(block, std::back_inserter(found), [&](double y) { return !before(bound, y); });
  if (found.size() < count) {  // k is rounded in each block: that of all may be larger than their sum
    found.clear();
    for (const auto& block : blocks) found.insert(found.end(), block.begin(), block.end());
  }
  std::nth_element(found.begin(), found.begin() + static_cast<std::ptrdiff_t>(count), found.end(), before);
  found.resize(count);
  std::ranges::sort(found);
  return found;
}

}  // namespace

CoverageIntervals coverage_intervals(std::span<double> trials, double coverage) {
  const std::size_t m = trials.size(), k = tail(m, coverage);
  if (!std::ranges::all_of(trials, [](double y) { return std::isfinite(y); }))
    throw std::domain_error("coverage interval: a trial is not finite");
  const auto at = [&](std::size_t i) { return trials.begin() + static_cast<std::ptrdiff_t>(i); };
  if (2 * k < m) {
    to_front(at(0), at(m), k, std::less<>());
    to_front(std::make_reverse_iterator(at(m)), std::make_reverse_iterator(at(k)), k, std::greater<>());
    std::sort(at(0), at(k));
    std::sort(at(m - k), at(m));
  } else {
    std::ranges::sort(trials);
  }
  return intervals_of(trials.first(k), trials.last(k));
}

CoverageIntervals coverage_intervals_together(std::span<const std::vector<double>> blocks, double coverage,
                                              int threads) {
  if (blocks.empty()) throw std::domain_error("coverage interval: no blocks");
  const std::size_t m = blocks.front().size(), k = tail(m, coverage);
  if (!std::ranges::all_of(blocks, [m](const auto& block) { return block.size() == m; }))
    throw std::domain_error("coverage interval: blocks are not of one size");
  const std::size_t of_all = tail(m * blocks.size(), coverage);
  std::array<std::vector<double>, 2> tails;
  in_parts(2, threads, [&](std::size_t side) {
    tails[side] = side == 0 ? first_of_all(blocks, k - 1, of_all, std::less<>())
                            : first_of_all(blocks, m - k, of_all, std::greater<>());
  });
  return intervals_of(tails[0], tails[1]);
}

}  // namespace quarterturn::stats
