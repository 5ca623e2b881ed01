// SPDX-License-Identifier: MIT
/// \file hole.hpp
/// The name of a hole: column letter(s), row number, from the operator's left front corner: A1, E10, AA3.
#pragma once

#include <compare>
#include <string>
#include <string_view>

namespace quarterturn::station {

struct Hole {
  int column = 1;  ///< 1 = A, counted to the operator's right
  int row = 1;     ///< 1 = nearest the operator

  [[nodiscard]] std::string name() const;
  auto operator<=>(const Hole&) const = default;
};

/// \throws units::InputError unless letters (at most three) then a number from 1 to 9999
Hole parse_hole(std::string_view text);

}  // namespace quarterturn::station
