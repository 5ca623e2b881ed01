// SPDX-License-Identifier: MIT
/// \file strip_line.hpp
/// The line that a fit lays through the readings of one strip, and which of them findings name.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "correct/outcome.hpp"

namespace quarterturn::report {

/// Through the mean of all readings, falling by the taper.
struct StripLine {
  double position_mm = 0, width_mm = 0, taper_rad = 0;
  [[nodiscard]] double at(double position) const { return width_mm - taper_rad * (position - position_mm); }
};

inline StripLine strip_line(const check::Strip& strip, double taper_rad) {
  StripLine line;
  double readings = 0;
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) {
      line.position_mm += spot.position_mm;
      line.width_mm += reading.mm;
      readings += 1;
    }
  }
  line.position_mm /= readings;
  line.width_mm /= readings;
  line.taper_rad = taper_rad;
  return line;
}

/// Whether a finding names this reading as one that does not fit; or its whole spot, and no reading of it.
inline bool is_named(const correct::Outcome& outcome, const check::Strip& strip, const check::Spot& spot,
                     const check::Reading& reading) {
  constexpr std::array<std::string_view, 5> kReadings{"unusual-reading", "tilted-jaw", "swapped-digits",
                                                      "misread", "inch-or-mm"};
  constexpr std::array<std::string_view, 2> kSpots{"torn-end", "middle-off-line"};
  constexpr double kSame = 1e-9;
  bool whole_spot = false, others = false;
  for (const auto& finding : outcome.fit.findings) {
    const auto& where = finding.where;
    if (!where.position_mm || std::fabs(*where.position_mm - spot.position_mm) > kSame) continue;
    if (where.panel.value_or(strip.panel) != strip.panel) continue;
    if (where.to_cut.value_or(strip.to_cut) != strip.to_cut) continue;
    if (std::find(kReadings.begin(), kReadings.end(), finding.code) != kReadings.end()) {
      const auto value = finding.numbers.find("value_mm");
      if (value != finding.numbers.end() && std::fabs(value->second - reading.mm) <= kSame) return true;
      others = true;
    } else if (std::find(kSpots.begin(), kSpots.end(), finding.code) != kSpots.end()) {
      whole_spot = whole_spot || finding.numbers.contains("off_mm");
    }
  }
  return whole_spot && !others;
}

inline bool has_named(const correct::Outcome& outcome, const check::Strip& strip) {
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) {
      if (is_named(outcome, strip, spot, reading)) return true;
    }
  }
  return false;
}

}  // namespace quarterturn::report
