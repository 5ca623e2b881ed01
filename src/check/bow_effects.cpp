// SPDX-License-Identifier: MIT
#include "check/bow_effects.hpp"

#include <cmath>

#include "check/bow.hpp"
#include "station/geometry.hpp"

namespace quarterturn::check {
namespace {

/// Distance of the middle of the two rail dogs from the fence, along the rail towards the panel.
double rail_middle(const station::Station& station, const station::Setup& setup) {
  const station::Geometry geometry = station::geometry_of(station, setup);
  const auto dog = station.dogs.find(setup.fence.first.dog);
  const double radius =
      (dog == station.dogs.end() ? station.grid.hole_diameter : dog->second.diameter).mm() / 2;
  const station::Vec middle = 0.5 * (*geometry.rail->first + *geometry.rail->second);
  return dot(middle - *geometry.fence->first, geometry.fence->n) - radius;
}

/// Length of cut number `cut`: the two sides take turns, each shorter by the strips taken off it before.
double cut_length(const PanelSize& panel, int cut, double waste_mm) {
  const double side = cut % 2 != 0 ? panel.depth_mm : panel.width_mm;
  const int strips_off = cut / 2;
  return side - waste_mm * strips_off;
}

/// What the strips read for h = 1 mm; a hollow edge on a bar touches it with its own ends, on the average of
/// four cuts a strip and a kerf nearer to the cut than to the free end.
double strips_per_mm(const BowPlace& p) {
  const double inner = p.bar ? -p.strip_and_kerf_mm : p.fence_inner_mm;
  const double outer = p.bar ? p.length_mm : p.fence_outer_mm;
  return bow_in_strip(1, p.length_mm, p.rail_middle_mm, inner, outer, p.strip_and_kerf_mm);
}

BowEffect times(double per_mm, const Bow& bow) {
  return {per_mm * bow.h_mm, std::fabs(per_mm) * bow.u_mm};
}

}  // namespace

int kept_edge_sign(station::Side keep, station::Side rail_on_face) {
  return keep == rail_on_face ? -1 : 1;
}

std::optional<BowPlace> bow_place(const station::Station& station, const station::Setup& setup,
                                  const PanelSize& panel, int last_cut, double strip_mm) {
  const auto room = station::room_of(station, setup);
  if (!room) return std::nullopt;
  BowPlace place;
  place.fence_inner_mm = room->fence_inner_mm;
  place.fence_outer_mm = room->fence_outer_mm;
  place.rail_middle_mm = rail_middle(station, setup);
  place.strip_and_kerf_mm = strip_mm + kKerfMm;
  const double last = cut_length(panel, last_cut, place.strip_and_kerf_mm);
  place.length_mm =
      last_cut > 1 ? 0.5 * (last + cut_length(panel, last_cut - 1, place.strip_and_kerf_mm)) : last;
  place.bar = setup.bar.has_value();
  place.q = station::corner_sign(setup.keep, setup.panel_side);
  place.kept_edge_sign = kept_edge_sign(setup.keep, setup.rail_on_face);
  place.rail_width_known = station.rails.count(setup.rail_name) != 0;
  const bool reaches = place.fence_inner_mm > 0 && place.fence_outer_mm < place.length_mm;
  if (!(place.length_mm > 0) || !(place.bar || reaches)) return std::nullopt;
  return place;
}

Bow kept_edge_bow(const Bow& rail, const BowPlace& place) {
  Bow bow = rail;
  bow.h_mm *= place.kept_edge_sign;
  return bow;
}

Bow bow_over_length(const Bow& bow, double length_mm) {
  Bow out = bow;
  out.h_mm = bow_over(bow.h_mm, bow.over_mm, length_mm);
  out.u_mm = bow_over(bow.u_mm, bow.over_mm, length_mm);
  out.half_width_mm = bow_over(bow.half_width_mm, bow.over_mm, length_mm);
  out.over_mm = length_mm;
  return out;
}

std::optional<double> strips_minus_corner_per_mm(const BowPlace& place, bool crowned) {
  if (place.bar && crowned) return std::nullopt;
  return strips_per_mm(place) - bow_in_corner(1, place.length_mm, place.rail_middle_mm);
}

BowEffects bow_effects(const Bow& kept_edge, const BowPlace& place) {
  BowEffects out;
  out.over_cut = bow_over_length(kept_edge, place.length_mm);
  out.corner = times(bow_in_corner(1, place.length_mm, place.rail_middle_mm), out.over_cut);
  // Without a ± the sign of h is taken as it came out.
  const double highest = out.over_cut.h_mm + (out.over_cut.unknown ? 0 : out.over_cut.half_width_mm);
  const auto per_mm = strips_minus_corner_per_mm(place, highest > 0);
  if (!per_mm) {
    out.rocks_up_to_rad = 4 * highest / place.length_mm;  // the end of the edge against its chord
    return out;
  }
  out.strips = times(strips_per_mm(place), out.over_cut);
  out.b = times(*per_mm, out.over_cut);
  out.eps_from_strips_rad = place.q * out.strips->rad;
  return out;
}

double half_width_of(const BowEffect& effect, const Bow& bow) {
  return bow.u_mm > 0 ? effect.u_rad / bow.u_mm * bow.half_width_mm : 0;
}

Matters bow_matters(const BowEffect& b, const Bow& bow, double limit_rad) {
  if (bow.unknown || bow.kinked) return Matters::unclear;
  const double size = std::fabs(b.rad), wide = half_width_of(b, bow);
  if (size + wide <= limit_rad) return Matters::no;
  return size > limit_rad && size > wide ? Matters::yes : Matters::unclear;
}

}  // namespace quarterturn::check
