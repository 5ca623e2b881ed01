// SPDX-License-Identifier: MIT
/// \file lanes.hpp
/// A register of doubles as one value: two of them anywhere, four and eight on wider machines.
///
/// Out      Wide<W>::Pack, ::Words and what elementary.hpp asks of them
/// Assumes  the compiled files that include it have -Wno-psabi on GCC: a pack never leaves the function it is
/// in Gain     what is computed is the same to the bit, whatever the width
#pragma once

#include <cstdint>
#include <cstring>

#if defined(__x86_64__)
#include <immintrin.h>
#endif

#include "stats/elementary.hpp"

// Attributes of a function that is compiled for wider registers than the rest of the program.
#if defined(__x86_64__)
#define QUARTERTURN_AVX2 [[gnu::target("avx2")]]
#define QUARTERTURN_AVX512 [[gnu::target("avx512f,avx512dq,avx512vl,avx512bw")]]
#else
#define QUARTERTURN_AVX2
#define QUARTERTURN_AVX512
#endif

namespace quarterturn::stats {

template <int W>
struct Wide {
  static constexpr int kLanes = W;
  typedef double Pack __attribute__((vector_size(8 * W)));
  typedef std::uint64_t Words __attribute__((vector_size(8 * W)));
  typedef std::int64_t Mask __attribute__((vector_size(8 * W)));

  QUARTERTURN_INLINE static Pack load(const double* from) {
    Pack x;
    std::memcpy(&x, from, sizeof x);
    return x;
  }
  QUARTERTURN_INLINE static void store(double* to, Pack x) { std::memcpy(to, &x, sizeof x); }
  QUARTERTURN_INLINE static Pack all(double x) { return x - Pack{}; }
};

template <int W>
struct WideLane {
  using Pack = typename Wide<W>::Pack;
  using Bits = typename Wide<W>::Words;
  QUARTERTURN_INLINE static Bits bits(Pack x) { return (Bits)x; }
  QUARTERTURN_INLINE static Pack real(Bits x) { return (Pack)x; }
  QUARTERTURN_INLINE static Pack select(typename Wide<W>::Mask which, Pack yes, Pack no) {
    return which ? yes : no;
  }
};
template <>
struct Lane<Wide<2>::Pack> : WideLane<2> {
  QUARTERTURN_INLINE static Pack sqrt(Pack x) {
#if defined(__x86_64__)
    return (Pack)_mm_sqrt_pd((__m128d)x);
#else
    return Pack{__builtin_sqrt(x[0]), __builtin_sqrt(x[1])};
#endif
  }
};
#if defined(__x86_64__)
// What is compiled for a machine of its own cannot be always inline; it is, inside code for that machine.
QUARTERTURN_AVX2 inline void root_of(const Wide<4>::Pack& x, Wide<4>::Pack& root) {
  root = (Wide<4>::Pack)_mm256_sqrt_pd((__m256d)x);
}
QUARTERTURN_AVX512 inline void root_of(const Wide<8>::Pack& x, Wide<8>::Pack& root) {
  root = (Wide<8>::Pack)_mm512_maskz_sqrt_pd(0xff, (__m512d)x);
}
template <>
struct Lane<Wide<4>::Pack> : WideLane<4> {
  QUARTERTURN_INLINE static Pack sqrt(Pack x) {
    Pack root;
    root_of(x, root);
    return root;
  }
};
template <>
struct Lane<Wide<8>::Pack> : WideLane<8> {
  QUARTERTURN_INLINE static Pack sqrt(Pack x) {
    Pack root;
    root_of(x, root);
    return root;
  }
};
#endif

}  // namespace quarterturn::stats
