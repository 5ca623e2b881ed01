// SPDX-License-Identifier: MIT
/// \file replicates.hpp
/// Checks drawn anew like one that was made, each fitted as that was.
///
/// In       a check, its fit, what was known from outside; a seed
/// Out      of replicate k, which depends on the seed and k alone, the corner error and half-width
/// Maths    METHOD.md (M94), (M122), (M123)
/// Assumes  the fitted scatters are the true ones; of a log its scatters stand in, each on its degrees of
///          freedom, and an assumed seating stays what it was assumed
/// Accuracy many at once are fit_interval of each, see refit_lanes.hpp (tests/check/replicates_test.cpp)
/// Gain     most designs go by refit_lanes.hpp; the others one by one
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "check/fit.hpp"
#include "check/refit_lanes.hpp"
#include "stats/streams.hpp"

namespace quarterturn::check {

struct Replicate {
  double eta = 0, half_width = 0;
  bool told = false;  ///< false: readings that all agree, and nothing else known: no ± would have been told
  bool by_register = false;
};

class Replicates {
 public:
  Replicates(const Check& check, std::span<const Evidence> evidence, const Fit& fit,
             const FitOptions& options, std::uint64_t seed);

  /// Empty: the design is none for refit_lanes.hpp, each check is fitted by itself.
  [[nodiscard]] const std::optional<LaneDesign>& design() const { return design_; }
  /// Replicates first, first + 1, … May be called by several threads at once.
  void fill(std::size_t first, std::span<Replicate> out) const;
  /// Replicate k by fit_interval.
  [[nodiscard]] Replicate by_itself(std::size_t k) const;
  /// Replicate k's readings and what would have been known from outside.
  [[nodiscard]] Check drawn(std::size_t k, std::vector<Evidence>& evidence) const;

 private:
  [[nodiscard]] stats::Stream stream(std::size_t k) const;
  void fill_lanes(std::size_t first, std::span<Replicate> out) const;

  Check check_;
  std::vector<Evidence> evidence_;  ///< drawn anew in each; what counts of a log beside it
  Fit fit_;
  FitOptions options_;
  std::uint64_t seed_;
  std::vector<double> seating_rad_;  ///< of each corner
  std::vector<double> corners_;      ///< T of (M7)
  std::vector<double> turns_;
  std::optional<LaneDesign> design_;
};

}  // namespace quarterturn::check
