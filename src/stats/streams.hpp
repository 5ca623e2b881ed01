// SPDX-License-Identifier: MIT
/// \file streams.hpp
/// Random streams by (seed, stream): any stream can be drawn at any time, by any thread, without the others.
///
/// In       a seed and the number of the stream
/// Out      uniform, normal and t deviates, one by one or many at once; the distributions of METHOD.md (M86)
/// Maths    Philox 4x32 with 10 rounds [SALMON]: a bijection of the counter (index, stream) under the key
///          (seed), so two streams of a seed share no block and a stream repeats after 2^64 blocks; normal
///          and t deviates from two uniform ones each (M121) [BOXMULLER], [BAILEY]; the others [JCGM101] 6.4
/// Assumes  parameters as each function says; they are not checked a draw
/// Accuracy known answers of the generator, moments, tails and bins (tests/stats/streams_test.cpp)
/// Gain     many at once are the same draws to the bit, a register at a time (bulk_draws.hpp)
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <span>

#include "stats/bulk_draws.hpp"
#include "stats/elementary.hpp"

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
    const double u = uniform(), v = uniform();
    const auto pair = normal_pair(u, v);
    normal_ = pair.sin;
    has_normal_ = true;
    return pair.cos;
  }

  /// Student's t on `dof` of 0.2 or more; infinite is normal().
  double t(double dof) {
    if (std::isinf(dof)) return normal();
    const double u = uniform(), v = uniform();
    return t_of(u, v, dof);
  }

  /// As so many calls of uniform(), normal(), t(dof).
  void uniforms(std::span<double> out) { draws(Draw::uniform, into(out)); }
  void normals(std::span<double> out) { draws(Draw::normal, into(out)); }
  /// A draw is added to each of `out`.
  void add_uniforms(double low, double high, std::span<double> out) {
    draws(Draw::uniform, added(out, low, high - low));
  }
  void add_normals(double factor, std::span<double> out) { draws(Draw::normal, added(out, 0, factor)); }
  void add_ts(double factor, double dof, std::span<double> out) {
    if (std::isinf(dof)) return add_normals(factor, out);
    DrawRequest request = added(out, 0, factor);
    request.dof = dof;
    draws(Draw::t, request);
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
  static DrawRequest into(std::span<double> out) {
    DrawRequest request;
    request.out = out.data();
    request.count = out.size();
    return request;
  }
  static DrawRequest added(std::span<double> out, double from, double factor) {
    DrawRequest request = into(out);
    request.from = from;
    request.factor = factor;
    request.add = true;
    return request;
  }
  void draws(Draw what, DrawRequest request);

  std::uint64_t seed_, stream_, index_ = 0, word_ = 0;
  double normal_ = 0;
  bool has_word_ = false, has_normal_ = false;
};

}  // namespace quarterturn::stats
