// SPDX-License-Identifier: MIT
/// \file agreement.hpp
/// Agreement counted in digits, as certified data sets are judged.
#pragma once

#include <cmath>

namespace quarterturn::test {

/// Log relative error: -log10 |x - certified|/|certified|, or of |x| itself when the certified value is 0; at
/// most 15, since certified values are printed to 15 digits. 0 when x is not a number.
inline double digits_of_agreement(double x, long double certified) {
  if (std::isnan(x)) return 0;
  const long double scale = certified == 0 ? 1 : std::fabs(certified);
  const long double error = std::fabs(x - certified) / scale;
  if (error <= 1e-15L) return 15;
  return static_cast<double>(-std::log10(error));
}

}  // namespace quarterturn::test
