// SPDX-License-Identifier: MIT
/// \file survey_where.hpp
/// Where to measure next: in words, and as a drawing of the holes around it.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "report/check_report.hpp"
#include "survey/to_measure.hpp"

namespace quarterturn::report {

struct WhereShown {
  const station::Station& station;
  const survey::Observation& next;
  const std::vector<survey::Observation>& measured;
  /// Where the two dogs of a distance stand now, in the order of its dogs.
  std::optional<std::pair<station::Hole, station::Hole>> standing;
};

/// `From C4 to D4, the next hole to your right. Leave pin-1 in C4; pin-2 goes to D4. Read over them.`
std::string where_words(const WhereShown& shown);
/// `C4 D4`, `A1 I11 against I1 A11`, `a check of crosscut`.
std::string short_words(const station::Station& station, const survey::Observation& observation);
/// The holes around a distance, as many as `width` holds; the whole table for two lengths that are compared.
/// Empty where neither can be drawn.
std::string where_drawing(const WhereShown& shown, int width);
/// What the marks of the drawing are.
inline constexpr const char* kWhereLegend =
    "From above, you stand at the bottom. 1, 2: the two dogs; o: a hole that was measured from, with a line "
    "to "
    "where; a dot: not yet.\n";

/// `60 distances and 3 comparisons, about 70 min; a blank value is not measured yet`
std::string to_measure_note(const survey::ToMeasure& plan);
/// How much there is to do and what it will tell. \param setup  that is wanted; empty: the table as a whole
std::string to_measure_text(const survey::ToMeasure& plan, const std::string& setup,
                            const TextOptions& options);

}  // namespace quarterturn::report
