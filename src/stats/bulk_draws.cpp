// SPDX-License-Identifier: MIT
#include "stats/bulk_draws.hpp"

#include <algorithm>

#include "stats/isa.hpp"
#include "stats/lanes.hpp"
#include "stats/streams.hpp"

namespace quarterturn::stats {
namespace {

/// Products of the low halves of two words. Not always inline: only inside code for their machine can they
/// be.
struct Plain : Wide<2> {
  static constexpr int kAtOnce = 3;  // registers of blocks that take turns
#if defined(__x86_64__)
  QUARTERTURN_INLINE static void multiply(const Words& a, const Words& b, Words& product) {
    product = (Words)_mm_mul_epu32((__m128i)a, (__m128i)b);
  }
#else
  QUARTERTURN_INLINE static void multiply(const Words& a, const Words& b, Words& product) {
    product = (a & 0xffffffff) * (b & 0xffffffff);
  }
#endif
};
#if defined(__x86_64__)
struct Avx2 : Wide<4> {
  static constexpr int kAtOnce = 3;
  QUARTERTURN_AVX2 static void multiply(const Words& a, const Words& b, Words& product) {
    product = (Words)_mm256_mul_epu32((__m256i)a, (__m256i)b);
  }
};
struct Avx512 : Wide<8> {
  static constexpr int kAtOnce = 6;
  QUARTERTURN_AVX512 static void multiply(const Words& a, const Words& b, Words& product) {
    product = (Words)_mm512_maskz_mul_epu32(0xff, (__m512i)a, (__m512i)b);
  }
};
#else
using Avx2 = Plain;
using Avx512 = Plain;
#endif

/// What stays the same from block to block, a register each.
template <class M>
struct Generator {
  typename M::Words factor[2], key[10][2], count;
  /// Half of the first two rounds is the same for all blocks whose place has one high half.
  typename M::Words first, second[2], low;
};
/// \param r  of blocks whose place has one high half
template <class M>
QUARTERTURN_INLINE void set_up(Generator<M>& g, const DrawRequest& r) {
  constexpr std::uint64_t kFactor[2] = {0xD2511F53, 0xCD9E8D57}, kStep[2] = {0x9E3779B9, 0xBB67AE85};
  constexpr std::uint64_t kLow = 0xffffffff;
  const typename M::Words none{};
  const std::uint64_t key[2] = {r.seed & kLow, r.seed >> 32};
  for (int i = 0; i < 2; ++i) {
    g.factor[i] = none + kFactor[i];
    g.key[0][i] = none + key[i];
    for (int round = 1; round < 10; ++round) g.key[round][i] = g.key[round - 1][i] + kStep[i];
  }
  for (int l = 0; l < M::kLanes; ++l) g.count[l] = static_cast<std::uint64_t>(l);
  const std::uint64_t b = kFactor[1] * (r.stream & kLow), c0 = b >> 32 ^ r.index >> 32 ^ key[0],
                      a = kFactor[0] * c0;
  g.first = none + (r.stream >> 32 ^ key[1]);
  g.second[0] = none + ((b & kLow) ^ (key[0] + kStep[0]));
  g.second[1] = none + (a >> 32 ^ (key[1] + kStep[1]));
  g.low = none + a;
}

/// Two uniform deviates of each of as many blocks as `K` registers have lanes, [SALMON] as in streams.hpp:
/// ((w >> 12) + 1/2)/2^52, exactly. Of c0 to c3 the low halves count alone. A round waits for the one before,
/// so the registers take turns.
template <int K, class M>
QUARTERTURN_INLINE void uniforms_from(const Generator<M>& g, std::uint64_t index, typename M::Pack* u,
                                      typename M::Pack* v) {
  typename M::Words c0[K], c1[K], c2[K], c3[K];
  for (int k = 0; k < K; ++k) {
    typename M::Words a, b;
    M::multiply(g.count + (index + static_cast<std::uint64_t>(k * M::kLanes)), g.factor[0], a);
    M::multiply((a >> 32) ^ g.first, g.factor[1], b);
    c0[k] = (b >> 32) ^ g.second[0];
    c1[k] = b;
    c2[k] = a ^ g.second[1];
    c3[k] = g.low;
  }
  for (int round = 2; round < 10; ++round) {
    for (int k = 0; k < K; ++k) {
      typename M::Words a, b;
      M::multiply(c0[k], g.factor[0], a);
      M::multiply(c2[k], g.factor[1], b);
      c0[k] = (b >> 32) ^ c1[k] ^ g.key[round][0];
      c1[k] = b;
      c2[k] = (a >> 32) ^ c3[k] ^ g.key[round][1];
      c3[k] = a;
    }
  }
  const auto uniform = [](typename M::Words high, typename M::Words low) __attribute__((always_inline)) {
    const typename M::Words word = high << 32 | (low & 0xffffffff);
    return (typename M::Pack)((word >> 12) | 0x3ff0000000000000) - (1 - 0x1p-53);
  };
  for (int k = 0; k < K; ++k) {
    u[k] = uniform(c1[k], c0[k]);
    v[k] = uniform(c3[k], c2[k]);
  }
}

constexpr int kHeld = 24;  // registers of blocks in the making, a whole number of those at once

/// A few more than are wanted may be made: there is room.
template <class M>
QUARTERTURN_INLINE void uniforms(const Generator<M>& g, std::uint64_t index, int wanted,
                                 typename M::Pack (&u)[kHeld], typename M::Pack (&v)[kHeld]) {
  static_assert(kHeld % M::kAtOnce == 0);
  int k = 0;
  const auto at = [&] { return index + static_cast<std::uint64_t>(k * M::kLanes); };
  for (; k + 1 < wanted; k += M::kAtOnce) uniforms_from<M::kAtOnce, M>(g, at(), u + k, v + k);
  if (k < wanted) uniforms_from<1, M>(g, at(), u + k, v + k);
}

/// First and second deviate of each block, in their order.
template <class M>
QUARTERTURN_INLINE void interleave(typename M::Pack& first, typename M::Pack& second) {
  const typename M::Pack a = first, b = second;
  if constexpr (M::kLanes == 8) {
    first = __builtin_shufflevector(a, b, 0, 8, 1, 9, 2, 10, 3, 11);
    second = __builtin_shufflevector(a, b, 4, 12, 5, 13, 6, 14, 7, 15);
  } else if constexpr (M::kLanes == 4) {
    first = __builtin_shufflevector(a, b, 0, 4, 1, 5);
    second = __builtin_shufflevector(a, b, 2, 6, 3, 7);
  } else {
    first = __builtin_shufflevector(a, b, 0, 2);
    second = __builtin_shufflevector(a, b, 1, 3);
  }
}

/// A register's draws where they belong, or as many of them as are still wanted.
template <class M>
QUARTERTURN_INLINE void put(const DrawRequest& r, typename M::Pack draws, std::size_t& done) {
  typename M::Pack y = draws * r.factor + r.from;
  double* to = r.out + done;
  if (r.count - done >= M::kLanes) {
    M::store(to, r.add ? M::load(to) + y : y);
    done += M::kLanes;
    return;
  }
  for (int l = 0; done < r.count; ++l, ++done, ++to) *to = r.add ? *to + y[l] : y[l];
}

template <class M, Draw what>
QUARTERTURN_INLINE void body(const DrawRequest& request) {
  constexpr int kEach = what == Draw::t ? 1 : 2, kDraws = kEach * M::kLanes;  // of a block, of a register
  const DrawRequest r = request;  // of its own: for all that is known `out` may reach into the other
  Generator<M> g;
  set_up(g, r);
  // Each stage goes over all that is held before the next: its short chains then overlap in the machine.
  typename M::Pack u[kHeld], v[kHeld];
  for (std::size_t done = 0; done < r.count;) {
    const int wanted = static_cast<int>(std::min<std::size_t>((r.count - done + kDraws - 1) / kDraws, kHeld));
    uniforms(g, r.index + done / kEach, wanted, u, v);
    for (int k = 0; k < wanted; ++k) {
      if constexpr (what == Draw::t) {
        u[k] = t_of(u[k], v[k], r.dof);
      } else if constexpr (what == Draw::normal) {
        const auto pair = normal_pair(u[k], v[k]);
        u[k] = pair.cos;
        v[k] = pair.sin;
      }
    }
    for (int k = 0; k < wanted; ++k) {
      if constexpr (kEach == 2) interleave<M>(u[k], v[k]);
      put<M>(r, u[k], done);
      if constexpr (kEach == 2) put<M>(r, v[k], done);
    }
  }
}

template <Draw what>
void plain(const DrawRequest& r) {
  body<Plain, what>(r);
}
template <Draw what>
QUARTERTURN_AVX2 void avx2(const DrawRequest& r) {
  body<Avx2, what>(r);
}
template <Draw what>
QUARTERTURN_AVX512 void avx512(const DrawRequest& r) {
  body<Avx512, what>(r);
}

template <Draw what>
void by_isa(const DrawRequest& r, Isa isa) {
  switch (isa) {
    case Isa::plain:
      return plain<what>(r);
    case Isa::avx2:
      return avx2<what>(r);
    case Isa::avx512:
      return avx512<what>(r);
  }
}

}  // namespace

void draw(Draw what, const DrawRequest& request, Isa isa) {
  DrawRequest part = request;
  const std::size_t each = what == Draw::t ? 1 : 2;  // of a block
  for (std::size_t left = request.count; left > 0;) {
    const std::uint64_t blocks = (std::uint64_t{1} << 32) - (part.index & 0xffffffff);  // with one high half
    part.count = blocks < left / each + 1 ? static_cast<std::size_t>(blocks) * each : left;
    switch (what) {
      case Draw::uniform:
        by_isa<Draw::uniform>(part, isa);
        break;
      case Draw::normal:
        by_isa<Draw::normal>(part, isa);
        break;
      case Draw::t:
        by_isa<Draw::t>(part, isa);
        break;
    }
    left -= part.count;
    part.out += part.count;
    part.index += blocks;
  }
}

void draw(Draw what, const DrawRequest& request) {
  draw(what, request, isa_in_use());
}

void Stream::draws(Draw what, DrawRequest request) {
  const std::span<double> out(request.out, request.count);
  const auto one = [&] {
    if (what == Draw::uniform) return uniform();
    return what == Draw::normal ? normal() : t(request.dof);
  };
  const auto one_by_one = [&](std::span<double> part) {
    for (double& y : part) {
      const double x = request.from + one() * request.factor;
      y = request.add ? y + x : x;
    }
  };
  // Half a block or half a pair may be left from before; within a block all goes one by one.
  const bool left = what == Draw::normal ? has_normal_ : what == Draw::uniform && has_word_;
  const std::size_t before = std::min<std::size_t>(left ? 1 : 0, out.size());
  one_by_one(out.first(before));
  if (has_word_ || (what == Draw::normal && has_normal_)) return one_by_one(out.subspan(before));
  const std::size_t a_block = what == Draw::t ? 1 : 2, blocks = (out.size() - before) / a_block;
  request.seed = seed_;
  request.stream = stream_;
  request.index = index_;
  request.out += before;
  request.count = blocks * a_block;
  draw(what, request);
  index_ += blocks;
  one_by_one(out.subspan(before + request.count));
}

}  // namespace quarterturn::stats
