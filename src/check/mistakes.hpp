// SPDX-License-Identifier: MIT
/// \file mistakes.hpp
/// Mistakes of the person or the test that the numbers can show, METHOD.md (M36).
#pragma once

#include <span>
#include <vector>

#include "check/fit.hpp"

namespace quarterturn::check {

/// Appends findings: ends-swapped, turned-wrong-way, face-turned, torn-end (too near an end), copied,
/// thin-strip, length-not-apart, late, misread, inch-or-mm (a whole strip, or all of them).
void find_mistakes(Fit& fit, const Check& check);

/// A figure that is no strip's width in mm and is one in inches; in inches, and is one in mm.
bool is_whole_in_inches(double width_mm);
bool is_whole_in_mm(double width_mm);

/// Middle value; of an even number the mean of the middle two. \param x not empty
double median(std::vector<double> x);

/// The single-reading explanations of a reading that stands off its spot by more than chance (M36): a code,
/// or empty. \param others  the spot's other readings [mm]; \param step  resolution
const char* explain_reading(double value_mm, std::span<const double> others_mm, double step_mm);

}  // namespace quarterturn::check
