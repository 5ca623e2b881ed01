// SPDX-License-Identifier: MIT
#include "stats/parts.hpp"

#include <algorithm>
#include <atomic>
#include <future>
#include <system_error>
#include <thread>
#include <vector>

namespace quarterturn::stats {

void in_parts(std::size_t parts, int threads, const std::function<void(std::size_t)>& make) {
  const std::size_t most =
      threads > 0 ? static_cast<std::size_t>(threads) : std::max(1U, std::thread::hardware_concurrency());
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    for (std::size_t k = next++; k < parts; k = next++) make(k);
  };
  std::vector<std::future<void>> others;
  try {
    for (std::size_t t = 1; t < std::min(most, parts); ++t)
      others.push_back(std::async(std::launch::async, work));
  } catch (const std::system_error&) {
    // No more threads to be had: those that there are do it.
  }
  work();
  for (auto& other : others) other.get();
}

}  // namespace quarterturn::stats
