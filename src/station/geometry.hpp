// SPDX-License-Identifier: MIT
/// \file geometry.hpp
/// The lines that touch the dogs: baselines, directions, signs.
///
/// In       a Station and one of its Setups; or, from options alone, baselines and sides
/// Out      for rail and fence: unit direction u (first dog to second), contact normal n (dog towards line),
///          m = u turned 90 degrees counter-clockwise, true hole distance B [mm]; q = s_x s_y
/// Maths    METHOD.md (M1)–(M5)
/// Assumes  both dogs of a line touch it on the same side
#pragma once

#include <optional>

#include "station/station.hpp"
#include "units/angle.hpp"

namespace quarterturn::station {

struct Vec {
  double x = 0, y = 0;
};
inline double dot(Vec a, Vec b) {
  return a.x * b.x + a.y * b.y;
}
inline Vec operator*(double k, Vec a) {
  return {k * a.x, k * a.y};
}
inline Vec operator+(Vec a, Vec b) {
  return {a.x + b.x, a.y + b.y};
}
inline Vec operator-(Vec a, Vec b) {
  return {a.x - b.x, a.y - b.y};
}

/// Nominal centre of a hole [mm]: (column P, row P).
Vec hole_centre(const Grid& grid, Hole hole);

/// One line that touches two dogs.
struct ContactLine {
  double baseline_mm = 0;            ///< distance of the two holes
  Vec u, n, m;                       ///< see the file's head
  std::optional<Vec> first, second;  ///< nominal hole centres [mm]; empty from options alone
  double oversize_angle_rad = 0;     ///< turn of the line by unequal dog diameters: (rho_2 - rho_1) n·m / B
};

struct Geometry {
  double nominal_rad = 0;           ///< angle from the fence's u to the rail's u by the holes
  std::optional<ContactLine> rail;  ///< empty when nothing is known of the rail dogs
  std::optional<ContactLine> fence;
  int q = 0;  ///< +1 or -1; 0 when the sides are not known
  Side keep = Side::left;
  PanelSide panel_side = PanelSide::before;
  std::optional<double> bar_length_mm;  ///< a bar lies against the fence dogs

  /// Distance of the fence contacts [mm]: what a panel seats on; empty when unknown.
  [[nodiscard]] std::optional<double> seating_span_mm() const;
};

/// \throws units::InputError when the holes' angle is not the nominal one (within 0.01 degree)
Geometry geometry_of(const Station& station, const Setup& setup);

/// eta = q eps. s_x = +1 kept right of the rail, s_y = +1 panel beyond the fence (M2).
int corner_sign(Side keep, PanelSide panel_side);

/// Change of eps [rad] when a dog of a line moves by `shift_mm`, or its line by `shift_mm` along n (shim).
/// \param second  the far (right) dog rather than the near (left) one
double eps_change_rail(const ContactLine& rail, bool second, Vec shift_mm);
double eps_change_fence(const ContactLine& fence, bool second, Vec shift_mm);

/// What a panel meets on this table.
struct Room {
  /// Free length along the rail from the fence to the rail dog on the panel's side of it (panel before the
  /// fence: the near one); infinite when no rail dog stands in the panel's way.
  double between_near_dog_and_fence_mm = 0;
  /// Distances of the fence contacts from the line of the cut towards the kept side, along the fence. The cut
  /// runs along the rail's other edge: the rail's width is added where it is known (M6).
  double fence_inner_mm = 0, fence_outer_mm = 0;
};
/// Empty for setups whose lines are not at right angles or not known.
std::optional<Room> room_of(const Station& station, const Setup& setup);

}  // namespace quarterturn::station
