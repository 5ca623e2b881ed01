// SPDX-License-Identifier: MIT
/// \file fault_logs.hpp
/// Logs of a workshop in which one known cause acts from some check on, to hold find_cause against.
///
/// In       the code of a cause
/// Out      a Scene of six to twenty checks with the check that separates the cause in it, or the answer to
/// the
///          test without a cut that does (wrong in 5 % of cases)
/// Assumes  sizes are drawn so that the effect on the newest check exceeds three u of its difference from a
/// good
///          one; smaller ones cannot be told from chance by anybody
#pragma once

#include <random>
#include <string>

#include "history/find.hpp"
#include "history/scene.hpp"

namespace quarterturn::test {

struct FaultLog {
  history::Scene scene;
  history::Answers answers;
};

/// \throws std::out_of_range for a cause without a recipe
FaultLog fault_log(const std::string& cause, std::mt19937_64& random);

}  // namespace quarterturn::test
