// SPDX-License-Identifier: MIT
/// \file bare_geometry.hpp
/// The lines of a table that is known from options alone: baselines and sides, no holes.
///
/// In       a BareSetup
/// Out      rail along +y, fence along +x, right-angled; a line is there when its baseline is; q when both
/// sides are Maths    METHOD.md (M1)–(M3) Assumes  a square setup: options alone describe no mitre
#pragma once

#include <optional>

#include "app/run_check.hpp"
#include "station/geometry.hpp"

namespace quarterturn::app {

/// Empty when nothing at all is known. The rail's contact normal is (0, 0) while its face is not known: dogs
/// can then be shifted, but no side can be named for a shim. \throws units::InputError when a baseline is not
/// between 20 mm and 10 m
std::optional<station::Geometry> geometry_of_bare(const BareSetup& bare);

}  // namespace quarterturn::app
