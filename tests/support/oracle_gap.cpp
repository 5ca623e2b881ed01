// SPDX-License-Identifier: MIT
/// The gap along a joint, and the pieces of a turn-over test beside a fence.
#include "support/oracle_gap.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "support/oracle_parts.hpp"

namespace quarterturn::test {
namespace {

/// The line that halves the angle between the chords, and where along it both edges run.
struct Joint {
  Point origin, along;
  double from = 0, to = 0;
};

Joint joint_of(const OracleGap& gap) {
  Joint joint;
  joint.origin = 0.5 * (gap.left.front() + gap.right.front());
  joint.along = unit(unit(gap.left.back() - gap.left.front()) + unit(gap.right.back() - gap.right.front()));
  const auto place = [&](Point p) { return dot(p - joint.origin, joint.along); };
  joint.from = std::max(place(gap.left.front()), place(gap.right.front()));
  joint.to = std::min(place(gap.left.back()), place(gap.right.back()));
  return joint;
}

double width_at(const OracleGap& gap, const Joint& joint, double from_fence_end_mm) {
  const double place = joint.from + from_fence_end_mm;
  return across(joint.origin, joint.along, gap.left, place) -
         across(joint.origin, joint.along, gap.right, place);
}

/// A piece beside a fence along the x axis, the piece beyond it.
struct Laid {
  std::vector<Point> joint;  ///< its cut edge, from the fence outwards
  bool joint_on_right = false;
};

/// Lays the piece with its edge `seat` on the x axis so that it touches there at both contacts, its corner
/// with the cut edge near x = 0.
Laid laid(const Panel& piece, int seat, int cut, const std::array<double, 2>& contacts_mm,
          double seating_rad) {
  Panel panel = piece;
  const auto seated = points_of(panel, seat);
  // Counter-clockwise, the inside of the panel is left of its edges: the seated edge runs along +x.
  const Point chord = seated.back() - seated.front();
  Laid result;
  result.joint_on_right = label_after(panel, seat) == cut;
  const Point corner = result.joint_on_right ? seated.back() : seated.front();
  move_panel(panel, corner, angle_between(chord, {1, 0}), Point{0, 0} - corner);
  const TouchLine axis{{1, 0}, {0, 1}, {0, 0}, {0, 0}};
  const double side = result.joint_on_right ? -1 : 1;
  const double a = side * contacts_mm[0], b = side * contacts_mm[1];
  for (int i = 0; i < 12; ++i) {
    const auto edge = profile(panel, seat, axis);  // heights count towards -y
    const double at_a = height_at(edge, a), at_b = height_at(edge, b);
    move_panel(panel, {a, 0}, std::atan((at_b - at_a) / (b - a)), {0, at_a});
  }
  // Turned clockwise, a piece left of the joint leans over it with its far end: the corner grows.
  move_panel(panel, {(a + b) / 2, 0}, (result.joint_on_right ? -1 : 1) * seating_rad, {});
  result.joint = points_of(panel, cut);
  if (result.joint.front().y > result.joint.back().y) std::reverse(result.joint.begin(), result.joint.end());
  return result;
}

}  // namespace

double OracleGap::length_mm() const {
  const Joint joint = joint_of(*this);
  return joint.to - joint.from;
}

double OracleGap::at(double from_fence_end_mm) const {
  return width_at(*this, joint_of(*this), from_fence_end_mm);
}

double OracleGap::line_taper_rad(int places) const {
  const Joint joint = joint_of(*this);
  return -fitted_slope(0, joint.to - joint.from, places,
                       [&](double place) { return width_at(*this, joint, place); });
}

double OracleGap::angle_rad() const {
  return 2 * std::atan(line_taper_rad(41) / 2);
}

double OracleGap::middle_minus_mean_of_ends() const {
  const double length = length_mm();
  return at(length / 2) - (at(0) + at(length)) / 2;
}

double clearance(const std::vector<Point>& left, const std::vector<Point>& right, Point direction) {
  const Point square = left_of(direction);
  // Seen along `direction` both edges are heights over places, in order of place.
  const auto seen = [&](std::vector<Point> edge) {
    for (Point& p : edge) p = {dot(p, square), dot(p, direction)};
    if (edge.front().x > edge.back().x) std::reverse(edge.begin(), edge.end());
    return edge;
  };
  const auto one = seen(left), two = seen(right);
  const double from = std::max(one.front().x, two.front().x), to = std::min(one.back().x, two.back().x);
  std::vector<double> places{from, to};
  for (const auto* edge : {&one, &two}) {
    for (const Point p : *edge) {
      if (p.x > from && p.x < to) places.push_back(p.x);
    }
  }
  double least = std::numeric_limits<double>::infinity();
  for (const double place : places) least = std::min(least, height_at(two, place) - height_at(one, place));
  return least;
}

Panel turned_over(const Panel& panel) {
  Panel other;
  const std::size_t n = panel.corners.size();
  for (std::size_t i = n; i-- > 0;) {
    other.corners.push_back({-panel.corners[i].x, panel.corners[i].y});
    other.labels.push_back(panel.labels[(i + n - 1) % n]);
  }
  return other;
}

OracleGap butted(const Panel& a, int seat_a, const Panel& b, int seat_b, int cut, const Laying& laying) {
  Laid one = laid(a, seat_a, cut, laying.contacts_a_mm, laying.seating_a_rad);
  Laid two = laid(b, seat_b, cut, laying.contacts_b_mm, laying.seating_b_rad);
  if (one.joint_on_right == two.joint_on_right)
    throw std::runtime_error("the cut edges do not face each other: one piece must be turned over");
  OracleGap gap{one.joint_on_right ? one.joint : two.joint, one.joint_on_right ? two.joint : one.joint};
  const double apart = clearance(gap.left, gap.right, {1, 0});
  for (Point& p : gap.right) p.x -= apart;
  return gap;
}

OracleGap pair_gap(const Panel& a, const Panel& b, int seat, int cut, const Laying& laying) {
  return butted(a, seat, turned_over(b), seat, cut, laying);
}

OracleGap halves_gap(const Panel& kept, const Panel& offcut, int seat, int other, int cut,
                     const Laying& laying) {
  return butted(kept, seat, turned_over(offcut), other, cut, laying);
}

}  // namespace quarterturn::test
