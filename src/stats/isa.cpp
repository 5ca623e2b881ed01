// SPDX-License-Identifier: MIT
#include "stats/isa.hpp"

#include <atomic>

namespace quarterturn::stats {
namespace {

std::atomic<Isa>& chosen() {
  static std::atomic<Isa> isa = runs(Isa::avx512) ? Isa::avx512 : runs(Isa::avx2) ? Isa::avx2 : Isa::plain;
  return isa;
}

}  // namespace

bool runs(Isa isa) {
#if defined(__x86_64__)
  if (isa == Isa::avx2) return __builtin_cpu_supports("avx2");
  if (isa == Isa::avx512)
    return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq") &&
           __builtin_cpu_supports("avx512vl") && __builtin_cpu_supports("avx512bw");
#endif
  return isa == Isa::plain;
}

Isa isa_in_use() {
  return chosen();
}

void use(Isa isa) {
  chosen() = isa;
}

}  // namespace quarterturn::stats
