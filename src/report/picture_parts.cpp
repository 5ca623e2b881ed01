// SPDX-License-Identifier: MIT
#include "report/picture_parts.hpp"

#include <algorithm>

#include "report/amounts.hpp"

namespace quarterturn::report {
namespace {

constexpr double kHalfLetter = 4;  // from the middle of small text to its baseline

/// In mm: the values of an axis that are round in the person's unit.
Ticks ticks_in(const Scale& scale, units::Unit unit, int most) {
  const double a = in_unit(scale.from, unit), b = in_unit(scale.to, unit);
  return ticks(std::min(a, b), std::max(a, b), most);
}

double mm_of(double value, units::Unit unit) {
  return unit == units::Unit::mm ? value : value * units::kMmPerInch;
}

}  // namespace

void upright_axis(Drawing& drawing, const Box& frame, const Scale& y, units::Unit unit, int most) {
  const Ticks marks = ticks_in(y, unit, most);
  for (const double value : marks.at) {
    const double at = y(mm_of(value, unit));
    drawing.line("q-grid", {frame.left, at}, {frame.right, at});
    const std::string text = fixed(value, marks.decimals);
    drawing.label("q-quiet", {{{frame.left - 6, at + kHalfLetter}, Anchor::end}}, text, kSmallSize);
  }
  drawing.line("q-axis", {frame.left, frame.top}, {frame.left, frame.bottom});
}

void level_axis(Drawing& drawing, const Box& frame, const Scale& x, units::Unit unit, int most, bool lines) {
  const Ticks marks = ticks_in(x, unit, most);
  for (const double value : marks.at) {
    const double at = x(mm_of(value, unit));
    drawing.line(lines ? Literal("q-grid") : Literal("q-axis"), {at, lines ? frame.top : frame.bottom},
                 {at, frame.bottom + 4});
    drawing.label("q-quiet", {{{at, frame.bottom + 17}, Anchor::middle}}, fixed(value, marks.decimals),
                  kSmallSize);
  }
  drawing.line("q-axis", {frame.left, frame.bottom}, {frame.right, frame.bottom});
}

std::vector<Spotted> around(Point at, double away) {
  const double d = away * 0.75;
  return {{{at.x + away, at.y + 4}, Anchor::start},     {{at.x - away, at.y + 4}, Anchor::end},
          {{at.x + d, at.y - d}, Anchor::start},        {{at.x + d, at.y + d + 9}, Anchor::start},
          {{at.x - d, at.y - d}, Anchor::end},          {{at.x - d, at.y + d + 9}, Anchor::end},
          {{at.x, at.y - away - 3}, Anchor::middle},    {{at.x, at.y + away + 12}, Anchor::middle},
          {{at.x + 2 * away, at.y + 4}, Anchor::start}, {{at.x - 2 * away, at.y + 4}, Anchor::end},
          {{at.x, at.y - 3 * away}, Anchor::middle},    {{at.x, at.y + 3 * away + 10}, Anchor::middle}};
}

}  // namespace quarterturn::report
