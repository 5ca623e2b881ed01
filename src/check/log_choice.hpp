// SPDX-License-Identifier: MIT
/// \file log_choice.hpp
/// Which earlier checks of a setup inform today's, and with what.
///
/// Maths    METHOD.md (M18)
#pragma once

#include <string>
#include <vector>

#include "check/fit.hpp"

namespace quarterturn::check {

/// Scatter is a person's own from so many checks on.
inline constexpr int kChecksOfOnePerson = 3;

/// From three checks by `person` on, only theirs; else all, in their order. A person without a name is nobody
/// in particular: all.
std::vector<ScatterEvidence> log_of_person(std::vector<ScatterEvidence> earlier, const std::string& person);

/// Whether one check's readings scatter as the other's: strips by a caliper, or joints of one form by a
/// feeler.
bool scatters_alike(const Check& one, const Check& other);

/// Whether the tapers of an earlier check may tell how panels seat.
/// \param saw_nu  degrees of freedom that tell saw marks from reading and seating in the joint fit: spots
///                beyond two of every strip, of today's check and of all earlier ones, and evidence
bool hands_on_seating(const Check& check, double saw_nu);

}  // namespace quarterturn::check
