// SPDX-License-Identifier: MIT
/// \file after_move.hpp
/// The first strip after a correction, held against what was expected of it.
///
/// In       what the strip was to read, and what it would read had something gone wrong [mm, F end minus free
/// end] Out      which of them it is near to; several when the strip cannot tell them apart Maths METHOD.md
/// (M48) Assumes  the strip was measured at places as far apart as the last one
#pragma once

#include <vector>

#include "check/check.hpp"
#include "correct/correct.hpp"

namespace quarterturn::correct {

enum class AfterMove { done, wrong_dog_or_face, f_wrong_before, nothing_moved, f_wrong_now };

/// All that lie within 2u of the reading; `f_wrong_now` only when its value exceeds 2u. Empty: none fits.
std::vector<AfterMove> after_move(const Expected& expected, double measured_mm);

/// The strip's F end minus its free end [mm], carried to that distance between the places.
double carried_mm(const check::Strip& strip, double apart_mm);

/// It reads as something else than the move, and not as the move.
bool reads_amiss(const Expected& expected, double measured_mm);

}  // namespace quarterturn::correct
