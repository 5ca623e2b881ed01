// SPDX-License-Identifier: MIT
/// \file fit_inputs.hpp
/// What a fit is given beside readings: by `check` and `plan` alike.
#pragma once

#include <optional>
#include <vector>

#include "check/fit.hpp"
#include "station/geometry.hpp"

namespace quarterturn::app {

/// What gaps are read with where nothing is stated: a feeler of the usual kind.
check::Caliper usual_feeler();

/// (M17) of a caliper; nothing when its repeatability is not stated.
std::vector<check::Evidence> evidence_of(const std::optional<check::Caliper>& caliper);

check::FitOptions fit_options_of(const std::optional<station::Geometry>& geometry, double confidence,
                                 bool use_assumed);

/// Panel length over which mm are told while nobody has named one.
double usual_panel_mm(units::Unit unit);

}  // namespace quarterturn::app
