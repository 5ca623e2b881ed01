// SPDX-License-Identifier: MIT
/// \file outcomes.hpp
/// Requests that several tests start from. The figures are invented: the scenery workshop's station `dock`.
#pragma once

#include "app/run_check.hpp"
#include "app/typed_readings.hpp"

namespace quarterturn::test {

inline check::Check ends_check() {
  check::Check check;
  app::Ends ends;
  ends.fence_end = app::readings_of("22.74 22.73 22.75", "fence end", units::Unit::mm);
  ends.free_end = app::readings_of("22.14 22.13 22.15", "free end", units::Unit::mm);
  ends.apart_mm = 525;
  check.strips = {app::strip_of(ends, 1, 1, 5)};
  return check;
}

/// One strip of a five-cut, sides and rail baseline known.
inline app::CheckRequest ends_request() {
  app::CheckRequest request;
  request.check = ends_check();
  request.bare.keep = station::Side::left;
  request.bare.panel_side = station::PanelSide::before;
  request.bare.rail_baseline_mm = 768;
  request.bare.rail_on_face = station::Side::right;
  request.tolerance = units::parse_tolerance("0.10 over 600");
  return request;
}

inline station::Station dock() {
  station::Station station;
  station.name = "dock";
  station.grid.pitch = units::Length::from_mm(96);
  station.grid.columns = 9;
  station.grid.rows = 11;
  for (const char* name : {"tall-1", "tall-2", "low-1", "low-2"}) {
    station.dogs[name] = {name, units::Length::from_mm(20), station::Held::screwed, {}, {}, {}};
  }
  station::Setup setup;
  setup.name = "crosscut";
  setup.rail = {{station::parse_hole("E2"), "tall-1"}, {station::parse_hole("E10"), "tall-2"}};
  setup.fence = {{station::parse_hole("A9"), "low-1"}, {station::parse_hole("D9"), "low-2"}};
  setup.tolerance = units::parse_tolerance("0.10 over 600");
  station.setups["crosscut"] = setup;
  station.shims.push_back(
      {"foil tape", units::Length::from_mm(0.07), units::Length::from_mm(0.005), 8, false});
  station.calipers.push_back({"digital", "digital"});
  return station;
}

inline app::CheckRequest station_request() {
  app::CheckRequest request;
  request.check = ends_check();
  request.station = dock();
  return request;
}

}  // namespace quarterturn::test
