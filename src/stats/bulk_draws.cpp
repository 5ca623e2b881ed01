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
  QUARTERTURN_AVX2 static void multiply(const Words& a, const Words& b, Words& product) {
    product = (Words)_mm256_mul_epu32((__m256i)a, (__m256i)b);
  }
};
struct Avx512 : Wide<8> {
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
  typename M::Words factor[2], stream[2], key[10][2], count;
};
template <class M>
QUARTERTURN_INLINE void set_up(Generator<M>& g, const DrawRequest& r) {
  const typename M::Words none{};
  g.factor[0] = none + 0xD2511F53;
  g.factor[1] = none + 0xCD9E8D57;
  g.stream[0] = none + r.stream;
  g.stream[1] = none + (r.stream >> 32);
  for (std::uint32_t round = 0; round < 10; ++round) {
    g.key[round][0] = none + (static_cast<std::uint32_t>(r.seed) + round * 0x9E3779B9);
    g.key[round][1] = none + (static_cast<std::uint32_t>(r.seed >> 32) + round * 0xBB67AE85);
  }
  for (int l = 0; l < M::kLanes; ++l) g.count[l] = static_cast<std::uint64_t>(l);
}

/// Two words of each of as many blocks as there are lanes, [SALMON] as in streams.hpp. Only the low halves of
/// c0 to c3 count.
template <class M>
struct TwoWords {
  typename M::Words first, second;
};
template <class M>
QUARTERTURN_INLINE TwoWords<M> blocks_from(const Generator<M>& g, std::uint64_t index) {
  typename M::Words c0 = g.count + index, c1 = c0 >> 32, c2 = g.stream[0], c3 = g.stream[1];
  for (int round = 0; round < 10; ++round) {
    typename M::Words a, b;
    M::multiply(c0, g.factor[0], a);
    M::multiply(c2, g.factor[1], b);
    c0 = (b >> 32) ^ c1 ^ g.key[round][0];
    c1 = b;
    c2 = (a >> 32) ^ c3 ^ g.key[round][1];
    c3 = a;
  }
  return {c1 << 32 | (c0 & 0xffffffff), c3 << 32 | (c2 & 0xffffffff)};
}

/// ((w >> 12) + 1/2)/2^52, exactly.
template <class M>
QUARTERTURN_INLINE typename M::Pack uniform_of(typename M::Words word) {
  return (typename M::Pack)((word >> 12) | 0x3ff0000000000000) - (1 - 0x1p-53);
}

template <class M>
QUARTERTURN_INLINE void interleaved(typename M::Pack a, typename M::Pack b, typename M::Pack* out) {
  if constexpr (M::kLanes == 8) {
    out[0] = __builtin_shufflevector(a, b, 0, 8, 1, 9, 2, 10, 3, 11);
    out[1] = __builtin_shufflevector(a, b, 4, 12, 5, 13, 6, 14, 7, 15);
  } else if constexpr (M::kLanes == 4) {
    out[0] = __builtin_shufflevector(a, b, 0, 4, 1, 5);
    out[1] = __builtin_shufflevector(a, b, 2, 6, 3, 7);
  } else {
    out[0] = __builtin_shufflevector(a, b, 0, 2);
    out[1] = __builtin_shufflevector(a, b, 1, 3);
  }
}

/// Draws of a block a lane, in the order of the stream.
template <class M, Draw what>
QUARTERTURN_INLINE void draws_of(const Generator<M>& g, std::uint64_t index, double dof,
                                 typename M::Pack* draws) {
  const TwoWords<M> words = blocks_from(g, index);
  const typename M::Pack u = uniform_of<M>(words.first), v = uniform_of<M>(words.second);
  if constexpr (what == Draw::t) {
    draws[0] = t_of(u, v, dof);
  } else if constexpr (what == Draw::normal) {
    const auto pair = normal_pair(u, v);
    interleaved<M>(pair.cos, pair.sin, draws);
  } else {
    interleaved<M>(u, v, draws);
  }
}

template <class M, Draw what>
QUARTERTURN_INLINE void body(const DrawRequest& request) {
  constexpr std::size_t kPacks = what == Draw::t ? 1 : 2, kDraws = kPacks * M::kLanes;
  const DrawRequest r = request;  // of its own: for all that is known `out` may reach into the other
  Generator<M> g;
  set_up(g, r);
  std::size_t done = 0;
  for (; done + kDraws <= r.count; done += kDraws) {
    typename M::Pack draws[kPacks];
    draws_of<M, what>(g, r.index + done / kPacks, r.dof, draws);
    for (std::size_t p = 0; p < kPacks; ++p) {
      double* to = r.out + done + p * M::kLanes;
      const typename M::Pack y = draws[p] * r.factor + r.from;
      M::store(to, r.add ? M::load(to) + y : y);
    }
  }
  if (done == r.count) return;
  typename M::Pack draws[kPacks];  // more than are wanted
  draws_of<M, what>(g, r.index + done / kPacks, r.dof, draws);
  for (std::size_t i = 0; done < r.count; ++i, ++done) {
    const double y = draws[i / M::kLanes][i % M::kLanes] * r.factor + r.from;
    r.out[done] = r.add ? r.out[done] + y : y;
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
  switch (what) {
    case Draw::uniform:
      return by_isa<Draw::uniform>(request, isa);
    case Draw::normal:
      return by_isa<Draw::normal>(request, isa);
    case Draw::t:
      return by_isa<Draw::t>(request, isa);
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
