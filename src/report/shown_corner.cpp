// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cmath>

#include "report/pictures.hpp"

namespace quarterturn::report {
namespace {

using station::Vec;

constexpr double kWidestErrorRad = 0.14;  // of what is drawn: 8 degrees
constexpr double kMostTimes = 2000;

double angle_of(Vec a) {
  return std::atan2(a.y, a.x);
}

/// 1, 2 or 5 times a power of ten, at most `value`.
double round_times(double value) {
  const double power = std::pow(10.0, std::floor(std::log10(value)));
  const double lead = value / power;
  return power * (lead >= 5 ? 5 : lead >= 2 ? 2 : 1);
}

}  // namespace

ShownCorner shown_corner(const correct::Outcome& outcome, const station::Geometry& geometry) {
  const auto& eta = outcome.fit.eta;
  const double half = eta.unknown ? 0 : eta.half_width;
  ShownCorner shown;
  shown.times = std::min(kMostTimes, round_times(kWidestErrorRad / std::max(std::fabs(eta.x) + half, 1e-9)));
  const auto &rail = *geometry.rail, &fence = *geometry.fence;
  // Towards the kept side of the rail along the fence; into the panel along the rail.
  const Vec to_kept = (geometry.keep == station::Side::left ? 1.0 : -1.0) * rail.m;
  const Vec along = dot(fence.u, to_kept) > 0 ? fence.u : -1.0 * fence.u;
  const Vec into = dot(rail.u, fence.n) > 0 ? rail.u : -1.0 * rail.u;
  shown.along_fence_rad = angle_of(along);
  shown.square_rad = angle_of(into);
  // A corner that opens turns the cut away from the edge on the fence.
  const double opens = along.x * into.y - along.y * into.x > 0 ? 1 : -1;
  shown.cut_rad = shown.square_rad + opens * shown.times * eta.x;
  shown.cut_low_rad = shown.square_rad + opens * shown.times * (eta.x - half);
  shown.cut_high_rad = shown.square_rad + opens * shown.times * (eta.x + half);
  return shown;
}

}  // namespace quarterturn::report
