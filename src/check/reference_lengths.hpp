// SPDX-License-Identifier: MIT
/// \file reference_lengths.hpp
/// Lengths over which angles are told to people as millimetres.
#pragma once

namespace quarterturn::check {

inline constexpr double kOverMm = 600.0;      ///< a panel edge, when the person's own is not known
inline constexpr double kSlipOverMm = 500.0;  ///< a slipped cut

inline constexpr double kStripMm = 25.0;           ///< usual strip of a test, 20 to 30 mm
inline constexpr double kKerfMm = 3.0;             ///< width of a saw cut; common practice, no source
inline constexpr double kSmallestPanelMm = 300.0;  ///< what can still be held safely; METHOD.md, care

}  // namespace quarterturn::check
