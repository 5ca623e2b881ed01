// SPDX-License-Identifier: MIT
/// \file misfit.hpp
/// Readings, corners and lines that do not fit the model. Nothing is dropped: each is named and left in.
///
/// Maths    METHOD.md (M31)–(M35); [COOK], [NIST-HB] 1.3.5.17.3 from 25 readings on
/// Accuracy false alarms and power simulated in tests/check/misfit_test.cpp
#pragma once

#include "check/fit.hpp"
#include "check/scatter.hpp"

namespace quarterturn::check {

/// Of the middle of a strip off the line between its ends: beyond any bow of a strip; common practice, no
/// source.
inline constexpr double kOffLineMm = 0.15;

/// Appends findings: unusual-reading (or tilted-jaw, swapped-digits, inch-or-mm, which explain one),
/// unusual-cut or slips-not-seen, curved-strip, torn-end, robust-differs.
void find_misfits(Fit& fit, const Check& check, const Corners& corners, const ScatterFit& scatter);

}  // namespace quarterturn::check
