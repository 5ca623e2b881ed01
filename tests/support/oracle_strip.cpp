// SPDX-License-Identifier: MIT
/// A strip as a caliper meets it.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "support/oracle.hpp"
#include "support/oracle_parts.hpp"

namespace quarterturn::test {
namespace {

/// The long edges of a strip with the ends that lie at the fence, and its axis.
struct Axis {
  std::vector<Point> one, two;  ///< both from the fence end to the free end
  Point origin, along;
};

Axis axis_of(const OracleStrip& strip) {
  Axis axis;
  for (const std::size_t i : run_of(strip.shape, strip.to_cut)) axis.one.push_back(strip.shape.corners[i]);
  for (const std::size_t i : run_of(strip.shape, strip.from_cut)) axis.two.push_back(strip.shape.corners[i]);
  const bool fence_first = label_before(strip.shape, strip.to_cut) == strip.to_cut - 1;
  auto& turned_round =
      fence_first ? axis.two : axis.one;  // both run counter-clockwise, so against each other
  std::reverse(turned_round.begin(), turned_round.end());
  axis.origin = 0.5 * (axis.one.front() + axis.two.front());
  axis.along = unit(unit(axis.one.back() - axis.one.front()) + unit(axis.two.back() - axis.two.front()));
  return axis;
}

}  // namespace

double across(Point origin, Point along, const std::vector<Point>& edge, double place) {
  std::size_t i = 1;
  while (i + 1 < edge.size() && dot(edge[i] - origin, along) < place) ++i;
  const Point p = edge[i - 1] - origin, q = edge[i] - origin;
  const double share = (place - dot(p, along)) / dot(q - p, along);
  return cross(along, p + share * (q - p));
}

double fitted_slope(double from, double to, int places, const std::function<double(double)>& width_at) {
  double s_p = 0, s_w = 0, s_pp = 0, s_pw = 0;
  for (int i = 0; i < places; ++i) {
    const double place = from + (to - from) * i / (places - 1), width = width_at(place);
    s_p += place, s_w += width, s_pp += place * place, s_pw += place * width;
  }
  return (places * s_pw - s_p * s_w) / (places * s_pp - s_p * s_p);
}

double OracleStrip::length_mm() const {
  const Axis axis = axis_of(*this);
  return std::min(dot(axis.one.back() - axis.origin, axis.along),
                  dot(axis.two.back() - axis.origin, axis.along));
}

double OracleStrip::width_mm(double from_fence_end_mm) const {
  const Axis axis = axis_of(*this);
  return std::fabs(across(axis.origin, axis.along, axis.one, from_fence_end_mm) -
                   across(axis.origin, axis.along, axis.two, from_fence_end_mm));
}

double OracleStrip::taper_rad() const {
  const double near_fence = 20, free = length_mm() - 20;
  return (width_mm(near_fence) - width_mm(free)) / (free - near_fence);
}

double OracleStrip::line_taper_rad(int places) const {
  return -fitted_slope(1, length_mm() - 1, places, [this](double place) { return width_mm(place); });
}

check::Strip measured(const OracleStrip& strip, int panel, const std::vector<double>& positions_mm,
                      int readings, const CaliperNoise& noise) {
  const auto draw = [&](double sd) { return noise.normal && sd > 0 ? sd * noise.normal() : 0.0; };
  check::Strip made;
  made.panel = panel;
  made.from_cut = strip.from_cut;
  made.to_cut = strip.to_cut;
  for (const double position : positions_mm) {
    check::Spot spot;
    spot.position_mm = position;
    const double there = strip.width_mm(position) + draw(noise.saw_marks_mm);
    for (int k = 0; k < readings; ++k) {
      check::Reading reading;
      reading.mm = there + draw(noise.reading_mm);
      if (noise.step_mm > 0) reading.mm = noise.step_mm * std::round(reading.mm / noise.step_mm);
      reading.step_mm = noise.step_mm > 0 ? noise.step_mm : 1e-9;
      const int decimals = std::clamp(static_cast<int>(std::ceil(-std::log10(reading.step_mm) - 1e-9)), 0, 9);
      char text[40];
      std::snprintf(text, sizeof text, "%.*f", decimals, reading.mm);
      reading.as_typed = text;
      spot.readings.push_back(reading);
    }
    made.spots.push_back(spot);
  }
  return made;
}

}  // namespace quarterturn::test
