// SPDX-License-Identifier: MIT
/// \file oracle_parts.hpp
/// What the files of the oracle share: vectors of the plane, the path of the saw, runs of edges round a
/// panel, and how an edge lies beside a line.
#pragma once

#include <cmath>
#include <functional>
#include <vector>

#include "support/oracle.hpp"

namespace quarterturn::test {

inline Point operator+(Point a, Point b) {
  return {a.x + b.x, a.y + b.y};
}
inline Point operator-(Point a, Point b) {
  return {a.x - b.x, a.y - b.y};
}
inline Point operator*(double k, Point a) {
  return {k * a.x, k * a.y};
}
inline double dot(Point a, Point b) {
  return a.x * b.x + a.y * b.y;
}
inline double cross(Point a, Point b) {
  return a.x * b.y - a.y * b.x;
}
inline double size(Point a) {
  return std::hypot(a.x, a.y);
}
inline Point unit(Point a) {
  return (1.0 / size(a)) * a;
}
inline Point left_of(Point a) {
  return {-a.y, a.x};
}
inline Point turned(Point a, double rad) {
  return {std::cos(rad) * a.x - std::sin(rad) * a.y, std::sin(rad) * a.x + std::cos(rad) * a.y};
}
/// Signed angle from a to b, -pi to pi.
inline double angle_between(Point a, Point b) {
  return std::atan2(cross(a, b), dot(a, b));
}

/// The path of the saw: a parabola through the two places beside the rail dogs, and an S through them and the
/// middle between them.
struct Path {
  Point origin, along, to_offcut;
  double first = 0, second = 0, half_curvature = 0, s_shape = 0;

  [[nodiscard]] bool straight() const { return half_curvature == 0 && s_shape == 0; }
  [[nodiscard]] double offset(double t) const {
    return (half_curvature + s_shape * (t - (first + second) / 2)) * (t - first) * (second - t);
  }
  /// Distance of a point beyond the path that runs `kerf` further out; negative on the kept side.
  [[nodiscard]] double beyond(Point p, double kerf) const {
    const Point from = p - origin;
    return dot(from, to_offcut) - offset(dot(from, along)) - kerf;
  }
  [[nodiscard]] Point at(double t, double kerf) const {
    return origin + t * along + (offset(t) + kerf) * to_offcut;
  }
};

Path path_of(const Table& table);

/// Corners of the run of edges with that label, in order round the panel. \throws std::runtime_error without
/// such an edge
std::vector<std::size_t> run_of(const Panel& panel, int label);
/// The corners of that run, in the same order.
std::vector<Point> points_of(const Panel& panel, int label);
int label_before(const Panel& panel, int label);
int label_after(const Panel& panel, int label);

/// Turned about `centre`, then shifted.
void move_panel(Panel& panel, Point centre, double rad, Point by);
/// An edge as heights above the fence (towards it positive) over places along it, in order of place.
std::vector<Point> profile(const Panel& panel, int label, const TouchLine& fence);
/// \throws std::runtime_error beside the edge
double height_at(const std::vector<Point>& edge, double place);

/// Where the square line at a place along an axis meets an edge, as a distance left of the axis.
double across(Point origin, Point along, const std::vector<Point>& edge, double place);
/// Slope of a least-squares line through equally spaced places.
double fitted_slope(double from, double to, int places, const std::function<double(double)>& width_at);

}  // namespace quarterturn::test
