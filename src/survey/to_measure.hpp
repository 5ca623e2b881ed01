// SPDX-License-Identifier: MIT
/// \file to_measure.hpp
/// Which distances and which closing measurements a survey takes, and in what order a person walks them.
///
/// In       a table, what was measured of it (nothing is enough), how many of each
/// Out      distances within reach of the caliper in walking order; comparisons by one stick, or checks, that
///          close what distances within reach leave open; what all of it will leave of the wanted function
/// Maths    METHOD.md (M113) for a setup and for what closes, (M118) for the table as a whole
/// Assumes  as Greedy; holes scatter by `theta` until readings show it
/// Range    a grid of 80 x 40 takes seconds (DEVELOPERS.md)
#pragma once

#include <optional>
#include <vector>

#include "survey/greedy.hpp"

namespace quarterturn::survey {

/// What may close: comparisons by one stick and feelers, checks with dogs exchanged, nothing.
enum class Closing { stick, checks, none };

struct ToMeasureOptions {
  NextOptions next;
  int distances = 60;
  Closing closing = Closing::stick;
  int closings = 3;
  std::optional<Lines> lines;  ///< of the setup that is wanted; empty: the table as a whole
};

struct ToMeasure {
  std::vector<Observation> distances;  ///< in walking order; values nominal
  std::vector<Observation> closing;    ///< the one that tells most first
  double minutes = 0;
  /// Standard uncertainty of what is wanted (eps of the setup, else shear) [rad] by the distances alone, and
  /// with what closes; empty: not determined.
  std::optional<double> u_distances, u_all;
};

ToMeasure to_measure(const Known& known, const ToMeasureOptions& options);

/// Three distances for every five holes: common practice of this program, no source.
int usual_distances(const station::Grid& grid);

/// Row by row, there and back; of each, the dog that can stay stays in its hole.
std::vector<Observation> in_walking_order(std::vector<Observation> distances);
/// How far the middle between the dogs goes, in pitches.
double walked(const std::vector<Observation>& distances);

}  // namespace quarterturn::survey
