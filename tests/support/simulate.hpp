// SPDX-License-Identifier: MIT
/// \file simulate.hpp
/// Simulated multi-cut tests: edge directions add up exactly, a strip's width falls by the tangent of the
/// angle between its edges, readings are rounded to the caliper's step. No small-angle formula.
#pragma once

#include <cstdint>
#include <random>
#include <vector>

#include "check/check.hpp"
#include "check/fit.hpp"

namespace quarterturn::test {

struct Design {
  int panels = 1;
  int cuts = 5;                              ///< a panel; strips (1,5), (2,6) …
  std::vector<double> positions = {0, 500};  ///< spots [mm from the fence end]
  int repeats = 3;
  double sigma_m = 0.015, sigma_f = 0, sigma_r = 0;  ///< mm, mm, rad
  double eta = 2e-4;
  double step = 0.01;  ///< caliper step [mm]; 0 = not rounded
  double span = 384;

  [[nodiscard]] int strips() const { return panels * (cuts - 4); }
  [[nodiscard]] check::Check check(std::mt19937_64& random) const;
  /// Half-width of an analyst who knows the variances: 1.96 sqrt(var) at 95 %, rounding counted in the
  /// reading.
  [[nodiscard]] double ideal_half_width(double confidence = 0.95) const;
};

/// Standard normal, the same on every compiler (Marsaglia's polar method).
double normal(std::mt19937_64& random);
/// Chi-square on whole degrees of freedom, over them.
double mean_square(std::mt19937_64& random, int nu);

/// What one simulated check came to.
struct Trial {
  int side = 0;           ///< 0: the interval holds the truth; -1: it lies below, +1: above
  double half_width = 0;  ///< rad
  bool refused = false;   ///< p of (M18) below 0.05
};

struct Coverage {
  int trials = 0, covered = 0;
  int below = 0, above = 0;           ///< intervals on the wrong side of the truth
  double half_width_ratio = 0;        ///< median half-width over the ideal analyst's
  double half_width_ratio_error = 0;  ///< Monte Carlo standard error of it, by order statistics
  [[nodiscard]] double rate() const { return share(covered); }
  [[nodiscard]] double share(int count) const { return static_cast<double>(count) / trials; }
};
Coverage coverage_of(const std::vector<Trial>& trials, double ideal_half_width);

/// How knowledge of seating reaches the fit.
struct Knowledge {
  int seating_nu = 0;  ///< > 0: an independent s^2 on so many degrees of freedom is drawn each time
  bool use_assumed = false;
  double caliper_s = 0, caliper_reliability = 0.25;  ///< 0: none stated
  double confidence = 0.95;
};
Trial trial(const Design& design, const Knowledge& knowledge, std::mt19937_64& random);
Coverage coverage(const Design& design, const Knowledge& knowledge, int trials, std::uint64_t seed);

/// Earlier checks of the same setup, drawn anew in each trial.
struct LogDesign {
  Design check;  ///< of each; its sigma_r is the log's median seating
  int checks = 4;
  double between = 0;  ///< variance of ln sigma_r^2 from check to check, today's included
  double omega2 = 0;   ///< what the fit takes it for
  double confidence = 0.95;
  [[nodiscard]] int nu() const { return checks * (check.strips() - 1); }
};
Trial log_trial(const Design& today, const LogDesign& log, std::mt19937_64& random);
struct LogCoverage {
  Coverage coverage;
  int refused = 0;
  [[nodiscard]] double refusal_rate() const { return static_cast<double>(refused) / coverage.trials; }
};
LogCoverage log_coverage(const Design& today, const LogDesign& log, int trials, std::uint64_t seed);

}  // namespace quarterturn::test
