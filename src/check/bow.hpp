// SPDX-License-Identifier: MIT
/// \file bow.hpp
/// What a bowed rail does to the corner and to the strips.
///
/// In       sagitta h [mm] of the rail over the cut length L [mm], h > 0: the kept edge comes out crowned;
/// distances f_1,
///          f_2 [mm] of the fence contacts from the line of the cut, along the fence, the rail's width
///          counted in; y_m [mm], distance of the middle of the two rail dogs from the fence, along the rail
///          towards the panel
/// Out      angles [rad] that are added to q eps
/// Maths    METHOD.md (M6)
/// Assumes  a bow of one curvature; two fence dogs (on a full-length bar a hollow edge sits on its ends and b
/// is near 0);
///          every cut takes the same strip
/// Range    first order in h: the bow itself shifts contacts and lengths by up to 2h; contacts on the edge: 0
/// < f_1, f_2 < L Accuracy 0.5 % against a clipped polygon with a curved cut (tests/check/bow_test.cpp)
#pragma once

namespace quarterturn::check {

/// b = 4 h (f_1 + f_2 - L) / L^2: strips of a panel that is fed on its own cut edges estimate eta + b.
/// \example bow_bias(0.05, 550, 96, 288) is -1.1e-4 rad, -0.07 mm over 600 mm
double bow_bias(double h_mm, double length_mm, double f1_mm, double f2_mm);

/// (8 h / L^2)(y_m - L/2): what the bow adds to the corner at the chord of the cut edge, next to a straight
/// edge.
double bow_in_corner(double h_mm, double length_mm, double rail_middle_mm);

/// (8 h / L^2)(y_m - L + (f_1 + f_2)/2 + (strip + kerf)/4): what the bow adds to a quarter of the strip's
/// taper. \param length_mm  mean length of the last two cuts, over which h is taken; of a square panel both
/// are the same
double bow_in_strip(double h_mm, double length_mm, double rail_middle_mm, double f1_mm, double f2_mm,
                    double strip_and_kerf_mm);

/// A bow h found over `tested_mm` counts as h (L / L_t)^2 over a cut of `length_mm`.
double bow_over(double h_mm, double tested_mm, double length_mm);

}  // namespace quarterturn::check
