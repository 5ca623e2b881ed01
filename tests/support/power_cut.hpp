// SPDX-License-Identifier: MIT
/// \file power_cut.hpp
/// A disk whose power fails. While one lives, SQLite's files go through it: what was written and not synced
/// yet is remembered, and when the power is cut each sector of it is on the disk or is not, by chance; a file
/// whose taking away was not synced may be there again.
#pragma once

#include <cstdint>

namespace quarterturn::test {

class PowerCut {
 public:
  /// \param after  so many writes, syncs and deletions; then all of them fail
  PowerCut(std::uint64_t seed, int after);
  ~PowerCut();
  PowerCut(const PowerCut&) = delete;
  PowerCut& operator=(const PowerCut&) = delete;

  [[nodiscard]] bool is_cut() const;
  /// Leaves the files as the disk has them. All logs must be closed.
  void settle();
};

}  // namespace quarterturn::test
