// SPDX-License-Identifier: MIT
/// \file bow_effects.hpp
/// What a bow of the rail, found over one length, does to the corner and to the strips of one setup.
///
/// In       a Bow (sagitta h ± of an edge over L_t); where fence contacts, rail dogs and cut lie in this
/// setup Out      h over the cut; angles [rad] with their standard uncertainty that the bow adds to q eps, in
/// a
///          corner at its chord and in the strips, and b, by which strips read more than the corner is; on a
///          bar a bound where there is no number
/// Maths    METHOD.md (M99), (M6)
/// Assumes  one curvature along the whole edge, also where it was not tested; the rail touches both dogs
/// where
///          they stand, so that q eps is that of the chord between them; on a bar: it is as long as the edge,
///          and the panel may rest anywhere it can
/// Range    first order in h; setups at right angles whose panel reaches both contacts
/// Accuracy corner 5e-4, strips 1 %, against panels sawn along a curved rail, either face, any quadrant, the
///          rail without width or 120 mm wide over the kept piece; b to 1 % of what the strips read; on a
///          long bar, hollow, 0.5 % and 2 % (tests/check/bow_effects_test.cpp)
#pragma once

#include <optional>

#include "check/check.hpp"
#include "check/rail_test.hpp"
#include "check/reference_lengths.hpp"
#include "station/station.hpp"

namespace quarterturn::check {

/// Where things lie along the cut and the fence, for the bow.
struct BowPlace {
  double fence_inner_mm = 0, fence_outer_mm = 0;  ///< f_1, f_2 from the line of the cut, rail's width counted
  /// y_m: middle of the rail dogs from the fence, towards the panel. On a bar from the fence dogs: a station
  /// does not state how wide its bar is. Take that off where it is known; b does not depend on it.
  double rail_middle_mm = 0;
  double length_mm = 0;  ///< L: mean length of the last two cuts
  double strip_and_kerf_mm = 0;
  bool bar = false;
  int q = 0;                      ///< (M2)
  int kept_edge_sign = 0;         ///< h of the kept edge over h of the rail's edge, +1 or -1
  bool rail_width_known = false;  ///< else counted as none: f_1 and f_2 are then off by it
};

/// (M99) The rail's other edge guides the cut. Where the rail lies over the kept piece both bulge the same
/// way, +1; where it lies over the offcut the kept edge is the rail's mould, -1.
int kept_edge_sign(station::Side keep, station::Side rail_on_face);

/// \param panel     before the first cut; width on the fence at odd cuts
/// \param last_cut  of the test whose strips are meant: each cut before took a strip; 1: the panel's depth
/// \return empty at a mitre, and where the panel does not reach both contacts
std::optional<BowPlace> bow_place(const station::Station& station, const station::Setup& setup,
                                  const PanelSize& panel, int last_cut = 5, double strip_mm = kStripMm);

/// The rail's bow as that of the kept edge.
Bow kept_edge_bow(const Bow& rail, const BowPlace& place);
/// The same edge over another length: everything in mm times (length/over)^2.
Bow bow_over_length(const Bow& bow, double length_mm);

/// An angle that the bow makes, and its standard uncertainty on the bow's degrees of freedom.
struct BowEffect {
  double rad = 0, u_rad = 0;
};

struct BowEffects {
  Bow over_cut;                     ///< of the kept edge over L
  BowEffect corner;                 ///< added to q eps at the chord of the cut, next to a straight edge
  std::optional<BowEffect> strips;  ///< added to q eps in a quarter of the strip's taper
  std::optional<BowEffect> b;       ///< strips minus corner
  std::optional<double> eps_from_strips_rad;  ///< by how much the bow alone changes eps as read from strips
  /// On a bar, where the edge is or may be crowned: it rocks by up to this either way and reads as seating;
  /// `strips`, `b` and `eps_from_strips_rad` are then empty.
  std::optional<double> rocks_up_to_rad;
};
/// \param kept_edge  h > 0: kept edge crowned; of a rail test kept_edge_bow()
BowEffects bow_effects(const Bow& kept_edge, const BowPlace& place);

/// Half-width of an effect of the bow; no meaning where the bow is unknown.
double half_width_of(const BowEffect& effect, const Bow& bow);

/// Of the tolerance: what a bow may do before the rail is seen to; own choice.
inline constexpr double kBowMayDo = 0.5;
enum class Matters { no, unclear, yes };
/// Whether strips are off by more than `limit_rad`: surely not, or by a bow that is surely there.
Matters bow_matters(const BowEffect& b, const Bow& bow, double limit_rad);

/// b over h [rad/mm]: strips estimate eta + k h; empty where they may rock on a bar (`crowned`).
std::optional<double> strips_minus_corner_per_mm(const BowPlace& place, bool crowned);

}  // namespace quarterturn::check
