// SPDX-License-Identifier: MIT
#include "units/tolerance.hpp"

#include <array>
#include <string>

#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::units {

namespace {

constexpr double kLargestDeg =
    1.0;  // a slip such as 10 over 600 is caught; no one calls more than that square
constexpr const char* kForms =
    "a length over a panel edge such as 0.10 over 600, or an angle such as 0.01 deg";

void held_to_range(const Tolerance& tolerance, std::string_view text) {
  if (tolerance.angle.rad() > 0 && tolerance.angle.deg() <= kLargestDeg) return;
  throw InputError("tolerance", std::string(text), "above 0 and at most 1 degree (17 mm over 1000 mm)", {},
                   "0.10 over 600 means 0.10 mm out at the end of a 600 mm edge");
}

/// The number before `deg`, `degrees` or a degree sign; empty when no such word ends the text.
std::string_view before_degrees(std::string_view text) {
  const std::string small = lowered(text);
  constexpr std::array<std::string_view, 4> kWords{"degrees", "degree", "deg", "°"};
  for (const std::string_view word : kWords) {
    if (small.ends_with(word)) return trimmed(text.substr(0, text.size() - word.size()));
  }
  return {};
}

}  // namespace

Tolerance parse_tolerance(std::string_view typed, Unit unit) {
  const std::string_view text = trimmed(typed);
  const std::size_t over = lowered(text).find("over");
  if (over == std::string::npos) {
    const std::string_view degrees = before_degrees(text);
    if (degrees.empty()) {
      throw InputError("tolerance", std::string(text), kForms, {},
                       text.empty() ? "" : "over which panel edge, or degrees?");
    }
    const Number number = parse_number(degrees, "tolerance");
    if (number.unit)
      throw InputError("tolerance", std::string(text), kForms, {},
                       "how far the far end of a panel may be off, over its length");
    const Tolerance out = Tolerance::from_deg(number.value);
    held_to_range(out, text);
    return out;
  }
  const Number offset = parse_number(text.substr(0, over), "tolerance");
  const Number edge = parse_number(text.substr(over + 4), "panel edge of the tolerance");
  // A unit typed once holds for both: nobody means 0.10 mm by '0.004 over 24 in'.
  const Unit bare = offset.unit.value_or(edge.unit.value_or(unit));
  const Unit bare_edge = edge.unit.value_or(bare);
  const Length edge_length = edge.length(bare_edge);
  if (edge_length.mm() <= 0)
    throw InputError("panel edge of the tolerance", edge.as_typed, "a length above 0", {},
                     "the panel's length over which it is measured, such as 600");
  const Tolerance out = Tolerance::from_mm_over(offset.length(bare), edge_length);
  held_to_range(out, text);
  return out;
}

double stated_deg(Angle angle) {
  return fewest_digits(angle.deg(), [&](double deg) { return Angle::from_deg(deg) == angle; })
      .value_or(angle.deg());
}

}  // namespace quarterturn::units
