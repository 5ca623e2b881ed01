// SPDX-License-Identifier: MIT
/// \file gap_checks.hpp
/// Tests that read a gap, as checks: simulated ones, drawn seating by seating as METHOD.md (M95)-(M97) has
/// them, and joints that the exact oracle laid.
///
/// In       a form, how many joints, scatters [mm, rad]; or gaps from exact outlines
/// Out      a Check. No corner count is formed: each joint adds its corners one by one
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "check/check.hpp"
#include "support/oracle_gap.hpp"
#include "support/simulate.hpp"

namespace quarterturn::test {

/// Joints of one form; of halves every two make a board, cut from one end and from the other.
struct GapDesign {
  check::Form form = check::Form::pair;
  int joints = 5;
  int pieces = 4;      ///< of a frame
  int outer_sign = 1;  ///< -1: the outer edge of a frame lay away from the fence
  std::vector<double> positions = {20, 280, 540};
  int repeats = 2;
  double sigma_m = 0.02, sigma_f = 0.01, sigma_r = 1e-4;  ///< mm, mm, rad
  double board_taper = 0;                                 ///< sd of kappa [rad]
  double eta = 2e-4;
  double step = 0.01;  ///< of the feeler [mm]; 0: not rounded
  double span = 384;

  [[nodiscard]] bool frame() const { return form == check::Form::separate || form == check::Form::shared; }
  [[nodiscard]] double seating_mm() const { return sigma_r * span / std::numbers::sqrt2; }
  /// One joint's angle. \param kappa  what the board's own taper adds
  [[nodiscard]] double joint(std::mt19937_64& random, double kappa) const;
  [[nodiscard]] check::Check check(std::mt19937_64& random) const;
};

inline double GapDesign::joint(std::mt19937_64& random, double kappa) const {
  const auto e = [&] { return sigma_r * normal(random); };
  if (form == check::Form::pair) {
    const double first = eta + e(), second = eta + e(), lying = e() + e();
    return first + second + lying;
  }
  if (form == check::Form::halves) {
    const double corner = eta + e(), lying = e() + e();
    return 2 * corner + kappa + lying;
  }
  double sum = 0;
  if (form == check::Form::separate) {
    for (int end = 0; end < 2 * pieces; ++end) sum += outer_sign * (eta + e());
    return sum;
  }
  std::vector<double> cuts;
  for (int cut = 0; cut <= pieces; ++cut) cuts.push_back(eta + e());
  for (std::size_t piece = 0; piece < static_cast<std::size_t>(pieces); ++piece)
    sum += outer_sign * (cuts[piece] + cuts[piece + 1]);  // each piece lies between two cuts
  return sum;
}

inline check::Check GapDesign::check(std::mt19937_64& random) const {
  check::Check out;
  out.test = frame() ? check::TestKind::frame : check::TestKind::turn_over;
  out.form = form;
  out.pieces = frame() ? pieces : 0;
  out.outer_sign = frame() ? outer_sign : 1;
  double kappa = 0;
  const double middle = (positions.front() + positions.back()) / 2;
  for (int j = 1; j <= joints; ++j) {
    kappa = j % 2 != 0 ? board_taper * normal(random) : -kappa;
    const double theta = joint(random, kappa);
    check::Strip strip{j, 0, 0, {}};
    for (const double p : positions) {
      check::Spot spot{p, {}};
      const double there = 3.0 + theta * (middle - p) + sigma_f * normal(random);
      for (int k = 0; k < repeats; ++k) {
        check::Reading reading;
        reading.mm = there + sigma_m * normal(random);
        if (step > 0) reading.mm = std::round(reading.mm / step) * step;
        reading.step_mm = step > 0 ? step : 1e-6;
        spot.readings.push_back(reading);
      }
      strip.spots.push_back(spot);
    }
    out.strips.push_back(strip);
  }
  return out;
}

/// The gap as somebody without a scatter would read it, three places, 20 mm from `length_mm`'s ends.
inline check::Strip read_gap(const OracleGap& gap, int number, double length_mm) {
  check::Strip strip{number, 0, 0, {}};
  for (const double p : {20.0, length_mm / 2, length_mm - 20}) {
    check::Reading reading;
    reading.mm = std::max(0.0, gap.at(p));
    reading.step_mm = 1e-6;
    strip.spots.push_back({p, {reading, reading}});
  }
  return strip;
}

}  // namespace quarterturn::test
