// SPDX-License-Identifier: MIT
/// \file look.hpp
/// A check that is one look of a test planned for at most so many strips.
///
/// Maths    METHOD.md (M93)
#pragma once

#include "app/run_check.hpp"

namespace quarterturn::app {

/// The look that a check is, and its interval in place of the plain one. The plan rests on what was known
/// before the first cut: the log, the caliper, the usual seating. \param outcome  with its fit
/// \throws units::InputError when the test is not one strip after another, has more strips than planned, or
///         fewer are planned than the first look needs
void take_look(const CheckRequest& request, correct::Outcome& outcome);

/// What the interval of a later look of the same plan leaves inside: its confidence. Empty where the plan has
/// no look after so many strips. \param outcome  of a look that was taken
std::optional<double> confidence_at_look(const CheckRequest& request, const correct::Outcome& outcome,
                                         int strips);

/// Strips before the first look: one where the log tells how the panel seats.
/// \param request  with what the log knows; it needs no readings
int strips_to_first_look(const CheckRequest& request);

/// Before the first cut. \throws units::InputError when fewer are planned than the first look needs
void hold_to_plan(const CheckRequest& request);

}  // namespace quarterturn::app
