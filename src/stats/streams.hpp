// SPDX-License-Identifier: MIT
/// \file streams.hpp
/// Random streams by (seed, stream): any stream can be drawn at any time, by any thread, without the others.
///
/// In       a seed and the number of the stream
/// Out      uniform, normal and t deviates; the distributions of METHOD.md (M86)
/// Maths    Philox 4x32 with 10 rounds [SALMON]: a bijection of the counter (index, stream) under the key
///          (seed), so two streams of a seed share no block and a stream repeats after 2^64 blocks; normal
///          deviates by the polar method [MARSBRAY], t by its generalisation [BAILEY]; the others
///          [JCGM101] 6.4
/// Assumes  parameters as each function says; they are not checked a draw
/// Accuracy known answers of the generator, moments, tails and bins (tests/stats/streams_test.cpp)
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>

namespace quarterturn::stats {

/// One block of the generator: four words from a counter and a key.
constexpr std::array<std::uint32_t, 4> philox(std::array<std::uint32_t, 4> counter,
                                              std::array<std::uint32_t, 2> key) {
  for (int round = 0; round < 10; ++round) {
    const std::uint64_t a = std::uint64_t{0xD2511F53} * counter[0],
                        b = std::uint64_t{0xCD9E8D57} * counter[2];
    counter = {static_cast<std::uint32_t>(b >> 32) ^ counter[1] ^ key[0], static_cast<std::uint32_t>(b),
               static_cast<std::uint32_t>(a >> 32) ^ counter[3] ^ key[1], static_cast<std::uint32_t>(a)};
    key[0] += 0x9E3779B9;
    key[1] += 0xBB67AE85;
  }
  return counter;
}

class Stream {
 public:
  Stream(std::uint64_t seed, std::uint64_t stream) : seed_(seed), stream_(stream) {}

  std::uint64_t bits() {
    if (has_word_) {
      has_word_ = false;
      return word_;
    }
    const auto low = [](std::uint64_t x) { return static_cast<std::uint32_t>(x); };
    const auto high = [](std::uint64_t x) { return static_cast<std::uint32_t>(x >> 32); };
    const auto block =
        philox({low(index_), high(index_), low(stream_), high(stream_)}, {low(seed_), high(seed_)});
    ++index_;
    word_ = std::uint64_t{block[3]} << 32 | block[2];
    has_word_ = true;
    return std::uint64_t{block[1]} << 32 | block[0];
  }

  /// Between 0 and 1, never either; 2^52 equally likely values, mean exactly 1/2.
  double uniform() { return (static_cast<double>(bits() >> 12) + 0.5) * 0x1.0p-52; }
  double uniform(double low, double high) { return low + (high - low) * uniform(); }

  /// Standard normal.
  double normal() {
    if (has_normal_) {
      has_normal_ = false;
      return normal_;
    }
    const Point point = in_disc();
    const double factor = std::sqrt(-2 * std::log(point.s) / point.s);
    normal_ = point.v * factor;
    has_normal_ = true;
    return point.u * factor;
  }

  /// Student's t on `dof` > 0; infinite is normal().
  double t(double dof) {
    if (std::isinf(dof)) return normal();
    // [BAILEY] u sqrt(dof (s^(-2/dof) - 1)/s)
    const Point point = in_disc();
    return point.u * std::sqrt(dof * std::expm1(-2 * std::log(point.s) / dof) / point.s);
  }

  /// Rectangular whose limits low and high are themselves known to ± doubt only, 0 <= doubt <= half the
  /// width; the middle is known exactly (curvilinear trapezoid).
  double curvilinear_trapezoid(double low, double high, double doubt) {
    const double from = uniform(low - doubt, low + doubt), share = uniform();
    return from + (low + high - 2 * from) * share;
  }

  /// Arc sine (U-shaped): a sinusoid between low and high at a random phase.
  double arc_sine(double low, double high) {
    return 0.5 * (low + high) + 0.5 * (high - low) * std::sin(2 * std::numbers::pi * uniform());
  }

 private:
  struct Point {
    double u, v, s;  ///< s = u^2 + v^2, inside (0, 1)
  };
  /// Uniform over the unit disc.
  Point in_disc() {
    for (;;) {
      const double u = 2 * uniform() - 1, v = 2 * uniform() - 1, s = u * u + v * v;
      if (s < 1) return {u, v, s};  // never 0: u is an odd multiple of 2^-52
    }
  }

  std::uint64_t seed_, stream_, index_ = 0, word_ = 0;
  double normal_ = 0;
  bool has_word_ = false, has_normal_ = false;
};

}  // namespace quarterturn::stats
