// SPDX-License-Identifier: MIT
/// \file lane_design.hpp
/// What checks drawn like one that was made have in common, made ready for refit_lanes.hpp.
///
/// In       a check, its corners and fit; what from outside is drawn anew with each
/// Out      how each is drawn, and what of its fit does not depend on the readings
/// Maths    METHOD.md (M122), (M123)
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "check/corners.hpp"
#include "check/fit.hpp"

namespace quarterturn::check {

/// The spots of one strip that are read equally often.
struct SpotClass {
  int repeats = 0;                  ///< place in LaneDesign::repeats
  double spots = 0;                 ///< so many
  double position = 0, square = 0;  ///< sums of their places from the strip's middle, of the squares
  /// Of a strip of three spots: sums of r, its squares and r times the place; r is orthogonal to level and
  /// line.
  double contrast = 0, contrast_square = 0, contrast_position = 0;
};

/// A bar along the panel's edge: contacts stand at the ends of what earlier cuts left of it.
struct BarDesign {
  double length = 0;         ///< [mm]
  std::vector<double> side;  ///< of the panel, by corner [mm]
  std::vector<int> taken;    ///< strips that were cut off it before, by corner
};

struct LaneDesign {
  static constexpr int kMostStrips = 64, kMostSpots = 64, kMostRepeats = 16;
  // Of a design that is not even (M123).
  static constexpr int kMostUnevenStrips = 16, kMostBoards = 8, kMostCorners = 64;
  static constexpr int kMostClasses = 6, kMostStripClasses = kMostUnevenStrips * kMostClasses;

  bool even = false;  ///< (M122): as many readings at each spot, one regressor, contacts that stay
  int strips = 0, corners = 0;
  std::vector<int> first;                     ///< spot of each strip, and one past the last
  std::vector<int> readings;                  ///< at each spot
  std::vector<double> position, from_middle;  ///< of the spots [mm]
  std::vector<double> turns;                  ///< t of (M7), by strip
  std::vector<double> corner;                 ///< T times what a corner scatters by [rad], strips x corners
  std::vector<double> wide, middle;           ///< by strip: what an edge starts from; a gap's middle place
  bool gaps = false;
  double eta = 0, reading = 0, saw = 0;  ///< what is drawn [rad], [mm]
  double resolution = 0;

  std::vector<double> sxx;  ///< by strip, unweighted
  double nu_pure = 0, nu_line = 0, harmonic_repeats = 1;
  std::array<double, 3> nu_outside{};  ///< by Component
  bool saw_free = false, seating_free = false, panels = false;
  bool assumed = false;            ///< seating from outside is the assumed one (M19)
  std::vector<double> quantile;    ///< q(1/x), Chebyshev coefficients on x from 0 to 1
  std::vector<double> unit_share;  ///< (M27): what a taper counts for in the mean of the units, by strip
  std::vector<std::array<int, 2>> units;  ///< strips of each; twice the same where it is one alone
  double quantile_units = 0;              ///< on units - 1

  double per_mm2 = 0;                                   ///< of one strip's seating for one turn (start value)
  std::vector<double> rotation, eigenvalue, regressor;  ///< (M122); an eigenvector a row, times sqrt(S_xx)

  int regressors = 1;
  std::vector<double> x, seating;  ///< (M123): strips x regressors; T D T', strips x strips [1/mm^2]
  std::vector<double> counts;      ///< T, strips x corners
  std::vector<int> repeats;        ///< different numbers of readings at a spot
  std::vector<double> spots;       ///< spots of each
  std::vector<SpotClass> classes;  ///< of one strip after the other
  std::vector<int> first_class;    ///< of each strip, and one past the last
  std::vector<int> class_of;       ///< of each spot
  std::vector<double> contrast;    ///< r of each spot of a strip of three, else 0
  std::optional<BarDesign> bar;

  /// How many of each a check is drawn from; uniform ones made even.
  [[nodiscard]] int uniforms() const { return strips + strips % 2; }
  [[nodiscard]] int normals() const {
    int count = corners;
    for (const int each : readings) count += 1 + each;
    return count;
  }
};

/// \param drawn  what from outside is drawn anew with each check
/// \return nothing where a fit of such a check may ask for more than refit_lanes.hpp has
std::optional<LaneDesign> lane_design(const Check& check, const Corners& corners,
                                      std::span<const Evidence> drawn, const Fit& fit,
                                      const FitOptions& options);

}  // namespace quarterturn::check
