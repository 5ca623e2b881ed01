// SPDX-License-Identifier: MIT
/// \file drawing_parts.hpp
/// What a drawing and its words say alike.
#pragma once

#include <string>

#include "correct/outcome.hpp"

namespace quarterturn::report {

/// ` of panel 2`, where there is more than one.
inline std::string of_panel(const correct::Outcome& outcome, const check::Strip& strip) {
  return strip.panel > 1 && !outcome.check.gaps() ? " of panel " + std::to_string(strip.panel) : "";
}

/// The ± that is shown, in mm over the panel: measuring alone where the whole is not known.
inline double shown_half_width(const correct::Outcome& outcome) {
  const auto& fit = outcome.fit;
  return outcome.panel_mm * (fit.eta.unknown ? fit.measuring_half_width : fit.eta.half_width);
}

}  // namespace quarterturn::report
