// SPDX-License-Identifier: MIT
/// \file survey_report.hpp
/// What a survey tells, for people (text with a map of the table) and programs (JSON schema
/// quarterturn/survey/1).
#pragma once

#include <string>

#include "report/check_report.hpp"
#include "survey/result.hpp"

namespace quarterturn::report {

/// Whether the table is square, its setups, what is wrong, the best holes, what to measure next; then the
/// map and what it rests on.
std::string survey_text(const survey::Result& result, const TextOptions& options);
/// What its ± rests on.
std::string survey_why_text(const survey::Result& result, const TextOptions& options);
std::string survey_json(const survey::Result& result);

/// The table from above: every hole, displaced ones with the way they are off. Blocks of columns where the
/// width does not hold them all.
std::string survey_map(const survey::Result& result, const TextOptions& options);

/// What else the map shows, beside the displaced holes: which were measured, which not.
std::string survey_map_words(const survey::Result& result);
/// Holes that do not scatter like the others, the plainest first.
std::vector<survey::HoleTest> named_holes(const survey::Result& result);

/// Whether a hole is off by more than its ellipse at the result's confidence.
bool is_displaced(const survey::Result& result, const survey::HoleResult& hole);
/// The displaced ones, the farthest off first.
std::vector<survey::HoleResult> displaced_holes(const survey::Result& result);

/// `0.60 mm to the right and 0.45 mm towards you`
std::string offset_words(station::Vec mm, units::Unit unit);
/// `distance A1 B1 over steel-1 and steel-2`
std::string observation_words(const survey::Observation& observation, const survey::Result& result);
/// What leaves a function without a number: `these leave open rows against columns`, `these do not part …`.
std::string undetermined_words(const survey::Undetermined& why);

}  // namespace quarterturn::report
