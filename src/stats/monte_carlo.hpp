// SPDX-License-Identifier: MIT
/// \file monte_carlo.hpp
/// Propagation of distributions: trials of a model until its mean, standard uncertainty and coverage interval
/// stand still, and whether a budget's interval agrees with them.
///
/// In       a model that fills a span with independent trials from a stream of random numbers
/// Out      mean, standard uncertainty, probabilistically symmetric and shortest coverage interval, in the
///          unit of the model; how many trials that took, and whether they were enough
/// Maths    METHOD.md (M86), (M87); [JCGM101] 5.3, 7.6, 7.7, 7.9, 8.1, 8.2
/// Assumes  the model draws from the stream it is given and from nothing else, and may be called by several
///          threads at once; the result has a variance; for the shortest interval: one peak
/// Range    8 bytes a trial are kept until the end; the same bits for any number of threads
/// Accuracy the examples of [JCGM101] 9.2, 9.3 and 9.5 (tests/stats/monte_carlo_test.cpp)
/// Departs  ten blocks are the least, where 7.9.4 lets two decide: see (M86)
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>

#include "stats/coverage_interval.hpp"
#include "stats/streams.hpp"

namespace quarterturn::stats {

enum class Coverage { symmetric, shortest };

/// Fills all of `out` with trials. It is called once for each kTrialsAStream trials, with a stream of their
/// own, in any order.
using TrialModel = std::function<void(Stream& random, std::span<double> out)>;
inline constexpr std::size_t kTrialsAStream = 1000;

struct MonteCarloOptions {
  std::uint64_t seed = 1;
  double coverage = 0.95;                 ///< between 0 and 1
  Coverage steady = Coverage::symmetric;  ///< the interval whose ends must stand still
  int significant_digits = 2;             ///< of u, 1 to 9: they set the tolerance delta
  double tolerance_share = 1;             ///< of delta, above 0; 0.2 to validate a budget (8.2)
  std::size_t block = 10'000;             ///< trials a block; rounded up to 100/(1 - coverage) and to streams
  std::size_t least_blocks = 10;          ///< 2 or more
  std::size_t most_trials = 10'000'000;   ///< least_blocks of them or more, 10^9 at most
  int threads = 0;                        ///< 0: as many as the machine runs at once
  std::function<void(std::size_t)> progress{};  ///< trials so far, once a block, on the calling thread; its
                                                ///< exception ends the run
};

struct MonteCarlo {
  std::size_t trials = 0;
  bool converged = false;  ///< false: the cap came first, and twice_s tells how far the values are settled
  double mean = 0, u = 0;
  CoverageInterval symmetric, shortest;
  double delta = 0;                 ///< numerical tolerance of u
  std::array<double, 4> twice_s{};  ///< 2 standard deviations of mean, u and both ends of the steady interval
};

/// \throws std::domain_error on options out of range or a trial that is not finite; whatever the model throws
/// Example: monte_carlo([](Stream& r, std::span<double> out) { for (double& y : out) y = r.normal(); }).u
/// is 1.
MonteCarlo monte_carlo(const TrialModel& model, const MonteCarloOptions& options = {});

/// Half a unit of the last of `digits` significant digits of u: of 35.8 with two digits 0.5. Of 0 it is 0.
/// \throws std::domain_error unless u is finite and not below 0, and digits is 1 to 9
double numerical_tolerance(double u, int digits);

/// Does a budget's interval agree with that of the trials, both of the same coverage?
struct Validation {
  double delta = 0, d_low = 0, d_high = 0;
  bool valid = false;  ///< neither end differs by more than delta
};
/// \param u  the standard uncertainty that delta belongs to \throws std::domain_error as numerical_tolerance
Validation validate_interval(CoverageInterval budget, CoverageInterval trials, double u, int digits);

}  // namespace quarterturn::stats
