// SPDX-License-Identifier: MIT
/// \file setup_findings.hpp
/// Whether a panel suits a setup: codes short-fence, panel-too-long, panel-leaves-outer-dog.
///
/// In       a station, its setup, the panel's size [mm] if known, the number of cuts
/// Out      findings with their numbers [mm]: span_mm; room_mm and panel_mm; after_mm and outer_mm
/// Maths    METHOD.md (M5)
/// Assumes  every cut takes a strip and a kerf off the panel; which way round a panel that is not square is
/// laid first
///          is not known, so the longer side must fit and the shorter side loses most
#pragma once

#include <optional>
#include <vector>

#include "check/check.hpp"
#include "check/finding.hpp"
#include "station/station.hpp"

namespace quarterturn::correct {

inline constexpr double kShortFenceMm = 250.0;  ///< a fence pair below it makes seating weigh

/// \param cuts  of the whole test: 5, 4, or as many as a progressive test has
std::vector<check::Finding> panel_findings(const station::Station& station, const station::Setup& setup,
                                           const std::optional<check::PanelSize>& panel, int cuts = 5);

/// The same of a turn-over test: cut once, its width along the fence.
/// \param piece  what a piece that is laid at the fence measures, at most
std::vector<check::Finding> piece_findings(const station::Station& station, const station::Setup& setup,
                                           const std::optional<check::PanelSize>& piece);

}  // namespace quarterturn::correct
