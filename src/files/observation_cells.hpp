// SPDX-License-Identifier: MIT
/// \file observation_cells.hpp
/// The cells of an observation file that hold more than one number or one hole.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "survey/observation.hpp"
#include "units/number.hpp"

namespace quarterturn::files {

/// outside, inside, centre: in the order of survey::Taken.
const std::vector<std::string>& taken_words();

/// The place of a word among those it may be. \throws units::InputError with the nearest
std::size_t word_in(std::string_view typed, const std::string& what, const std::vector<std::string>& words);

/// `A9=low-1 D9=low-2`, `A1 B2`.
struct Via {
  std::vector<station::Hole> holes;
  std::vector<std::string> dogs;  ///< as many; empty where none stands behind
};
Via parse_via(const std::string& typed);

/// `right before`: the face of the rail dogs and the panel's side of the fence, in either order.
struct Faces {
  station::Side rail = station::Side::right;
  station::PanelSide panel = station::PanelSide::before;
};
Faces parse_faces(const std::string& typed);

/// One length [mm]; it may be below zero. \throws units::InputError
double parse_observed(const std::string& typed, const std::string& what, units::Unit unit);

/// A small angle [rad], > 0 over the nominal one: `0.06 over 600`, `-0.006 deg`, `1e-4 rad`.
/// \throws units::InputError, also beyond 1 degree
double parse_slope(const std::string& typed, const std::string& what, units::Unit unit);

}  // namespace quarterturn::files
