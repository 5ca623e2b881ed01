// SPDX-License-Identifier: MIT
/// \file table_drawing.hpp
/// The table from above, for somebody who stands in front of it: holes, dogs, rail, fence, panel, the error
/// drawn larger than it is, and a move.
///
/// In       an outcome with a station whose lines run along the rows and columns of its holes; one of its
///          moves, or none
/// Out      text that keeps to the width, finished for the screen
/// Maths    METHOD.md (M2): eps > 0 leans the far end of the rail to the left
/// Assumes  which of the dogs is out of place is not known: the error is drawn on the rail, turned about the
///          rail dog that the move leaves alone
#pragma once

#include <optional>
#include <string>

#include "correct/outcome.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// Empty where it does not fit, a line is slanted, or the holes are not known: words must do there.
/// \param move  number of one of the outcome's moves; past the end: none is shown
std::string table_drawing(const correct::Outcome& outcome, std::size_t move, const TextOptions& options);

/// The same in words. Empty without a station, or where the squareness error is not known.
std::string table_words(const correct::Outcome& outcome, std::size_t move, const TextOptions& options);

/// The drawing where it can be drawn, else its words.
std::string table_text(const correct::Outcome& outcome, std::size_t move, const TextOptions& options);

/// `0.21 mm to the right, as a shim between the dog in E10 and the rail`; empty for a move of no single dog.
std::string place_of_move(const correct::Outcome& outcome, std::size_t move, const TextOptions& options);

}  // namespace quarterturn::report
