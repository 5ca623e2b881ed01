// SPDX-License-Identifier: MIT
/// \file next.hpp
/// What to measure next: the observation that narrows a wanted function most for its minutes.
///
/// In       an adjustment, the wanted function (eps of a pair, or shear), candidates with their minutes
/// Out      a list, the first first; what each leaves of the wanted standard uncertainty
/// Maths    METHOD.md (M113): each candidate by one solve; the second is chosen as if the first had been
///          measured, and so on
/// Assumes  variances of the random terms stay as they are. While candidates are ranked, fixed effects and
///          oversizes, flat elsewhere, are normal with sd wide enough to be no knowledge (kWideEffect,
///          kWideOversizeMm), so that what frees an undetermined function has a rank; the uncertainties that
///          are returned know nothing of that
/// Range    as many solves as candidates; at most kMostCandidates distances are considered, evenly thinned
/// Accuracy against adjustments with the observation added (tests/survey/next_test.cpp)
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "survey/adjust.hpp"

namespace quarterturn::survey {

inline constexpr double kWideEffect = 0.01;  ///< of pitch and shear
inline constexpr double kWideOversizeMm = 0.5;
inline constexpr std::size_t kMostCandidates = 20000;

/// Minutes are common practice, no source.
struct NextOptions {
  double reach_mm = 150;  ///< longest length the caliper takes; a stick: as long as it is
  bool between = false;   ///< where a length over the dogs is beyond it, between them will do
  double distance_u_mm = 0.03, compare_u_mm = 0.03, corner_u_rad = 3e-5;
  /// The two dogs that distances are taken over; empty: from centre to centre.
  std::string dog_1, dog_2;
  double distance_minutes = 1, compare_minutes = 3, check_minutes = 8, exchange_minutes = 17;
  std::vector<station::Setup> checks;  ///< setups another check could be made on
};

struct Candidate {
  Observation observation;  ///< its value is the nominal one
  double minutes = 1;
};

/// Distances within reach; two diagonals of one rectangle, rectangles of the whole, half and a quarter of the
/// table, compared; a check of each given setup as it stands, and with the dogs of rail, fence or both
/// exchanged.
std::vector<Candidate> candidates(const station::Station& station, const NextOptions& options);

struct Suggestion {
  Candidate candidate;
  /// Standard uncertainty of the wanted function once this and all before it are measured; empty: still not
  /// determined.
  std::optional<double> u_after;
};

/// \param wanted  e.g. eps_of(station, lines)
std::vector<Suggestion> next_observations(const Adjustment& adjustment, const Functional& wanted,
                                          const std::vector<Candidate>& candidates, int how_many);
std::vector<Suggestion> next_observations(const Adjustment& adjustment, Effect wanted,
                                          const std::vector<Candidate>& candidates, int how_many);

}  // namespace quarterturn::survey
