// SPDX-License-Identifier: MIT
/// Pieces mitred into a ring, and a rail against its own line.
#include <algorithm>
#include <cmath>

#include "support/oracle_gap.hpp"
#include "support/oracle_parts.hpp"

namespace quarterturn::test {
namespace {

/// The mitre at the end of the outer edge, from the outer corner inwards.
std::vector<Point> second_mitre(const FramePiece& piece) {
  return points_of(piece.shape, label_after(piece.shape, piece.outer));
}
std::vector<Point> first_mitre(const FramePiece& piece) {
  auto mitre = points_of(piece.shape, label_before(piece.shape, piece.outer));
  std::reverse(mitre.begin(), mitre.end());
  return mitre;
}
Point chord_of(const std::vector<Point>& edge) {
  return edge.back() - edge.front();
}

constexpr int kEdgePieces = 512;

}  // namespace

FramePiece drawn_piece(double outer_mm, double width_mm, double first_rad, double second_rad) {
  const Point first = (width_mm / std::sin(first_rad)) * Point{std::cos(first_rad), std::sin(first_rad)};
  const Point second = (width_mm / std::sin(second_rad)) * Point{-std::cos(second_rad), std::sin(second_rad)};
  return {{{{0, 0}, {outer_mm, 0}, Point{outer_mm, 0} + second, first}, {0, 2, -2, 1}}, 0};
}

OracleGap frame_gap(const std::vector<FramePiece>& pieces) {
  std::vector<FramePiece> ring = pieces;
  for (std::size_t i = 1; i < ring.size(); ++i) {
    const auto from = second_mitre(ring[i - 1]), to = first_mitre(ring[i]);
    move_panel(ring[i].shape, to.front(), angle_between(chord_of(to), chord_of(from)),
               from.front() - to.front());
  }
  // Round the ring counter-clockwise its inside is on the left: seen from outside, the last piece lies left
  // of its joint with piece one.
  const auto gap = [&] { return OracleGap{second_mitre(ring.back()), first_mitre(ring.front())}; };
  Point slide = unit(chord_of(first_mitre(ring.back())));
  if (cross(chord_of(first_mitre(ring.front())), slide) > 0) slide = -1.0 * slide;  // towards piece one
  for (int i = 0; i < 3; ++i) {  // sliding changes which places lie opposite each other
    const OracleGap now = gap();
    move_panel(ring.back().shape, {}, 0, clearance(now.left, now.right, slide) * slide);
  }
  return gap();
}

OracleRail bowed_rail(double length_mm, double h_mm, double s_mm) {
  OracleRail rail;
  rail.length_mm = length_mm;
  rail.stands_out = [=](double x) {
    const double share = 2 * x / length_mm;
    return h_mm * (1 - share * share) + s_mm * (share - share * share * share);
  };
  return rail;
}

// Drawn: the rail lies below the line of the x axis, its edge at y = stands_out(x). Turned by half a turn in
// the plane it lies above it, and what stood out at x stands out downwards at -x.
OracleGap turned_rail_gap(const OracleRail& rail, const TurnedRail& turned) {
  OracleGap gap;
  for (int i = 0; i <= kEdgePieces; ++i) {
    const double x = rail.length_mm * (static_cast<double>(i) / kEdgePieces - 0.5);
    gap.right.push_back({x, rail.stands_out(x)});
  }
  for (const Point p : gap.right) gap.left.push_back(test::turned(Point{-p.x, -p.y}, turned.rocked_rad));
  std::reverse(gap.left.begin(), gap.left.end());
  for (Point& p : gap.left) p.x += turned.slid_mm;
  const double apart = clearance(gap.left, gap.right, {0, -1});
  for (Point& p : gap.left) p.y -= apart;
  return gap;
}

std::vector<Point> guiding_edge(const Table& table, const OracleRail& rail) {
  const TouchLine back = rail_line(table);
  const Point middle = 0.5 * (back.first + back.second);
  std::vector<Point> edge;
  for (int i = 0; i <= kEdgePieces; ++i) {
    const double x = rail.length_mm * (static_cast<double>(i) / kEdgePieces - 0.5);
    edge.push_back(middle + x * back.direction + (rail.width_mm + rail.stands_out(x)) * back.normal);
  }
  return edge;
}

double crown_mm(const Panel& panel, int label) {
  const auto edge = points_of(panel, label);
  const Point chord = unit(edge.back() - edge.front());
  // the inside lies left of the edges
  return -across(edge.front(), chord, edge, size(edge.back() - edge.front()) / 2);
}

}  // namespace quarterturn::test
