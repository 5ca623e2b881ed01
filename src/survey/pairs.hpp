// SPDX-License-Identifier: MIT
/// \file pairs.hpp
/// Predicted squareness error of every pair of rail and fence holes, best first.
///
/// In       an adjustment; which columns and rows, which dogs, a tolerance
/// Out      eps ± u of each admissible pair
/// Maths    METHOD.md (M112): one solve a line, eps = rail - fence with its covariance
///          While all are compared the scatter counts as known; those kept get the u and degrees of freedom
///          of a single estimate, and are put in order once more
/// Assumes  rail holes in one column, fence holes in one row, each at least `fewest_pitches` apart
/// Range    C columns, R rows: R C (R + C)/2 solves, C R^2 R C^2/4 pairs; kept are the best alone; 9 x 11:
/// 650
///          lines, 1e5 pairs; an 80 x 40 table is asked for by columns and rows
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "survey/adjust.hpp"

namespace quarterturn::survey {

enum class RankBy { error_and_uncertainty, probability };

struct PairOptions {
  std::vector<int> columns;  ///< of the rail; empty: all
  std::vector<int> rows;     ///< of the fence; empty: all
  int fewest_pitches = 2;    ///< between the two holes of a line
  /// Near and far rail dog, left and right fence dog, as they would stand; empty: alike in a line.
  std::optional<std::array<std::string, 4>> dogs;
  bool dogs_as_stated = false;  ///< no oversize: stated diameters are believed
  station::Side rail_on_face = station::Side::right;
  station::PanelSide panel_side = station::PanelSide::before;
  double tolerance_rad = 0.10 / 600;
  RankBy rank_by = RankBy::error_and_uncertainty;
  std::size_t most = 50;  ///< kept
  /// Whether a table could be used so (near, far, left, right); empty: any. The others are not counted.
  std::function<bool(Hole, Hole, Hole, Hole)> usable;
};

struct PairResult {
  Hole near, far, left, right;
  double eps = 0, u = 0;  ///< rad
  double dof = 0;
  double probability = 0;  ///< of |eps| within the tolerance
  /// Holes that no observation touches: for them the scatter of holes stands alone.
  std::vector<Hole> unseen;
};

struct PairTable {
  std::vector<PairResult> best;
  std::size_t considered = 0;
  std::size_t undetermined = 0;      ///< of those, pairs without a number
  std::vector<std::string> because;  ///< fixed effects and dogs that leave them so
};

PairTable rank_pairs(const Adjustment& adjustment, const PairOptions& options = {});

}  // namespace quarterturn::survey
