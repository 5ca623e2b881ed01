// SPDX-License-Identifier: MIT
/// \file nominal.hpp
/// Which setups a test can tell: strips come round after four turns of a right angle, two pieces butt as one
/// line at it, mitres close to a ring.
///
/// Maths    METHOD.md (M97): the acute mitre at the outer edge is the kept corner where that edge lay at the
///          fence
#pragma once

#include "check/check.hpp"
#include "station/station.hpp"

namespace quarterturn::app {

/// Holds a check to a setup that its test can tell, and says on which edge of a frame's pieces the fence lay
/// (`outer_sign`). A rail test tells no corner: any setup will do.
/// \throws units::InputError
void hold_to_nominal(check::Check& check, const station::Setup& setup);

/// How many pieces close to a ring with the mitre of a setup; 0: none do.
int pieces_that_close(const station::Setup& setup);

}  // namespace quarterturn::app
