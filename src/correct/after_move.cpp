// SPDX-License-Identifier: MIT
#include "correct/after_move.hpp"

#include <algorithm>

#include <cmath>

namespace quarterturn::correct {

std::vector<AfterMove> after_move(const Expected& expected, double measured_mm) {
  const double reach = 2 * expected.u_mm;
  std::vector<AfterMove> near;
  const auto hold = [&](double value_mm, AfterMove meaning) {
    if (std::fabs(measured_mm - value_mm) <= reach) near.push_back(meaning);
  };
  hold(expected.expect_mm, AfterMove::done);
  hold(expected.wrong_dog_mm, AfterMove::wrong_dog_or_face);
  hold(expected.f_wrong_before_mm, AfterMove::f_wrong_before);
  hold(expected.was_mm, AfterMove::nothing_moved);
  if (std::fabs(expected.f_wrong_now_mm) > reach) hold(expected.f_wrong_now_mm, AfterMove::f_wrong_now);
  return near;
}

double carried_mm(const check::Strip& strip, double apart_mm) {
  const auto& first = strip.spots.front();
  const auto& last = strip.spots.back();
  return (check::mean_mm(first.readings) - check::mean_mm(last.readings)) * apart_mm /
         (last.position_mm - first.position_mm);
}

bool reads_amiss(const Expected& expected, double measured_mm) {
  const auto meanings = after_move(expected, measured_mm);
  return !meanings.empty() && std::ranges::find(meanings, AfterMove::done) == meanings.end();
}

}  // namespace quarterturn::correct
