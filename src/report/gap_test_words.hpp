// SPDX-License-Identifier: MIT
/// \file gap_test_words.hpp
/// The tests that read a gap instead of a strip, told to the person at the bench: steps, drawing, the drawing
/// in words, what can hurt, what the test cannot see.
///
/// In       which test, and how its setup lies: the sides of rail and fence, the pieces of a frame
/// Out      text in Unicode; steps are finished for the screen, the others go through `finished`
/// Maths    none; what each test observes stands in METHOD.md
/// Assumes  the operator stands below the drawing, the fence runs from left to right
#pragma once

#include <array>
#include <string>
#include <vector>

#include "report/check_report.hpp"
#include "units/number.hpp"

namespace quarterturn::report {

// Cuts follow from the test; minutes are common practice, no source.
inline constexpr int kMinutesPair = 10;
inline constexpr int kCutsPair = 2;
inline constexpr int kMinutesHalves = 8;  ///< twice as much, and two cuts, with the board turned end for end
inline constexpr int kCutsHalves = 1;
inline constexpr int kMinutesFrameOfFour = 30;  ///< other frames in proportion to their pieces
inline constexpr int kCutsFramePiece = 2;
inline constexpr int kMinutesRail = 5;
inline constexpr double kHeldByHandMm = 300.0;  ///< shorter pieces are clamped; common practice, no source

/// One test as it lies on the station.
struct GapTestShown {
  enum class Kind { pair, halves, frame, rail } kind = Kind::pair;
  bool keep_left = true;       ///< the kept part lies left of the rail
  bool before = true;          ///< the panel lies on the operator's side of the fence
  int pieces = 4;              ///< of the frame, 3 or more
  bool outer_at_fence = true;  ///< the frame's outer edge lies on the fence, else its inner edge
  bool rail_over_kept = true;  ///< the rail lies on the part that is kept, else on the offcut
  units::Unit unit = units::Unit::mm;
};

/// A place at which the gap is read; one that is not needed may be skipped.
struct GapPlace {
  const char* name;
  bool needed;
};
/// In the order in which they are typed.
const std::array<GapPlace, 3>& gap_places(GapTestShown::Kind kind);

int gap_test_minutes(const GapTestShown& shown);
int gap_test_cuts(const GapTestShown& shown);

/// `Turn-over, pair: 2 cuts, about 10 min.`
std::string gap_test_heading(const GapTestShown& shown);
/// A line each, without its number.
std::vector<std::string> gap_test_step_lines(const GapTestShown& shown);
/// Heading, then numbered steps.
std::string gap_test_steps(const GapTestShown& shown, const TextOptions& options);
/// From the cut to the joint, side by side or below each other as the width allows; empty where it does not
/// fit: words must do there.
std::string gap_test_drawing(const GapTestShown& shown, int width);
/// The drawing in one or two sentences.
std::string gap_test_spoken(const GapTestShown& shown);
/// What can hurt, a line each.
std::string gap_test_cautions(const GapTestShown& shown);
/// What the test cannot see, a line each.
std::string gap_test_blind(const GapTestShown& shown);

/// One picture of the drawing.
struct Picture {
  std::string title;
  std::vector<std::string> rows;  ///< equally wide
};
/// The pictures in the order of the steps.
std::vector<Picture> gap_test_pictures(const GapTestShown& shown);

}  // namespace quarterturn::report
