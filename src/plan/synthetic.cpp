// SPDX-License-Identifier: MIT
#include "plan/synthetic.hpp"

#include <cmath>
#include <vector>

#include "check/test_cost.hpp"

namespace quarterturn::plan {
namespace {

// No multiple of any step, so that a fit does not take readings that nobody made for coarse ones.
constexpr double kWidthMm = check::kStripMm + 0.0031415;

/// Orthogonal to level and slope, of length 1; zero with two places.
std::vector<double> bend_of(const check::Strip& strip) {
  const auto n = static_cast<double>(strip.spots.size());
  double mean = 0, s2 = 0, s3 = 0, s22 = 0;
  for (const auto& spot : strip.spots) mean += spot.position_mm / n;
  std::vector<double> d, bend;
  for (const auto& spot : strip.spots) d.push_back(spot.position_mm - mean);
  for (const double x : d) {
    s2 += x * x;
    s3 += x * x * x;
  }
  for (const double x : d) bend.push_back(x * x - s2 / n - s3 / s2 * x);
  for (const double b : bend) s22 += b * b;
  const double length = std::sqrt(s22);
  for (double& b : bend) b = strip.spots.size() > 2 ? b / length : 0.0;
  return bend;
}

}  // namespace

check::Strip blank_strip(int panel, int last_cut, int spots, int readings, double apart_mm) {
  check::Strip strip;
  strip.panel = panel;
  strip.from_cut = last_cut - 4;
  strip.to_cut = last_cut;
  for (int i = 0; i < spots; ++i) {
    check::Spot spot;
    spot.position_mm = check::kFromEndMm + apart_mm * i / (spots - 1);
    spot.readings.resize(static_cast<std::size_t>(readings));
    strip.spots.push_back(std::move(spot));
  }
  write_strip(strip, 0, 0, 0);
  return strip;
}

int pure_dof(const check::Strip& strip) {
  int dof = 0;
  for (const auto& spot : strip.spots) dof += static_cast<int>(spot.readings.size()) - 1;
  return dof;
}

int line_dof(const check::Strip& strip) {
  return static_cast<int>(strip.spots.size()) - 2;
}

void write_strip(check::Strip& strip, double taper_rad, double ss_pure, double ss_line) {
  const std::vector<double> bend = bend_of(strip);
  int repeated = 0;
  for (const auto& spot : strip.spots) repeated += spot.readings.size() > 1 ? 1 : 0;
  const double apart = repeated > 0 ? std::sqrt(ss_pure / (2 * repeated)) : 0.0;
  for (std::size_t i = 0; i < strip.spots.size(); ++i) {
    auto& spot = strip.spots[i];
    const double width = kWidthMm - taper_rad * spot.position_mm + std::sqrt(ss_line) * bend[i];
    for (auto& reading : spot.readings) reading.mm = width;
    if (spot.readings.size() > 1) {
      spot.readings[0].mm += apart;
      spot.readings[1].mm -= apart;
    }
  }
}

}  // namespace quarterturn::plan
