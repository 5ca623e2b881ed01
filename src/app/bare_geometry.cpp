// SPDX-License-Identifier: MIT
#include "app/bare_geometry.hpp"

#include <numbers>

#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

constexpr double kLeastBaselineMm = 20, kMostBaselineMm = 10000;

double checked(double mm, const char* what) {
  if (!(mm >= kLeastBaselineMm && mm <= kMostBaselineMm)) {
    throw units::InputError(what, units::shortest(mm), "a distance of two dogs' holes from 20 to 10000 mm",
                            {}, "measure from the middle of one dog to the middle of the other");
  }
  return mm;
}

station::ContactLine line(double baseline_mm, station::Vec u, station::Vec n) {
  station::ContactLine made;
  made.baseline_mm = baseline_mm;
  made.u = u;
  made.n = n;
  made.m = {-u.y, u.x};
  return made;
}

station::Vec rail_normal(std::optional<station::Side> face) {
  if (!face) return {0, 0};
  return {*face == station::Side::right ? 1.0 : -1.0, 0};
}

}  // namespace

std::optional<station::Geometry> geometry_of_bare(const BareSetup& bare) {
  if (!bare.rail_baseline_mm && !bare.fence_baseline_mm && !(bare.keep && bare.panel_side))
    return std::nullopt;
  station::Geometry geometry;
  geometry.nominal_rad = std::numbers::pi / 2;
  if (bare.keep) geometry.keep = *bare.keep;
  if (bare.panel_side) geometry.panel_side = *bare.panel_side;
  if (bare.keep && bare.panel_side) geometry.q = station::corner_sign(*bare.keep, *bare.panel_side);
  if (bare.rail_baseline_mm) {
    geometry.rail =
        line(checked(*bare.rail_baseline_mm, "rail baseline"), {0, 1}, rail_normal(bare.rail_on_face));
  }
  if (bare.fence_baseline_mm) {
    // The panel lies against the fence on its own side, so that is where the fence dogs are touched.
    const double side = bare.panel_side ? (*bare.panel_side == station::PanelSide::beyond ? 1.0 : -1.0) : 0.0;
    geometry.fence = line(checked(*bare.fence_baseline_mm, "fence baseline"), {1, 0}, {0, side});
  }
  return geometry;
}

}  // namespace quarterturn::app
