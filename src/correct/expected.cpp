// SPDX-License-Identifier: MIT
#include <cmath>

#include "correct/correct.hpp"

namespace quarterturn::correct {

// (M48) Delta = tau D q d_eps;  expect w_0 + Delta;  u^2 = D^2 [tau^2 (var eta + u_a^2) + |T_j|^2 sigma_r^2 +
// v]
Expected expected_strip(const check::Fit& fit, double apart_mm, double turns, double squares,
                        double last_difference_mm, int q, double moved_rad, double u_action_rad,
                        double strip_variance_rad2) {
  const double change_mm = turns * apart_mm * q * moved_rad;
  const double variance = turns * turns * (fit.eta.u * fit.eta.u + u_action_rad * u_action_rad) +
                          squares * fit.seating_rad * fit.seating_rad + strip_variance_rad2;
  Expected expected{};
  expected.was_mm = last_difference_mm;
  expected.expect_mm = last_difference_mm + change_mm;
  expected.u_mm = apart_mm * std::sqrt(variance);
  expected.wrong_dog_mm = last_difference_mm - change_mm;
  expected.f_wrong_before_mm = change_mm - last_difference_mm;
  expected.f_wrong_now_mm = -expected.expect_mm;
  return expected;
}

}  // namespace quarterturn::correct
