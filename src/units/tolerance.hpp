// SPDX-License-Identifier: MIT
/// \file tolerance.hpp
/// What the owner of a table calls square: an angle, or so many mm over so many mm of panel edge.
#pragma once

#include <optional>
#include <string_view>

#include "units/angle.hpp"
#include "units/number.hpp"

namespace quarterturn::units {

struct Tolerance {
  Angle angle;                   ///< largest |corner error| allowed, > 0
  std::optional<Length> offset;  ///< as stated: the mm of 'mm over mm'; empty when an angle was stated
  std::optional<Length> over;    ///< as stated: the panel edge it holds over

  static Tolerance from_deg(double deg) { return {Angle::from_deg(deg), std::nullopt, std::nullopt}; }
  static Tolerance from_mm_over(Length offset, Length over) {
    return {Angle::from_rad(offset / over), offset, over};
  }
};

/// `0.10 over 600`, `0.10 mm over 600 mm`, `0.004 in over 24 in`, `0.01 deg`. Bare numbers carry `unit`.
/// \throws InputError when it is neither, or not above zero, or above 1 degree
Tolerance parse_tolerance(std::string_view text, Unit unit = Unit::mm);

/// The degrees with the fewest digits that from_deg turns into exactly this angle: what a person wrote.
double stated_deg(Angle angle);

}  // namespace quarterturn::units
