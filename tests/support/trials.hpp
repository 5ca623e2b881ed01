// SPDX-License-Identifier: MIT
/// \file trials.hpp
/// How many simulated trials a test runs: its own number, or what QUARTERTURN_TRIALS asks for the long run.
#pragma once

#include <algorithm>
#include <cstdlib>

namespace quarterturn::test {

/// \param usual  in the ordinary run; the long run never has fewer
inline int trials(int usual) {
  const char* text = std::getenv("QUARTERTURN_TRIALS");
  const int asked = text == nullptr ? 0 : std::atoi(text);
  return std::max(asked, usual);
}

}  // namespace quarterturn::test
