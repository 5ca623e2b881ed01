// SPDX-License-Identifier: MIT
/// \file snooping.hpp
/// What does not fit: single observations, single holes; and dogs freed by exchanging them.
///
/// In       an adjustment
/// Out      w of each observation and a statistic of each hole, with p over all of them; exchanged dogs
/// Maths    METHOD.md (M111), (M107), (M117); [BAARDA]: tests of a shift of the mean on P of (M109)
/// Assumes  normal errors; the fitted scatter of holes counted as known
/// Accuracy against refits with the shift as an unknown; how often a hole five sigma off is named first
///          (tests/survey/snooping_test.cpp)
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "survey/adjust.hpp"

namespace quarterturn::survey {

/// An observation against all the others.
struct ObservationTest {
  std::size_t observation = 0;
  double residual = 0;      ///< observed minus computed [mm or rad]
  double redundancy = 0;    ///< share of an error that shows, 0 to 1
  std::optional<double> w;  ///< empty: no other observation controls it
  double error = 0;         ///< its likely error, were it wrong [mm or rad]
  double p = 1;             ///< two-sided, times the observations tested, at most 1
};

/// A hole against the scatter of holes.
struct HoleTest {
  Hole hole;
  double statistic = 0;  ///< chi-square on `dof` when the hole is like the others
  int dof = 0;           ///< directions in which the observations see it: 2, 1; 0: not seen
  double p = 1;          ///< times the holes seen, at most 1
  Vec displacement;  ///< its likely displacement beside the fixed effects, were it not like the others [mm]
};

/// Two checks with dogs exchanged: the holes cancel in the difference, the dogs in the mean.
struct ExchangeResult {
  Exchange exchange;
  Answer rail_oversize;   ///< far minus near dog of the first check, (diameter - stated)/2 [mm]
  Answer fence_oversize;  ///< right minus left
};

struct Snooping {
  std::vector<ObservationTest> observations;  ///< in their order
  std::vector<HoleTest> holes;                ///< smallest p first
  std::vector<ExchangeResult> exchanges;

  /// The worst observation, or empty when none is below alpha.
  [[nodiscard]] std::optional<std::size_t> bad_observation(double alpha = 0.05) const;
  /// The first named hole, or empty.
  [[nodiscard]] std::optional<Hole> bad_hole(double alpha = 0.05) const;
};

Snooping snoop(const Adjustment& adjustment);

inline constexpr double kNamed = 0.05;  ///< p of a hole that is named
inline constexpr std::size_t kMostSetAside = 3;

/// The adjustment in which a hole that snooping names does not count to the scatter of the others: it gets a
/// place of its own, and the scatter is fitted again. Only where it is fitted. \throws units::InputError as
/// Adjustment
std::shared_ptr<const Adjustment> adjust(const station::Station& station,
                                         const std::vector<Observation>& observations,
                                         AdjustOptions options = {});

}  // namespace quarterturn::survey
