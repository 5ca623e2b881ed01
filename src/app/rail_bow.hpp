// SPDX-License-Identifier: MIT
/// \file rail_bow.hpp
/// The bow of the rail in an outcome: measured by a rail test, or known from one and held against the check.
///
/// Maths    METHOD.md (M98)–(M100)
/// Assumes  a panel whose size is not stated is a square of the length over which mm are told
#pragma once

#include "app/run_check.hpp"

namespace quarterturn::app {

/// A rail test: the bow with what it does in its setup. eta of the fit is h over the tested length [rad].
/// \throws units::InputError on fewer than three places, places or gaps out of range
void measure_rail(const CheckRequest& request, const station::Setup* setup, correct::Outcome& outcome);

/// Of the strips of a check; of a rail test, which has none, that of a five-cut.
int last_cut_of(const check::Check& check);

/// What a known bow does to this check, and how this check stands to a test of another kind.
void explain_by_rail(const CheckRequest& request, const station::Setup* setup, correct::Outcome& outcome);

/// Whether the rail comes before the dogs: after the advice was made.
void put_rail_first(correct::Outcome& outcome);

}  // namespace quarterturn::app
