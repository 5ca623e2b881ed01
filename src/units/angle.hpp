// SPDX-License-Identifier: MIT
/// \file angle.hpp
/// A plane angle, counter-clockwise positive seen from above, that leaves its type only by naming a unit.
#pragma once

#include <compare>
#include <numbers>

#include "units/length.hpp"

namespace quarterturn::units {

class Angle {
 public:
  constexpr Angle() = default;
  static constexpr Angle from_rad(double rad) { return Angle(rad); }
  static constexpr Angle from_deg(double deg) { return Angle(deg * std::numbers::pi / 180.0); }

  [[nodiscard]] constexpr double rad() const { return rad_; }
  [[nodiscard]] constexpr double deg() const { return rad_ * 180.0 / std::numbers::pi; }
  /// Small-angle offset at the end of a panel edge of length `over` (angle × length; 20 mrad: 1.3e-4
  /// relative).
  [[nodiscard]] constexpr Length over(Length over) const { return rad_ * over; }

  constexpr auto operator<=>(const Angle&) const = default;
  constexpr Angle operator-() const { return Angle(-rad_); }
  friend constexpr Angle operator+(Angle a, Angle b) { return Angle(a.rad_ + b.rad_); }
  friend constexpr Angle operator-(Angle a, Angle b) { return Angle(a.rad_ - b.rad_); }
  friend constexpr Angle operator*(double k, Angle a) { return Angle(k * a.rad_); }
  friend constexpr Angle operator/(Angle a, double k) { return Angle(a.rad_ / k); }
  friend constexpr double operator/(Angle a, Angle b) { return a.rad_ / b.rad_; }

 private:
  explicit constexpr Angle(double rad) : rad_(rad) {}
  double rad_ = 0.0;
};

}  // namespace quarterturn::units
