// SPDX-License-Identifier: MIT
/// \file fit_inputs.hpp
/// What a fit is given beside readings, and what of a panel its result is told over: by `check` and `plan`
/// alike.
#pragma once

#include <optional>
#include <vector>

#include "check/check.hpp"
#include "check/fit.hpp"
#include "station/geometry.hpp"

namespace quarterturn::app {

/// What gaps are read with where nothing is stated: a feeler of the usual kind.
check::Caliper usual_feeler();

/// The check's own caliper; else the one its caliper-id names; else the only one the station's owner has.
/// Gaps are read by a feeler: one of the usual kind where none is stated.
std::optional<check::Caliper> caliper_in_use(const check::Check& check,
                                             const std::optional<station::Station>& station);

/// (M17) of a caliper; nothing when its repeatability is not stated.
std::vector<check::Evidence> evidence_of(const std::optional<check::Caliper>& caliper);

check::FitOptions fit_options_of(const std::optional<station::Geometry>& geometry, double confidence,
                                 bool use_assumed);

/// Panel length over which mm are told while nobody has named one.
double usual_panel_mm(units::Unit unit);

/// The length over which mm are told to the person: that of the tolerance, else of the panel that was named.
double told_over_mm(const std::optional<units::Tolerance>& tolerance,
                    const std::optional<check::PanelSize>& named, units::Unit unit);

/// What must be left of a panel: to be held, and to lie at both fence dogs (M5).
double least_panel_mm(const station::Station& station, const station::Setup& setup);

}  // namespace quarterturn::app
