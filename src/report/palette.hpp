// SPDX-License-Identifier: MIT
/// \file palette.hpp
/// The colours of reports and drawings, for light and dark screens; paper takes the light ones.
///
/// Chosen so that text has a contrast of 4.5 or more and lines that carry meaning 3 or more to what they
/// stand on, and so that blue, warm and green differ in lightness or are never told apart by colour alone
/// (tests/report/palette_test.cpp computes it).
#pragma once

#include "report/markup.hpp"

namespace quarterturn::report {

struct Colour {
  Literal light, dark;
};

inline constexpr Colour kPaper{"#ffffff", "#11171d"};
inline constexpr Colour kSheet{"#f3f5f7", "#1a222a"};  ///< behind what stands apart from the page
inline constexpr Colour kInk{"#17212b", "#e9eef3"};
inline constexpr Colour kQuiet{"#4b5965", "#aebac5"};  ///< text of less weight
inline constexpr Colour kRule{"#76838f", "#7f8d99"};   ///< axes and frames
inline constexpr Colour kGrid{"#dde3e8", "#2c3842"};   ///< carries no meaning
inline constexpr Colour kBlue{"#0b57a4", "#86bdf8"};   ///< what was measured
inline constexpr Colour kBand{"#cfe0f3", "#1f3c5b"};   ///< its uncertainty
inline constexpr Colour kWarm{"#9c3a06", "#ffa879"};   ///< outside; what is to be moved
inline constexpr Colour kGreen{"#00634b", "#66d7b2"};  ///< within; what is allowed
inline constexpr Colour kZone{"#e0f0ea", "#16352c"};   ///< the tolerance
inline constexpr Colour kOchre{"#6b4e00", "#e6c765"};  ///< cannot be told yet
inline constexpr Colour kWood{"#efe5d4", "#332c22"};   ///< the panel
inline constexpr Colour kSteel{"#c9d1d8", "#4a5762"};  ///< rail and bar

/// Rules of the drawings' classes, light, and dark where the screen is.
Sheet drawing_sheet();

}  // namespace quarterturn::report
