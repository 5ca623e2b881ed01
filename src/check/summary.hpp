// SPDX-License-Identifier: MIT
/// \file summary.hpp
/// One check on its way into the likelihood: what its readings say before any fit, its contact spans, its
/// spot means.
///
/// In       a Check; options; the variance of a reading pooled over all that is known
/// Out      sums of squares [mm^2] with their degrees of freedom; spans [mm]; a GroupData
/// Maths    METHOD.md (M10), (M12), (M14), (M16)
#pragma once

#include <span>
#include <vector>

#include "check/fit.hpp"
#include "check/reml_strips.hpp"

namespace quarterturn::check {

/// What the readings of one check say before any fit.
struct Summary {
  double ss_pure = 0, nu_pure = 0;  ///< (M10)
  double ss_line = 0, nu_line = 0;  ///< spot means about their unweighted lines, (M12)
  double harmonic_repeats = 1;      ///< harmonic mean of readings a spot
  std::vector<double> sxx;          ///< of each strip, unweighted [mm^2]
};
Summary summarise(const Check& check);

/// Contact span of each corner column [mm] (M14): the fence dogs' distance, or on a bar the panel's edge.
std::vector<double> corner_spans(const Check& check, const Corners& corners, const FitOptions& options);

inline constexpr double kLeastEdgeMm = 50;  ///< no shorter edge lies at a fence; common practice, no source
/// On a bar a panel of known size: contacts are the ends of what the strips, as wide as they are read, left
/// of its edge.
bool contacts_follow(const Check& check, const FitOptions& options);
/// The panel's side that lies on the bar in a cut [mm], and how many strips were cut off it before.
double side_on_bar(const PanelSize& panel, int cut);
int strips_taken(int cut);

/// \param spans  one a corner column [mm]; \param s2  pooled variance of a reading, for the branch of (M16)
GroupData group_of(const Check& check, const Corners& corners, const Summary& summary,
                   std::span<const double> spans, double s2);

}  // namespace quarterturn::check
