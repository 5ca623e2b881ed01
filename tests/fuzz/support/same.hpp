// SPDX-License-Identifier: MIT
/// \file same.hpp
/// Two checks are the same, field by field, but for what a file does not hold.
#pragma once

#include "check/check.hpp"
#include "fuzz/support/hold.hpp"

namespace quarterturn::fuzz {

inline void hold_same(const check::Caliper& a, const check::Caliper& b) {
  hold(a.resolution_mm == b.resolution_mm && a.repeatability_mm == b.repeatability_mm &&
           a.reliability == b.reliability && a.reach_mm == b.reach_mm,
       "the caliper is the same");
}

inline void hold_same(const check::Strip& a, const check::Strip& b) {
  hold(a.panel == b.panel && a.from_cut == b.from_cut && a.to_cut == b.to_cut, "a strip is the same");
  hold(a.spots.size() == b.spots.size(), "it has the same places");
  for (std::size_t i = 0; i < a.spots.size(); ++i) {
    hold(a.spots[i].position_mm == b.spots[i].position_mm, "a place is the same");
    hold(a.spots[i].readings.size() == b.spots[i].readings.size(), "it has as many readings");
    for (std::size_t k = 0; k < a.spots[i].readings.size(); ++k) {
      const auto &p = a.spots[i].readings[k], &q = b.spots[i].readings[k];
      hold(p.mm == q.mm && p.step_mm == q.step_mm, "a reading is the same");
      hold(p.as_typed == q.as_typed && p.note == q.note, "its words are the same");
    }
  }
}

inline void hold_same(const check::Check& a, const check::Check& b) {
  hold(a.station == b.station && a.setup == b.setup && a.second_setup == b.second_setup, "station and setup");
  hold(a.date == b.date && a.measured == b.measured, "the days are the same");
  hold(a.test == b.test && a.form == b.form && a.pieces == b.pieces, "the test is the same");
  hold(a.by == b.by && a.rail == b.rail && a.blade == b.blade && a.note == b.note, "the words are the same");
  hold(a.caliper_id == b.caliper_id && a.unit == b.unit, "caliper and unit are the same");
  hold(a.caliper.has_value() == b.caliper.has_value(), "a caliper stays");
  if (a.caliper) hold_same(*a.caliper, *b.caliper);
  hold(a.tolerance.has_value() == b.tolerance.has_value(), "a tolerance stays");
  if (a.tolerance) hold(a.tolerance->angle == b.tolerance->angle, "the tolerance is the same");
  hold(a.panel_size.has_value() == b.panel_size.has_value(), "a panel's size stays");
  if (a.panel_size)
    hold(a.panel_size->width_mm == b.panel_size->width_mm &&
             a.panel_size->depth_mm == b.panel_size->depth_mm &&
             a.panel_size->thickness_mm == b.panel_size->thickness_mm,
         "the panel is the same");
  hold(a.strips.size() == b.strips.size(), "there are as many strips");
  for (std::size_t i = 0; i < a.strips.size(); ++i) hold_same(a.strips[i], b.strips[i]);
}

inline void hold_finite(const check::Check& check) {
  hold(!check.strips.empty(), "a check has strips");
  for (const auto& strip : check.strips)
    for (const auto& spot : strip.spots) {
      hold(spot.position_mm >= 0 && spot.position_mm <= check::kMostPositionMm, "a place is on a strip");
      hold(!spot.readings.empty(), "a place was read");
      for (const auto& reading : spot.readings)
        hold(std::isfinite(reading.mm) && std::isfinite(reading.step_mm) && reading.step_mm > 0,
             "a reading is finite");
    }
}

}  // namespace quarterturn::fuzz
