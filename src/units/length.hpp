// SPDX-License-Identifier: MIT
/// \file length.hpp
/// A length that leaves its type only by naming a unit: `width.mm()`.
///
/// Never converts implicitly from or to a number, nor to an angle (tests/units/length_test.cpp holds what
/// must not compile).
#pragma once

#include <compare>

namespace quarterturn::units {

inline constexpr double kMmPerInch = 25.4;  // exact by definition (international inch)

class Length {
 public:
  constexpr Length() = default;
  static constexpr Length from_mm(double mm) { return Length(mm); }
  static constexpr Length from_inch(double inch) { return Length(inch * kMmPerInch); }

  [[nodiscard]] constexpr double mm() const { return mm_; }
  [[nodiscard]] constexpr double inch() const { return mm_ / kMmPerInch; }

  constexpr auto operator<=>(const Length&) const = default;
  constexpr Length operator-() const { return Length(-mm_); }
  friend constexpr Length operator+(Length a, Length b) { return Length(a.mm_ + b.mm_); }
  friend constexpr Length operator-(Length a, Length b) { return Length(a.mm_ - b.mm_); }
  friend constexpr Length operator*(double k, Length a) { return Length(k * a.mm_); }
  friend constexpr Length operator*(Length a, double k) { return Length(k * a.mm_); }
  friend constexpr Length operator/(Length a, double k) { return Length(a.mm_ / k); }
  /// Ratio of two lengths, a plain number.
  friend constexpr double operator/(Length a, Length b) { return a.mm_ / b.mm_; }

 private:
  explicit constexpr Length(double mm) : mm_(mm) {}
  double mm_ = 0.0;
};

}  // namespace quarterturn::units
