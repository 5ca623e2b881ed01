// SPDX-License-Identifier: MIT
/// \file oracle.hpp
/// A table, a saw and a panel in exact plane geometry, to hold the formulas against. No small angle is
/// assumed anywhere.
///
/// In       dogs as circles standing in displaced holes, the faces in use, a bow of the rail, a raw panel
/// (any quadrilateral) Out      what the saw leaves: the kept panel, and strips whose width can be taken at
/// any place Method   rail and fence are exact common tangents of their two dogs (or a bar lying against
/// them). A panel is seated
///          by moving its polygon until the edge cut last touches both fence contacts, then its boundary is
///          clipped along the path of the saw, then it is seated again on the fresh edge. Which way it turns
///          is found, not told.
/// Assumes  a panel keeps its shape; the saw follows the rail; every part stays in the plane
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <vector>

#include "check/check.hpp"
#include "station/station.hpp"

namespace quarterturn::test {

struct Point {
  double x = 0, y = 0;
};

/// A dog: a circle of `diameter_mm` whose centre is the nominal hole plus `shift`; a shim makes its circle
/// larger where the rail or the panel touches.
struct OracleDog {
  Point hole;
  Point shift;
  double diameter_mm = 20;
  double shim_mm = 0;
};

/// A straight bar lying against both fence dogs, centred between them.
struct OracleBar {
  double length_mm = 600, width_mm = 40;
  double taper_mm = 0;  ///< width at its left end minus width at its right end
};

struct Table {
  OracleDog rail_near, rail_far, fence_left, fence_right;
  station::Side rail_on_face = station::Side::right;
  station::Side keep = station::Side::left;
  station::PanelSide panel_side = station::PanelSide::before;
  double nominal_rad = 1.5707963267948966;
  double rail_width_mm = 0;  ///< the cut runs along the rail's other edge, so far from the dogs' line
  double kerf_mm = 3;        ///< common practice, no source
  double curvature_per_mm =
      0;  ///< of the rail: sagitta h over a length L is curvature L^2 / 8; > 0: kept edge crowned
  double s_shape_per_mm2 = 0;  ///< k of an S beside the rail dogs, k t (b - t)(b + t), t from their middle
  std::optional<OracleBar> bar;
};

/// The table that a station file describes, every hole where it should be.
Table table_of(const station::Station& station, const station::Setup& setup);

/// A line with its direction (first dog to second), the side it leaves its dogs on, and where it touches
/// them.
struct TouchLine {
  Point direction, normal, first, second;
};
TouchLine rail_line(const Table& table);
/// With a bar: its panel side; `first` and `second` are then the bar's ends.
TouchLine fence_line(const Table& table);

/// (rail direction) - (fence direction) - nominal, from the exact tangents [rad].
double exact_eps(const Table& table);
/// Distances along the fence from the line of the cut to the two fence contacts, towards the kept side,
/// smaller first.
std::array<double, 2> contacts_from_cut(const Table& table);
/// Distance along the rail of the middle of the two rail dogs from the fence, towards the panel.
double rail_middle_from_fence(const Table& table);

/// A polygon, counter-clockwise; labels[i] names the edge from corner i to the next. Raw edges other than the
/// one that is seated first carry negative labels; a sawn edge carries the number of its cut.
struct Panel {
  std::vector<Point> corners;
  std::vector<int> labels;
};
/// Four corners counter-clockwise; the edge from the first to the second is edge 0.
Panel raw_panel(const std::array<Point, 4>& corners);
/// A rectangle of that size with its corners knocked out of place by a few millimetres, edge 0 straight all
/// the same.
Panel skewed_panel(double width_mm, double depth_mm);

/// An offcut and the two long edges between which it is measured.
///
/// Width at a place: the line that halves the angle between the chords of the two long edges is the strip's
/// axis; the place is a distance along the axis from the middle of the fence end; the width is taken square
/// to the axis. Taken square to either edge instead, it differs by the factor 1 + (taper/2)^2/2: below 1e-7
/// of the width up to a taper of 0.9 mrad, and the same factor at both ends.
struct OracleStrip {
  int from_cut = 0, to_cut = 0;
  Panel shape;

  [[nodiscard]] double length_mm() const;
  [[nodiscard]] double width_mm(double from_fence_end_mm) const;
  /// (width near the fence end - width near the free end) / distance, from places 20 mm in; positive: wider
  /// at the fence end.
  [[nodiscard]] double taper_rad() const;
  /// The same as the slope of a straight line through `places` equally spaced widths.
  [[nodiscard]] double line_taper_rad(int places) const;
};

struct SawOptions {
  double strip_mm =
      25;  ///< smallest width of the offcut (a mitre: overhang of the panel's end beyond the cut)
  double seating_rad = 0;  ///< e_i: adds to the corner that this cut makes
};
struct Sawn {
  Panel kept;
  OracleStrip strip;           ///< from_cut negative while a raw edge bounds it
  double turned_rad = 0;       ///< by how much the panel was turned to be seated, -pi to pi
  double kept_corner_rad = 0;  ///< between the chord of the edge on the fence and the chord of the cut edge
  double cut_length_mm = 0;
};
/// Seats the edge `seat` of the panel against the fence, saws, and numbers the new edge `cut`.
/// \throws std::runtime_error when the seated edge does not reach both fence contacts
Sawn saw(const Table& table, const Panel& panel, int seat, int cut, const SawOptions& options = {});

/// A whole test: cut 1 with edge 0 on the fence, then each cut with the edge cut just before. Returns the
/// strips that lie between two edges four turns apart: (0,4), (1,5), (2,6) … \param seating  e_i of a cut by
/// its number; empty: none
std::vector<OracleStrip> cut_panel(const Table& table, const Panel& raw, int cuts,
                                   const std::function<double(int cut)>& seating = {}, double strip_mm = 25);

/// What a caliper adds to exact widths. `normal` draws standard normal numbers; empty: no noise.
struct CaliperNoise {
  double saw_marks_mm = 0;  ///< sd of a spot, common to its readings
  double reading_mm = 0;    ///< sd of a reading
  double step_mm = 0;       ///< rounding; 0 = none
  std::function<double()> normal;
};
/// The strip as somebody measures it: positions from its fence end, so many readings at each.
check::Strip measured(const OracleStrip& strip, int panel, const std::vector<double>& positions_mm,
                      int readings, const CaliperNoise& noise = {});

}  // namespace quarterturn::test
