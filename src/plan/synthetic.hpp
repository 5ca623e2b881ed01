// SPDX-License-Identifier: MIT
/// \file synthetic.hpp
/// Strips with given tapers and given sums of squares: all that a fit sees of readings.
///
/// Maths    METHOD.md (M88)
#pragma once

#include "check/check.hpp"

namespace quarterturn::plan {

/// A strip with places 20 mm from its fence end on. \param apart_mm  of its outer places
check::Strip blank_strip(int panel, int last_cut, int spots, int readings, double apart_mm);

/// Degrees of freedom of the readings about their places, and of the places about their line.
int pure_dof(const check::Strip& strip);
int line_dof(const check::Strip& strip);

/// Gives a strip that taper and those sums of squares [mm^2], which count only where there are degrees of
/// freedom for them.
void write_strip(check::Strip& strip, double taper_rad, double ss_pure, double ss_line);

}  // namespace quarterturn::plan
