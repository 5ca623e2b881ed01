// SPDX-License-Identifier: MIT
#include "support/oracle.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <string>

#include "support/oracle_parts.hpp"

namespace quarterturn::test {
namespace {

/// Common tangent of two circles that leaves both on the side of `side` (+1: left of first-to-second).
TouchLine tangent(const OracleDog& one, const OracleDog& two, double side) {
  const Point c1 = one.hole + one.shift, c2 = two.hole + two.shift;
  const double r1 = one.diameter_mm / 2 + one.shim_mm, r2 = two.diameter_mm / 2 + two.shim_mm;
  const double apart = size(c2 - c1);
  const Point u = unit(c2 - c1);
  const double along = (r1 - r2) / apart;  // normal·u, so that both centres keep their radius from the line
  const Point normal = along * u + (side * std::sqrt(1 - along * along)) * left_of(u);
  const Point direction = (-side) * left_of(normal);
  return {direction, normal, c1 + r1 * normal, c2 + r2 * normal};
}

/// Where the straight line of the cut crosses the line of the fence.
Point crossing_of_lines(const Table& table) {
  const Path path = path_of(table);
  const TouchLine fence = fence_line(table);
  const double t = cross(fence.first - path.origin, fence.direction) / cross(path.along, fence.direction);
  return path.origin + t * path.along;
}

}  // namespace

Path path_of(const Table& table) {
  const TouchLine rail = rail_line(table);
  Path path;
  path.along = rail.direction;
  path.origin = rail.first + table.rail_width_mm * rail.normal;
  path.to_offcut = (table.keep == station::Side::left ? -1.0 : 1.0) * left_of(rail.direction);
  path.second = dot(rail.second - rail.first, rail.direction);
  path.half_curvature = table.curvature_per_mm / 2;
  path.s_shape = table.s_shape_per_mm2;
  return path;
}

std::vector<std::size_t> run_of(const Panel& panel, int label) {
  const std::size_t n = panel.corners.size();
  std::size_t start = 0;
  while (start < n && !(panel.labels[start] == label && panel.labels[(start + n - 1) % n] != label)) ++start;
  if (start == n) throw std::runtime_error("the panel has no edge " + std::to_string(label));
  std::vector<std::size_t> run{start};
  for (std::size_t i = start; panel.labels[i % n] == label; ++i) run.push_back((i + 1) % n);
  return run;
}
std::vector<Point> points_of(const Panel& panel, int label) {
  std::vector<Point> points;
  for (const std::size_t i : run_of(panel, label)) points.push_back(panel.corners[i]);
  return points;
}
int label_before(const Panel& panel, int label) {
  const std::size_t n = panel.corners.size();
  return panel.labels[(run_of(panel, label).front() + n - 1) % n];
}
int label_after(const Panel& panel, int label) {
  return panel.labels[run_of(panel, label).back()];
}

Table table_of(const station::Station& station, const station::Setup& setup) {
  const auto dog = [&](const station::Post& post) {
    const double pitch = station.grid.pitch.mm();
    return OracleDog{
        {pitch * post.hole.column, pitch * post.hole.row}, {}, station.dogs.at(post.dog).diameter.mm(), 0};
  };
  Table table;
  table.rail_near = dog(setup.rail.first);
  table.rail_far = dog(setup.rail.second);
  table.fence_left = dog(setup.fence.first);
  table.fence_right = dog(setup.fence.second);
  table.rail_on_face = setup.rail_on_face;
  table.keep = setup.keep;
  table.panel_side = setup.panel_side;
  table.nominal_rad = setup.nominal_deg * std::numbers::pi / 180;
  if (!setup.rail_name.empty()) table.rail_width_mm = station.rails.at(setup.rail_name).width.mm();
  if (setup.bar) {
    table.bar = OracleBar{setup.bar->length.mm(), 40, setup.bar->taper ? setup.bar->taper->mm() : 0};
  }
  return table;
}

TouchLine rail_line(const Table& table) {
  return tangent(table.rail_near, table.rail_far, table.rail_on_face == station::Side::left ? 1.0 : -1.0);
}

TouchLine fence_line(const Table& table) {
  const TouchLine back = tangent(table.fence_left, table.fence_right,
                                 table.panel_side == station::PanelSide::beyond ? 1.0 : -1.0);
  if (!table.bar) return back;
  const Point middle = 0.5 * (back.first + back.second);
  const double half = table.bar->length_mm / 2;
  const Point left =
      middle - half * back.direction + (table.bar->width_mm + table.bar->taper_mm / 2) * back.normal;
  const Point right =
      middle + half * back.direction + (table.bar->width_mm - table.bar->taper_mm / 2) * back.normal;
  const Point direction = unit(right - left);
  const Point normal = (cross(back.direction, back.normal) > 0 ? 1.0 : -1.0) * left_of(direction);
  return {direction, normal, left, right};
}

double exact_eps(const Table& table) {
  return angle_between(fence_line(table).direction, rail_line(table).direction) - table.nominal_rad;
}

std::array<double, 2> contacts_from_cut(const Table& table) {
  const TouchLine fence = fence_line(table);
  const Point corner = crossing_of_lines(table);
  const double away = dot(path_of(table).to_offcut, fence.direction) > 0 ? -1.0 : 1.0;
  const double a = away * dot(fence.first - corner, fence.direction),
               b = away * dot(fence.second - corner, fence.direction);
  return {std::min(a, b), std::max(a, b)};
}

double rail_middle_from_fence(const Table& table) {
  const Path path = path_of(table);
  const double at_fence = dot(crossing_of_lines(table) - path.origin, path.along);
  const double towards_panel = table.panel_side == station::PanelSide::beyond ? 1.0 : -1.0;
  return towards_panel * ((path.first + path.second) / 2 - at_fence);
}

Panel raw_panel(const std::array<Point, 4>& corners) {
  return {{corners.begin(), corners.end()}, {0, -1, -2, -3}};
}

Panel skewed_panel(double width_mm, double depth_mm) {
  return raw_panel({Point{0, 0}, {width_mm, 0}, {width_mm + 4, depth_mm + 3}, {-3, depth_mm - 2}});
}

std::vector<OracleStrip> cut_panel(const Table& table, const Panel& raw, int cuts,
                                   const std::function<double(int cut)>& seating, double strip_mm) {
  std::vector<OracleStrip> strips;
  Panel panel = raw;
  for (int cut = 1; cut <= cuts; ++cut) {
    Sawn sawn = saw(table, panel, cut - 1, cut, {strip_mm, seating ? seating(cut) : 0.0});
    if (sawn.strip.from_cut >= 0 && sawn.strip.to_cut - sawn.strip.from_cut == 4)
      strips.push_back(sawn.strip);
    panel = std::move(sawn.kept);
  }
  return strips;
}

}  // namespace quarterturn::test
