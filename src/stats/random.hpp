// SPDX-License-Identifier: MIT
/// \file random.hpp
/// Random numbers that are the same on every compiler: the library's own distributions are not.
///
/// In       a seed
/// Out      standard normal deviates
/// Maths    Marsaglia's polar method
#pragma once

#include <cmath>
#include <cstdint>
#include <random>

namespace quarterturn::stats {

class Normal {
 public:
  explicit Normal(std::uint64_t seed) : bits_(seed) {}

  double operator()() {
    if (has_spare_) {
      has_spare_ = false;
      return spare_;
    }
    for (;;) {
      const double u = uniform(), v = uniform(), s = u * u + v * v;
      if (!(s > 0 && s < 1)) continue;
      const double factor = std::sqrt(-2 * std::log(s) / s);
      spare_ = v * factor;
      has_spare_ = true;
      return u * factor;
    }
  }

 private:
  double uniform() { return static_cast<double>(bits_() >> 11) * 0x1.0p-52 - 1.0; }  // [-1, 1)

  std::mt19937_64 bits_;
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace quarterturn::stats
