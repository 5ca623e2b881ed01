// SPDX-License-Identifier: MIT
/// \file drawing.hpp
/// Terminal drawings of a check: the widths of a strip with its fitted line, and the interval against the
/// tolerance; each also in words, for a screen reader. In Unicode; `finished` spells them in ASCII where
/// there is none.
#pragma once

#include <string>

#include "correct/outcome.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// Width against distance from the fence end: each reading a dot, a ring where a finding names it, the fitted
/// line through them.
/// \param strip  index in the check; drawn with its taper of the fit
std::string strip_drawing(const correct::Outcome& outcome, std::size_t strip, const TextOptions& options);
/// `Strip 1-5: 0.60 mm wider at the fence end, over 525 mm; its 6 readings lie within 0.02 mm of the line.`
std::string strip_words(const correct::Outcome& outcome, std::size_t strip, const TextOptions& options);

/// The corner error with its interval on a line of mm over the panel, the tolerance marked, the part of the
/// interval beyond it thick.
std::string interval_drawing(const correct::Outcome& outcome, const TextOptions& options);
std::string interval_words(const correct::Outcome& outcome, const TextOptions& options);

/// Each strip's own answer with its ±, one below the other on one scale.
std::string strips_drawing(const correct::Outcome& outcome, const TextOptions& options);

/// The panel before each of the cuts, side by side: which edge lies on the fence, where the X is, where F is
/// written before the last cut. Where they do not all fit, the first two and the last; empty where not even
/// those do: words must do there. \param keep_left  the kept part lies left of the rail \param before  the
/// panel lies on the operator's side of the fence \param width  columns
std::string turn_drawing(int first_cut, int last_cut, bool keep_left, bool before, int width = 80);
std::string turn_words(int first_cut, int last_cut, bool keep_left, bool before);

}  // namespace quarterturn::report
