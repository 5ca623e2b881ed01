// SPDX-License-Identifier: MIT
/// \file settle_check.hpp
/// How many more cuts settle a check that was made: what *cannot tell yet* says of itself, and `plan
/// --settle` at length. Prints and asks nothing.
///
/// Maths    METHOD.md (M91)
#pragma once

#include <optional>

#include "app/run_check.hpp"
#include "plan/result.hpp"

namespace quarterturn::app {

inline constexpr int kMostCuts = 30;  ///< looked at unless asked otherwise

/// How many more cuts settle the verdict of a check, the strict one when that was asked for.
/// \param outcome  of that request, with a verdict
/// \throws units::InputError when no tolerance was stated, or the test has a plan of its own
plan::Settling settle_check(const CheckRequest& request, const correct::Outcome& outcome, double chance = 0.8,
                            int most_cuts = kMostCuts);

/// The same for where a check is told: of a verdict that *cannot tell yet*. Nothing for any other, nor where
/// a plan of its own says what comes next or a mistake is to be cleared up first. It takes 0.1 s, with a log
/// up to 0.8 s.
std::optional<plan::Settling> what_settles(const CheckRequest& request, const correct::Outcome& outcome);

/// What two more cuts on the panel on the table would bring: of a check of strips that is not settled for
/// sure. Nothing where the panel does not bear them, a plan of its own says what comes next, or a mistake is
/// to be cleared up first.
std::optional<plan::FurtherStep> what_two_more_bring(const CheckRequest& request,
                                                     const correct::Outcome& outcome);

}  // namespace quarterturn::app
