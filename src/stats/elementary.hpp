// SPDX-License-Identifier: MIT
/// \file elementary.hpp
/// Logarithm, exponential, sine and cosine in additions, multiplications and divisions alone: the same bits
/// in one number and in many at once, on every machine.
///
/// In       one double, or eight of them as one value (lanes.hpp)
/// Out      the function's value
/// Maths    polynomials about zero after a reduction that loses nothing; METHOD.md (M121)
/// Assumes  each function says what it takes; nothing is checked
/// Accuracy 2 units of the last place against the library's (tests/stats/elementary_test.cpp)
#pragma once

#include <bit>
#include <cmath>
#include <cstdint>

// All of it has to become part of the function that it is called in, which may be compiled for a machine of
// its own.
#define QUARTERTURN_INLINE [[gnu::always_inline]] inline

namespace quarterturn::stats {

/// What a number and its bits have to offer; lanes.hpp has the same for eight.
template <class D>
struct Lane;

template <>
struct Lane<double> {
  using Bits = std::uint64_t;
  static Bits bits(double x) { return std::bit_cast<Bits>(x); }
  static double real(Bits x) { return std::bit_cast<double>(x); }
  static double sqrt(double x) { return std::sqrt(x); }
  static double select(bool which, double yes, double no) { return which ? yes : no; }
};

inline constexpr double kLn2High = 0x1.62e42fefa38p-1, kLn2Low = 0x1.ef35793c7673p-45;
inline constexpr double kRounder = 0x1.8p52;         // added to a small number it leaves that as a whole one
inline constexpr double kQuarterRounder = 0x1.8p50;  // and this as a whole number of quarters

/// Natural logarithm of a normal number above 0.
template <class D>
QUARTERTURN_INLINE D log_of(D x) {
  using L = Lane<D>;
  constexpr std::uint64_t kRootHalf = 0x3fe6a09e667f3bcd, kOne = 0x3ff0000000000000,
                          kTwo52 = 0x4330000000000000;
  const auto shifted = L::bits(x) + (kOne - kRootHalf);
  const D power = L::real((shifted >> 52) | kTwo52) - (0x1p52 + 1023);
  const D m = L::real((shifted & 0x000fffffffffffff) + kRootHalf);  // from sqrt(1/2) to sqrt 2
  const D s = (m - 1.0) / (m + 1.0), z = s * s;
  // ln m = 2(s + s z series), the series' coefficients those whose greatest relative error in ln m is least
  D series = z * 0x1.2f02e5a3bf603p-4 + 0x1.39a1fb9dac4fdp-4;
  series = series * z + 0x1.74663c5375575p-4;
  series = series * z + 0x1.c71c52164caeep-4;
  series = series * z + 0x1.24924941e0c26p-3;
  series = series * z + 0x1.999999997fee9p-3;
  series = series * z + 0x1.5555555555592p-2;
  const D twice = s + s;
  return power * kLn2High + (twice + (twice * (z * series) + power * kLn2Low));
}

/// exp(x) - 1 for x from 0 to 700.
template <class D>
QUARTERTURN_INLINE D expm1_of(D x) {
  using L = Lane<D>;
  const D rounded = x * (1 / 0.693147180559945309417) + kRounder, k = rounded - kRounder;
  const D r = (x - k * kLn2High) - k * kLn2Low;
  D series = r * (1.0 / 87178291200) + 1.0 / 6227020800;
  series = series * r + 1.0 / 479001600;
  series = series * r + 1.0 / 39916800;
  series = series * r + 1.0 / 3628800;
  series = series * r + 1.0 / 362880;
  series = series * r + 1.0 / 40320;
  series = series * r + 1.0 / 5040;
  series = series * r + 1.0 / 720;
  series = series * r + 1.0 / 120;
  series = series * r + 1.0 / 24;
  series = series * r + 1.0 / 6;
  series = series * r + 0.5;
  const D p = r + (r * r) * series;
  const D scale = L::real((L::bits(rounded) << 52) + 0x3ff0000000000000);
  return scale * p + (scale - 1.0);
}

template <class D>
struct OnCircle {
  D cos, sin;
};

/// Cosine and sine of a whole turn's share v, from 0 to 1.
template <class D>
QUARTERTURN_INLINE OnCircle<D> on_circle(D v) {
  using L = Lane<D>;
  const D rounded = v + kQuarterRounder, w = v - (rounded - kQuarterRounder), z = w * w;
  // sin 2 pi w = s w, least greatest relative error; cos 2 pi w = c, least greatest error
  D s = z * 0x1.e3eed5ce527d7p+1 - 0x1.e30063a0298dep+3;
  s = s * z + 0x1.50782fca38b8ap+5;
  s = s * z - 0x1.32d2cce2d5360p+6;
  s = s * z + 0x1.466bc67758700p+6;
  s = s * z - 0x1.4abbce625be41p+5;
  s = s * z + 0x1.921fb54442d18p+2;
  s = s * w;
  D c = z * 0x1.f3ef42330ef11p+2 - 0x1.a6ca009625143p+4;
  c = c * z + 0x1.e1f4fbfc011d7p+5;
  c = c * z - 0x1.55d3c7dcb5f55p+6;
  c = c * z + 0x1.03c1f081b14bep+6;
  c = c * z - 0x1.3bd3cc9be45a5p+4;
  c = c * z + 1.0;
  const auto quadrant = L::bits(rounded);
  const auto odd = (quadrant & 1) != 0;
  const D cosine = L::select(odd, s, c), sine = L::select(odd, c, s);
  return {L::real(L::bits(cosine) ^ (((quadrant + 1) & 2) << 62)),
          L::real(L::bits(sine) ^ ((quadrant & 2) << 62))};
}

/// Two standard normal deviates from two uniform ones, u above 0 (M121).
template <class D>
QUARTERTURN_INLINE OnCircle<D> normal_pair(D u, D v) {
  const D radius = Lane<D>::sqrt(log_of(u) * -2.0);
  const OnCircle<D> at = on_circle(v);
  return {radius * at.cos, radius * at.sin};
}

/// Student's t on dof from two uniform deviates, u above 0 (M121).
template <class D>
QUARTERTURN_INLINE D t_of(D u, D v, double dof) {
  const D far = log_of(u) * (-2.0 / dof);
  const D x = Lane<D>::select(far < 700.0, far, far * 0.0 + 700.0);
  return Lane<D>::sqrt(expm1_of(x) * dof) * on_circle(v).cos;
}

}  // namespace quarterturn::stats
