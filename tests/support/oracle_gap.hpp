// SPDX-License-Identifier: MIT
/// \file oracle_gap.hpp
/// Tests that read a gap instead of a strip, in exact plane geometry: pieces laid side by side and slid
/// together until they touch.
///
/// In       pieces that the oracle sawed (or drew), and how they are laid
/// Out      the gap along their joint, at any place
/// Method   every piece is moved as a rigid polygon, turned over by mirroring it; what it rests on and where
/// it touches its neighbour is found on its own outline. No angle is taken to be small, and no sum of corners
/// is formed anywhere. Assumes  pieces keep their shape and stay in the plane
#pragma once

#include <array>
#include <functional>
#include <vector>

#include "support/oracle.hpp"

namespace quarterturn::test {

/// Two edges that face each other, both from the end at which places begin (a joint's fence end; a frame's
/// outer end), `left` and `right` as seen from there along the joint.
///
/// Width at a place: as of an OracleStrip, square to the line that halves the angle between the chords of the
/// two edges. Places count from where both edges have begun; overlap would be negative.
struct OracleGap {
  std::vector<Point> left, right;

  [[nodiscard]] double length_mm() const;
  [[nodiscard]] double at(double from_fence_end_mm) const;
  /// Slope of a straight line through `places` equally spaced widths; positive: open at the fence end,
  /// outside.
  [[nodiscard]] double line_taper_rad(int places) const;
  /// The angle between the edges, of which that slope is the tangent (each edge is off the axis by half of
  /// it).
  [[nodiscard]] double angle_rad() const;
  /// Width in the middle minus the mean of the widths at both ends.
  [[nodiscard]] double middle_minus_mean_of_ends() const;
};

/// How far two edges are apart along `direction`, where they are nearest; negative when they overlap.
/// \param direction  a unit vector from the left edge towards the right one
double clearance(const std::vector<Point>& left, const std::vector<Point>& right, Point direction);

/// The other face up: mirrored, and counter-clockwise again.
Panel turned_over(const Panel& panel);

/// How two pieces lie against the fence while their gap is read.
struct Laying {
  /// Distances from the joint of the two places at which each piece touches the fence, smaller first.
  std::array<double, 2> contacts_a_mm{60, 300}, contacts_b_mm{60, 300};
  double seating_a_rad = 0, seating_b_rad = 0;  ///< adds to that piece's corner at the joint
};

/// Piece a with edge `seat_a` on the fence, piece b with edge `seat_b`, their edges `cut` butted: b is slid
/// along the fence until it touches. One of the two must have been turned over, so that the edges face.
OracleGap butted(const Panel& a, int seat_a, const Panel& b, int seat_b, int cut, const Laying& laying = {});

/// The turn-over test with a pair: two kept pieces, each cut with edge `seat` on the fence. Piece b is turned
/// over about its cut edge, so its edge `seat` comes to lie in line with that of a, beyond the joint.
OracleGap pair_gap(const Panel& a, const Panel& b, int seat, int cut, const Laying& laying = {});

/// The turn-over test with halves: both parts of one cut through a board. The kept piece (a) lies as it was
/// cut, edge `seat` on the fence. The offcut (b) stays on its side of the cut and is turned over about its
/// long axis: its edge `other`, which lay away from the fence, comes down to the fence, the cut edge stays at
/// the joint.
OracleGap halves_gap(const Panel& kept, const Panel& offcut, int seat, int other, int cut,
                     const Laying& laying = {});

/// A piece of a frame, mitred at both ends of its edge `outer`.
struct FramePiece {
  Panel shape;
  int outer = 0;
};
/// A piece drawn instead of sawn: its outer edge, its width, and the two mitres, at the outer edge, of the
/// end that comes first counter-clockwise round the ring and of the other one.
FramePiece drawn_piece(double outer_mm, double width_mm, double first_rad, double second_rad);
/// The pieces are laid counter-clockwise, each with the chord of its first mitre on the chord of its
/// neighbour's second one and their outer corners together, all but the last joint. There the last piece is
/// slid along its own first mitre until it touches piece one. (Left where it is it would overlap piece one,
/// or stand off it, by more than the gap tells: equal pieces with mitres a little off do not close.)
OracleGap frame_gap(const std::vector<FramePiece>& pieces);

/// A rail by itself. Its back rests against the dogs and is straight; its other edge guides the saw.
struct OracleRail {
  double length_mm = 1000, width_mm = 60;
  /// How far the guiding edge stands out from the line `width_mm` away from the back, over the distance from
  /// the rail's middle.
  std::function<double(double)> stands_out;
};
/// A rail whose guiding edge is crowned by `h_mm` over its length (hollow: h < 0), and bent to an S besides.
OracleRail bowed_rail(double length_mm, double h_mm, double s_mm = 0);

/// How the rail lies at its second look.
struct TurnedRail {
  double slid_mm = 0;     ///< along the line, from where it lay before
  double rocked_rad = 0;  ///< a crowned edge rocks on the line
};
/// A knife line is drawn along the guiding edge; the rail is turned end for end, the same face up, and the
/// same edge is put to the line, from the line's other side.
OracleGap turned_rail_gap(const OracleRail& rail, const TurnedRail& turned = {});

/// The guiding edge on the table: the rail rests with its back against both rail dogs, its middle between
/// them.
std::vector<Point> guiding_edge(const Table& table, const OracleRail& rail);

/// By how much an edge of a panel stands out in its middle beyond the chord of its ends; negative: hollow.
double crown_mm(const Panel& panel, int label);

}  // namespace quarterturn::test
