// SPDX-License-Identifier: MIT
#include "check/resolution.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

namespace quarterturn::check {

namespace {

constexpr int kEnoughToSeeMultiples = 6;

bool all_multiples(const Check& check, double step) {
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) {
      for (const Reading& reading : spot.readings) {
        const double ratio = reading.mm / step;
        if (std::fabs(ratio - std::round(ratio)) > 1e-6) return false;
      }
    }
  }
  return true;
}

std::size_t different_readings(const Check& check, double step) {
  std::set<double> seen;  // a step can be so small that no whole number holds their count
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) {
      for (const Reading& reading : spot.readings) seen.insert(std::round(reading.mm / step));
    }
  }
  return seen.size();
}

/// Of a gap that is closed 0 says that not even the thinnest leaf enters, however many decimals are typed.
bool is_closed(const Check& check, const Reading& reading) {
  return check.gaps() && reading.mm == 0 && check.caliper;
}

}  // namespace

double resolution_mm(const Check& check) {
  double step = std::numeric_limits<double>::infinity();
  int readings = 0;
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) {
      for (const Reading& reading : spot.readings) {
        if (!is_closed(check, reading)) step = std::min(step, reading.step_mm);
        ++readings;
      }
    }
  }
  if (readings == 0) return 0;
  if (!std::isfinite(step)) return check.caliper->resolution_mm;
  if (readings >= kEnoughToSeeMultiples) {
    // Readings that are merely equal are all multiples of something: so many different ones must agree.
    for (const auto& [multiple, least] : {std::pair{50.0, 2u}, {10.0, 2u}, {5.0, 3u}, {2.0, 4u}}) {
      if (all_multiples(check, multiple * step) && different_readings(check, step) >= least) {
        step *= multiple;
        break;
      }
    }
  }
  return check.caliper ? std::max(step, check.caliper->resolution_mm) : step;
}

SpotVariance spot_variance(double s2, int repeats, double resolution) {
  const double rounding = resolution * resolution / 12.0, share = 1.0 / repeats;
  if (s2 > 0 && std::sqrt(s2) >= resolution / 2) return {share, 0.0};
  if (s2 * share > rounding) return {share, 0.0};
  return {0.0, rounding};
}

}  // namespace quarterturn::check
