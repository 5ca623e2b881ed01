// SPDX-License-Identifier: MIT
/// What the fuzz targets are told the time is, so that an input does the same tomorrow (linked with
/// --wrap=time). Records keep the moment of the real clock; nothing is computed from that alone.
#include <ctime>

// The linker makes these names.
// NOLINTNEXTLINE(bugprone-reserved-identifier)
extern "C" std::time_t __wrap_time(std::time_t* out) {
  constexpr std::time_t kMarch = 1773484800;  // 2026-03-14T10:40:00Z
  if (out != nullptr) *out = kMarch;
  return kMarch;
}
