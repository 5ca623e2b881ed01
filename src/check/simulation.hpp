// SPDX-License-Identifier: MIT
/// \file simulation.hpp
/// The ± of a check, held against chance itself: the distributions of its budget propagated, and whole checks
/// drawn anew and fitted again.
///
/// In       a check, its fit, what was known from outside; a seed
/// Out      mean, u and shortest interval of eta by trials, and whether the told interval agrees with them;
///          how often the told kind of interval holds the truth
/// Maths    METHOD.md (M86), (M87), (M94)
/// Assumes  replicates.hpp of the checks drawn anew
/// Accuracy closed forms and quadrature (tests/check/simulation_test.cpp)
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>

#include "check/budget.hpp"
#include "check/fit.hpp"
#include "stats/monte_carlo.hpp"

namespace quarterturn::check {

struct SimulationOptions {
  std::uint64_t seed = 1;
  int threads = 0;  ///< 0: as many as the machine has; the result is the same
  std::size_t most_trials = 4'000'000;
  int refits = 10'000;        ///< checks drawn anew
  int most_by_itself = 1000;  ///< where every tenth and more is fitted by itself (replicates.hpp)
  std::function<void(double)> progress{};  ///< share that is done
};

struct Simulation {
  std::uint64_t seed = 1;
  stats::MonteCarlo trials;      ///< of eta [rad]
  stats::Validation validation;  ///< of the told interval, two digits of u
  bool heavy_tails = false;  ///< a source on two degrees of freedom or fewer: it has no standard deviation
  int refits = 0, covered = 0;
  double covered_low = 0, covered_high = 0;  ///< 95 % interval of the share that is covered
  double holding_half_width = 0;  ///< [rad] the told one, made so much wider or narrower that it holds as
                                  ///< often as it should
};

/// \throws std::domain_error on options out of range
Simulation simulate(const Check& check, std::span<const Evidence> evidence, const Fit& fit,
                    const FitOptions& fit_options, const SimulationOptions& options = {});

}  // namespace quarterturn::check
