// SPDX-License-Identifier: MIT
#include "stats/large_pages.hpp"

#include <cstdint>
#include <cstdlib>

#if __has_include(<malloc.h>)
#include <malloc.h>
#endif
#if defined(__linux__)
#include <sys/mman.h>
#endif

namespace quarterturn::stats {

namespace {

bool kept = false;

}  // namespace

void keep_memory() {
#ifdef M_TRIM_THRESHOLD
  mallopt(M_MMAP_THRESHOLD, 1 << 30);
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
  mallopt(M_TOP_PAD, 1 << 18);
  kept = true;
#endif
}

void expect_memory([[maybe_unused]] std::size_t bytes) {
#if defined(__linux__) && defined(MADV_HUGEPAGE)
  constexpr std::uintptr_t kLarge = std::uintptr_t{1} << 21;
  if (!kept || bytes < 4 * kLarge) return;
  void* const room = std::malloc(bytes);
  if (room == nullptr) return;
  const auto begin = (reinterpret_cast<std::uintptr_t>(room) + kLarge - 1) & ~(kLarge - 1),
             end = (reinterpret_cast<std::uintptr_t>(room) + bytes) & ~(kLarge - 1);
  if (end > begin) (void)madvise(reinterpret_cast<void*>(begin), end - begin, MADV_HUGEPAGE);
  std::free(room);
#endif
}

}  // namespace quarterturn::stats
