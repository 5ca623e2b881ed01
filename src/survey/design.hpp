// SPDX-License-Identifier: MIT
/// \file design.hpp
/// What an observation, or the squareness error of a pair of lines, is in displaced holes and dogs of another
/// size: exactly, and to first order.
///
/// In       grid, stated diameters, an observation (or the lines of a pair)
/// Out      value by exact circles and tangents [mm or rad]; derivatives by displacement of holes (mm) and
///          oversize of dogs (mm); what they are for the fixed effects of the table
/// Maths    METHOD.md (M105), (M106)
/// Assumes  oversize counts beyond the stated diameter: (true - stated)/2
/// Range    displacements up to 0.5 mm: what is second order stays below 2e-3 mm over one pitch
/// Accuracy against the exact table of tests/support/oracle.hpp (tests/survey/design_test.cpp)
#pragma once

#include <array>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "station/geometry.hpp"
#include "survey/observation.hpp"

namespace quarterturn::survey {

using station::Vec;

/// A dog put into a hole, which stays there until it is taken out.
using Standing = std::pair<Hole, std::string>;

/// A linear function of displacements [mm] and oversizes [mm].
struct Functional {
  std::map<Hole, Vec> holes;
  std::map<std::string, double> dogs;
  std::map<Standing, Vec> standing;  ///< by where in its hole each dog of a setup stands; only corners
};
Functional operator+(Functional a, const Functional& b);
Functional operator*(double k, Functional a);

/// Where the holes are and how large the dogs; what is not named is nominal.
struct Displaced {
  std::map<Hole, Vec> holes;           ///< displacement [mm]
  std::map<std::string, double> dogs;  ///< oversize [mm]
};

/// (M105), exact: common tangents of circles.
double exact_value(const station::Station& station, const Observation& observation,
                   const Displaced& displaced);
double nominal_value(const station::Station& station, const Observation& observation);
/// (M105), first order about the nominal holes.
Functional functional_of(const station::Station& station, const Observation& observation);
/// The value of a linear function.
double apply(const Functional& functional, const Displaced& displaced);

/// The two lines of a setup; with no dogs named, its squareness error by the holes alone.
struct Lines {
  station::DogPair rail, fence;
  station::Side rail_on_face = station::Side::right;
  station::PanelSide panel_side = station::PanelSide::before;
};
Lines lines_of(const station::Setup& setup);
Lines lines_of_holes(Hole near, Hole far, Hole left, Hole right);
/// sd of a dog's place in its hole a direction [mm]: a quarter of its play (METHOD.md (M115)).
double standing_sd_mm(const station::Station& station, const std::string& dog);
/// eps of the pair to first order [rad].
Functional eps_of(const station::Station& station, const Lines& lines);
/// The turns of its lines; eps is that of the rail minus that of the fence.
Functional rail_turn(const station::Grid& grid, const Lines& lines);
Functional fence_turn(const station::Grid& grid, const Lines& lines);
/// What the stated diameters alone make of them [rad]: estimates count from here.
double nominal_rail_turn(const station::Station& station, const Lines& lines);
double nominal_fence_turn(const station::Station& station, const Lines& lines);
double nominal_eps(const station::Station& station, const Lines& lines);

/// Fixed effects of a table (M106): relative stretch along x and y, and shear [rad; > 0: columns and rows
/// make more than 90 degrees].
enum class Effect { pitch_x = 0, pitch_y = 1, shear = 2 };
inline constexpr std::size_t kEffects = 3;
/// Displacement of a hole by a unit of each effect, about the middle of the grid, free of rotation.
std::array<Vec, kEffects> effects_at(const station::Grid& grid, Hole hole);
std::array<double, kEffects> effects_in(const station::Grid& grid, const Functional& functional);
Functional displacement_of(Hole hole, Vec along);

double shorter_baseline_mm(const station::Grid& grid, const Observation& corner);

}  // namespace quarterturn::survey
