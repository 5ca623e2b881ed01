// SPDX-License-Identifier: MIT
#include "check/bow.hpp"

namespace quarterturn::check {

double bow_bias(double h_mm, double length_mm, double f1_mm, double f2_mm) {
  return 4 * h_mm * (f1_mm + f2_mm - length_mm) / (length_mm * length_mm);
}

double bow_in_corner(double h_mm, double length_mm, double rail_middle_mm) {
  return 8 * h_mm / (length_mm * length_mm) * (rail_middle_mm - length_mm / 2);
}

double bow_in_strip(double h_mm, double length_mm, double rail_middle_mm, double f1_mm, double f2_mm,
                    double strip_and_kerf_mm) {
  return 8 * h_mm / (length_mm * length_mm) *
         (rail_middle_mm - length_mm + (f1_mm + f2_mm) / 2 + strip_and_kerf_mm / 4);
}

double bow_over(double h_mm, double tested_mm, double length_mm) {
  const double ratio = length_mm / tested_mm;
  return h_mm * ratio * ratio;
}

}  // namespace quarterturn::check
