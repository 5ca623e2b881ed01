// SPDX-License-Identifier: MIT
#include "station/geometry.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::station {
namespace {

constexpr double kAngleToleranceDeg = 0.01;
/// An offcut of 20 to 30 mm with its kerf stays this side of dogs that stand at least so far from the cut.
constexpr double kOffcutReachMm = 60.0;

Vec quarter_left(Vec a) {
  return {-a.y, a.x};
}

double radius_mm(const Station& station, const Post& post) {
  const auto dog = station.dogs.find(post.dog);
  return (dog == station.dogs.end() ? station.grid.hole_diameter : dog->second.diameter).mm() / 2;
}

/// (M1), (M3): the line by its holes, and its turn by dogs of unequal radius: rho_2 - rho_1 = r_2 - r_1.
ContactLine contact_line(const Station& station, const DogPair& pair, bool along_m) {
  ContactLine line;
  const Vec first = hole_centre(station.grid, pair.first.hole);
  const Vec second = hole_centre(station.grid, pair.second.hole);
  const Vec along = second - first;
  line.baseline_mm = std::hypot(along.x, along.y);
  line.u = (1.0 / line.baseline_mm) * along;
  line.m = quarter_left(line.u);
  line.n = along_m ? line.m : -1.0 * line.m;
  line.first = first;
  line.second = second;
  const double difference = radius_mm(station, pair.second) - radius_mm(station, pair.first);
  line.oversize_angle_rad = difference * dot(line.n, line.m) / line.baseline_mm;
  return line;
}

double width_of_rail(const Station& station, const Setup& setup) {
  const auto rail = station.rails.find(setup.rail_name);
  return rail == station.rails.end() ? 0.0 : rail->second.width.mm();
}

}  // namespace

Vec hole_centre(const Grid& grid, Hole hole) {
  return {grid.pitch.mm() * hole.column, grid.pitch.mm() * hole.row};
}

int corner_sign(Side keep, PanelSide panel_side) {
  const int s_x = keep == Side::right ? 1 : -1;
  const int s_y = panel_side == PanelSide::beyond ? 1 : -1;
  return s_x * s_y;
}

Geometry geometry_of(const Station& station, const Setup& setup) {
  Geometry geometry;
  geometry.rail = contact_line(station, setup.rail, setup.rail_on_face == Side::left);
  geometry.fence = contact_line(station, setup.fence, setup.panel_side == PanelSide::beyond);
  const Vec rail = geometry.rail->u, fence = geometry.fence->u;
  geometry.nominal_rad = std::atan2(fence.x * rail.y - fence.y * rail.x, dot(fence, rail));
  geometry.q = corner_sign(setup.keep, setup.panel_side);
  geometry.keep = setup.keep;
  geometry.panel_side = setup.panel_side;
  if (setup.bar) geometry.bar_length_mm = setup.bar->length.mm();
  const double by_holes_deg = geometry.nominal_rad * 180.0 / std::numbers::pi;
  if (!(std::fabs(by_holes_deg - setup.nominal_deg) <= kAngleToleranceDeg)) {
    throw units::InputError("setups." + setup.name + ".nominal_deg", units::shortest(setup.nominal_deg),
                            units::shortest(by_holes_deg) + " degrees, the angle that the four holes make",
                            {}, "one of the four holes may be mistyped");
  }
  return geometry;
}

std::optional<double> Geometry::seating_span_mm() const {
  if (bar_length_mm) return bar_length_mm;
  if (fence) return fence->baseline_mm;
  return std::nullopt;
}

// (M4): line angle = [delta_2 - delta_1]·m / B, and eps = rail - fence.
double eps_change_rail(const ContactLine& rail, bool second, Vec shift_mm) {
  return (second ? 1.0 : -1.0) * dot(shift_mm, rail.m) / rail.baseline_mm;
}
double eps_change_fence(const ContactLine& fence, bool second, Vec shift_mm) {
  return (second ? -1.0 : 1.0) * dot(shift_mm, fence.m) / fence.baseline_mm;
}

// (M5)
std::optional<Room> room_of(const Station& station, const Setup& setup) {
  const Geometry geometry = geometry_of(station, setup);
  if (std::fabs(geometry.nominal_rad - std::numbers::pi / 2) > 1e-6) return std::nullopt;
  const ContactLine &rail = *geometry.rail, &fence = *geometry.fence;
  const double rail_width = width_of_rail(station, setup);
  const Vec to_kept = (setup.keep == Side::left ? 1.0 : -1.0) * rail.m;

  Room room;
  room.between_near_dog_and_fence_mm = std::numeric_limits<double>::infinity();
  const Vec on_fence = *fence.first + radius_mm(station, setup.fence.first) * fence.n;
  const bool dogs_clear_of_offcut = dot(rail.n, to_kept) > 0 && rail_width >= kOffcutReachMm;
  for (const Post& post : {setup.rail.first, setup.rail.second}) {
    const Vec centre = hole_centre(station.grid, post.hole);
    const double from_fence = dot(centre - on_fence, fence.n);
    if (from_fence <= 0 || dogs_clear_of_offcut) continue;
    room.between_near_dog_and_fence_mm =
        std::min(room.between_near_dog_and_fence_mm, std::max(0.0, from_fence - radius_mm(station, post)));
  }
  const Vec on_cut = *rail.first + (radius_mm(station, setup.rail.first) + rail_width) * rail.n;
  const double a = dot(*fence.first - on_cut, to_kept), b = dot(*fence.second - on_cut, to_kept);
  room.fence_inner_mm = std::min(a, b);
  room.fence_outer_mm = std::max(a, b);
  return room;
}

}  // namespace quarterturn::station
