// SPDX-License-Identifier: MIT
/// \file even_design.hpp
/// Whether a check's design is even, and what refit_lanes.hpp needs of it.
///
/// Maths    METHOD.md (M122)
#pragma once

#include <optional>
#include <span>

#include "check/corners.hpp"
#include "check/fit.hpp"
#include "check/refit_lanes.hpp"

namespace quarterturn::check {

/// \param drawn  what from outside is drawn anew with each check
/// \return nothing where a fit of such a check may ask for more than refit_lanes.hpp has
std::optional<EvenDesign> even_design(const Check& check, const Corners& corners,
                                      std::span<const Evidence> drawn, const Fit& fit,
                                      const FitOptions& options);

}  // namespace quarterturn::check
