// SPDX-License-Identifier: MIT
/// \file observation.hpp
/// What is measured between holes, each with its standard uncertainty, and what cannot be such a thing.
///
/// In       a station (grid, stated diameters of dogs) and what somebody measured [mm; a corner in rad]
/// Out      the same, held to the grid; two corners that differ by exchanged dogs only
/// Maths    METHOD.md (M105), (M107)
/// Assumes  u holds everything that differs from one observation to the next, the play of dogs put in for it
///          included; errors of two observations are independent
/// Range    a value within 5 mm of what the nominal holes and stated diameters make it; a corner within 5 mm
///          over the shorter of its two baselines
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "station/station.hpp"

namespace quarterturn::survey {

using station::Hole;

enum class Kind { distance, compare, offset, corner };

/// How a length is taken: over the outsides of two dogs, between them, or from centre to centre. Outside and
/// inside together free the radii.
enum class Taken { outside, inside, centre };

/// | kind     | from, to       | via                 | value | | distance | its two holes  | – | length as
/// taken                                       | | compare  | first length   | second length       | first
/// minus second, both taken alike                  | | offset   | from: the hole | straightedge's ends | gap
/// between straightedge and the dog in the hole      | | corner   | near, far rail | left, right fence   |
/// squareness error eps of the setup [rad]               |
///
/// Dogs are named for all holes of an observation or for none. None: centres, or the same dogs carried over.
/// An outside or inside distance, and a corner, need theirs.
struct Observation {
  Kind kind = Kind::distance;
  Hole from, to;
  std::vector<Hole> via;
  /// offset: the side of the dogs the straightedge lies on, seen along via[0] to via[1]; corner: the face of
  /// the rail dogs that the rail rests on
  station::Side side = station::Side::right;
  station::PanelSide panel_side = station::PanelSide::before;  ///< of a corner
  std::string dog_from, dog_to;
  std::vector<std::string> dog_via;
  double value = 0;  ///< mm; corner: rad
  double u = 0;      ///< standard uncertainty, in the same unit
  Taken taken = Taken::centre;

  /// The holes in the order of the dogs; an offset has no `to`.
  [[nodiscard]] std::vector<Hole> holes() const;
  /// As many as holes(), or none.
  [[nodiscard]] std::vector<std::string> dogs() const;
};

/// A length between two holes over or between two dogs.
Observation distance(Hole from, Hole to, Taken taken, double value_mm, double u_mm, std::string dog_from = {},
                     std::string dog_to = {});
/// Two lengths by one stick and feelers: (from to) minus (other_from other_to), same dogs carried over.
Observation compare(Hole from, Hole to, Hole other_from, Hole other_to, double difference_mm, double u_mm);
/// A check's squareness error eps = eta/q on the holes, dogs and sides of a setup.
Observation corner(const station::Setup& setup, double eps_rad, double u_rad);
/// The same holes and sides with the rail's dogs, the fence's dogs or both exchanged; value and u are to be
/// set.
Observation exchanged(Observation corner, bool rail, bool fence);

/// How far a value may be off the nominal one.
inline constexpr double kPlausibleMm = 5.0;

/// \param what  names the observation in a message, e.g. `observations[3]`
/// \throws units::InputError: hole off the grid or never drilled, holes alike, dogs named for some only or
/// unknown to the station, one dog in two holes, u not above zero, value not finite or not plausible
void validate(const station::Station& station, const Observation& observation,
              const std::string& what = "observation");

/// Two corners on the same holes and sides whose dogs are exchanged on one line or on both.
struct Exchange {
  std::size_t first = 0, second = 0;  ///< places in the list
  bool rail = false, fence = false;
};
std::vector<Exchange> exchanges(std::span<const Observation> observations);

}  // namespace quarterturn::survey
