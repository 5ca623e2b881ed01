// SPDX-License-Identifier: MIT
/// \file oracle_parts.hpp
/// What the files of the oracle share: vectors of the plane, the path of the saw, runs of edges round a
/// panel.
#pragma once

#include <cmath>
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

/// The path of the saw: a parabola through the two places beside the rail dogs.
struct Path {
  Point origin, along, to_offcut;
  double first = 0, second = 0, half_curvature = 0;

  [[nodiscard]] double offset(double t) const { return half_curvature * (t - first) * (second - t); }
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
int label_before(const Panel& panel, int label);
int label_after(const Panel& panel, int label);

}  // namespace quarterturn::test
