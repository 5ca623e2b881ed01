// SPDX-License-Identifier: MIT
/// \file picture_parts.hpp
/// What several drawings of reports share: axes in the person's unit.
#pragma once

#include <string>

#include "report/svg.hpp"
#include "units/length.hpp"
#include "units/number.hpp"

namespace quarterturn::report {

inline double in_unit(double mm, units::Unit unit) {
  return unit == units::Unit::mm ? mm : mm / units::kMmPerInch;
}
inline const char* unit_word(units::Unit unit) {
  return unit == units::Unit::mm ? "mm" : "in";
}
/// `In mm`, `In inches`
inline const char* in_words(units::Unit unit) {
  return unit == units::Unit::mm ? "In mm" : "In inches";
}

/// An upright axis at the left of `frame` with numbers and lines across, in the person's unit.
/// \param y  mm to user units
void upright_axis(Drawing& drawing, const Box& frame, const Scale& y, units::Unit unit, int most);
/// A level axis under `frame` with numbers. \param lines  also lines upwards
void level_axis(Drawing& drawing, const Box& frame, const Scale& x, units::Unit unit, int most, bool lines);

/// Places for a label around a point, the usual ones first.
std::vector<Spotted> around(Point at, double away);

}  // namespace quarterturn::report
