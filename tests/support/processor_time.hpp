// SPDX-License-Identifier: MIT
/// \file processor_time.hpp
/// Time that this process worked: on a busy machine the clock on the wall tells of the others too.
#pragma once

#include <ctime>

namespace quarterturn::test {

/// [s], of all threads together, since the process began.
inline double processor_time() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

}  // namespace quarterturn::test
