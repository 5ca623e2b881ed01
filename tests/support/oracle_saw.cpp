// SPDX-License-Identifier: MIT
/// Seating a panel against the fence and clipping it along the path of the saw.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

#include "support/oracle.hpp"
#include "support/oracle_parts.hpp"

namespace quarterturn::test {
void move_panel(Panel& panel, Point centre, double rad, Point by) {
  for (Point& p : panel.corners) p = centre + turned(p - centre, rad) + by;
}

std::vector<Point> profile(const Panel& panel, int label, const TouchLine& fence) {
  std::vector<Point> points;
  for (const std::size_t i : run_of(panel, label)) {
    const Point from = panel.corners[i] - fence.first;
    points.push_back({dot(from, fence.direction), -dot(from, fence.normal)});
  }
  if (points.front().x > points.back().x) std::reverse(points.begin(), points.end());
  return points;
}

double height_at(const std::vector<Point>& edge, double place) {
  if (place < edge.front().x || place > edge.back().x)
    throw std::runtime_error("the panel leaves a fence contact");
  std::size_t i = 1;
  while (i + 1 < edge.size() && edge[i].x < place) ++i;
  const double share = (place - edge[i - 1].x) / (edge[i].x - edge[i - 1].x);
  return edge[i - 1].y + share * (edge[i].y - edge[i - 1].y);
}

namespace {

/// Two places where the edge bears: the fence dogs; on a bar the two ends of the hull's piece across the
/// edge's middle.
std::array<double, 2> bearing_places(const Table& table, const TouchLine& fence,
                                     const std::vector<Point>& edge) {
  const double second = dot(fence.second - fence.first, fence.direction);
  if (!table.bar) return {0, second};
  const double low = std::max(0.0, edge.front().x), high = std::min(second, edge.back().x);
  std::vector<Point> within{{low, height_at(edge, low)}};
  for (const Point p : edge) {
    if (p.x > low && p.x < high) within.push_back(p);
  }
  within.push_back({high, height_at(edge, high)});
  std::vector<Point> hull;
  for (const Point p : within) {
    while (hull.size() >= 2 && cross(hull.back() - hull[hull.size() - 2], p - hull.back()) >= 0)
      hull.pop_back();
    hull.push_back(p);
  }
  std::size_t i = 1;
  while (i + 1 < hull.size() && hull[i].x < (low + high) / 2) ++i;
  return {hull[i - 1].x, hull[i].x};
}

/// Slides the panel along the fence until it hangs over the cut by so much: with the nearer end of its end
/// edge, or, at a mitre, with the far end of the seated edge.
void slide(Panel& panel, int seat, int end_edge, const Path& path, const TouchLine& fence, double overhang,
           bool square) {
  const auto run = run_of(panel, square ? end_edge : seat);
  const auto beyond = [&](std::size_t i) { return dot(panel.corners[i] - path.origin, path.to_offcut); };
  const double one = beyond(run.front()), two = beyond(run.back());
  const double hangs = square ? std::min(one, two) : std::max(one, two);
  move_panel(panel, {}, 0, ((overhang - hangs) / dot(fence.direction, path.to_offcut)) * fence.direction);
}

struct Seated {
  Panel panel;
  double turned_rad = 0;
};

Seated seat_panel(const Table& table, const Panel& raw, int seat, const SawOptions& options) {
  const TouchLine fence = fence_line(table);
  const Path path = path_of(table);
  const bool before = table.panel_side == station::PanelSide::before;
  const bool square = std::fabs(table.nominal_rad - std::numbers::pi / 2) < 0.01;
  Seated seated{raw, 0};
  Panel& panel = seated.panel;
  // The panel's inside is left of its edges, so the seated edge runs with the fence beyond it and against it
  // before it.
  const auto run = run_of(panel, seat);
  const Point chord = panel.corners[run.back()] - panel.corners[run.front()];
  seated.turned_rad = angle_between(chord, (before ? -1.0 : 1.0) * fence.direction);
  move_panel(panel, panel.corners[run.front()], seated.turned_rad, fence.first - panel.corners[run.front()]);
  // The offcut lies to the right when the left part is kept; which neighbour that is depends on the fence's
  // side.
  const bool offcut_right = table.keep == station::Side::left;
  const int end_edge = offcut_right == before ? label_before(panel, seat) : label_after(panel, seat);
  slide(panel, seat, end_edge, path, fence, options.strip_mm + table.kerf_mm, square);
  for (int i = 0; i < 12; ++i) {
    const auto edge = profile(panel, seat, fence);
    const auto [a, b] = bearing_places(table, fence, edge);
    const double at_a = height_at(edge, a), at_b = height_at(edge, b);
    const double slope = std::atan2(at_b - at_a, b - a);
    const double side =
        cross(fence.direction, fence.normal) > 0 ? 1.0 : -1.0;  // heights count against the normal
    move_panel(panel, fence.first + a * fence.direction, side * slope, at_a * fence.normal);
    slide(panel, seat, end_edge, path, fence, options.strip_mm + table.kerf_mm, square);
  }
  if (options.seating_rad != 0) {
    const double s_x = table.keep == station::Side::right ? 1 : -1, s_y = before ? -1 : 1;
    move_panel(panel, 0.5 * (fence.first + fence.second), -s_x * s_y * options.seating_rad, {});
  }
  return seated;
}

constexpr int kPathPieces = 256;

/// Where the edge from p to q crosses the path; exact for a straight path, else to the last digits by
/// bisection.
Point crossing(const Path& path, double kerf, Point p, Point q) {
  const double at_p = path.beyond(p, kerf), at_q = path.beyond(q, kerf);
  if (path.straight()) return p + (at_p / (at_p - at_q)) * (q - p);
  double low = 0, high = 1;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    ((path.beyond(p + middle * (q - p), kerf) < 0) == (at_p < 0) ? low : high) = middle;
  }
  return p + ((low + high) / 2) * (q - p);
}

/// The part of the panel on one side of the path (side -1: kept, +1: offcut), the new edge labelled `cut`.
Panel part_of(const Panel& panel, const Path& path, double kerf, double side, int cut) {
  const std::size_t n = panel.corners.size();
  const auto inside = [&](std::size_t i) { return side * path.beyond(panel.corners[i % n], kerf) > 0; };
  std::size_t leave = 0, enter = 0;
  int crossings = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (inside(i) && !inside(i + 1)) leave = i, ++crossings;
    if (!inside(i) && inside(i + 1)) enter = i, ++crossings;
  }
  if (crossings != 2) throw std::runtime_error("the saw does not cross the panel once");
  Panel part;
  const auto add = [&](Point p, int label) {
    part.corners.push_back(p);
    part.labels.push_back(label);
  };
  const Point out = crossing(path, kerf, panel.corners[leave], panel.corners[(leave + 1) % n]);
  const Point in = crossing(path, kerf, panel.corners[enter], panel.corners[(enter + 1) % n]);
  add(in, panel.labels[enter]);
  for (std::size_t i = enter + 1;; ++i) {
    add(panel.corners[i % n], panel.labels[i % n]);
    if (i % n == leave) break;
  }
  add(out, cut);
  if (!path.straight()) {
    const double from = dot(out - path.origin, path.along), to = dot(in - path.origin, path.along);
    for (int i = 1; i < kPathPieces; ++i) add(path.at(from + (to - from) * i / kPathPieces, kerf), cut);
  }
  return part;
}

}  // namespace

Sawn saw(const Table& table, const Panel& panel, int seat, int cut, const SawOptions& options) {
  const Seated seated = seat_panel(table, panel, seat, options);
  const Path path = path_of(table);
  Sawn sawn;
  sawn.turned_rad = seated.turned_rad;
  sawn.kept = part_of(seated.panel, path, 0, -1, cut);
  sawn.strip.to_cut = cut;
  sawn.strip.shape = part_of(seated.panel, path, table.kerf_mm, +1, cut);
  const auto& offcut = sawn.strip.shape;
  sawn.strip.from_cut =
      label_before(offcut, seat) == cut ? label_after(offcut, seat) : label_before(offcut, seat);
  const auto cut_run = run_of(sawn.kept, cut), seat_run = run_of(sawn.kept, seat);
  const bool cut_first = cut_run.back() == seat_run.front();
  const Point corner = sawn.kept.corners[cut_first ? cut_run.back() : cut_run.front()];
  const Point along_cut = sawn.kept.corners[cut_first ? cut_run.front() : cut_run.back()] - corner;
  const Point along_seat = sawn.kept.corners[cut_first ? seat_run.back() : seat_run.front()] - corner;
  sawn.kept_corner_rad = std::fabs(angle_between(along_cut, along_seat));
  sawn.cut_length_mm = size(along_cut);
  return sawn;
}

}  // namespace quarterturn::test
