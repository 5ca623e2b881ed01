// SPDX-License-Identifier: MIT
/// \file pictures.hpp
/// The drawings of a report: the strips, the interval against the tolerance, the table from above, the
/// record.
///
/// In       an Outcome or a Record, the person's unit
/// Out      Drawings, usable on a page and alone. Each says in words what it shows; nothing is told by colour
///          alone
/// Maths    the band of a strip's line: METHOD.md (M11); the corner drawn too large: METHOD.md (M2)
#pragma once

#include <optional>
#include <string>

#include "correct/outcome.hpp"
#include "history/record.hpp"
#include "report/svg.hpp"
#include "units/number.hpp"

namespace quarterturn::report {

inline constexpr double kPictureWidth = 380;  ///< readable on a phone, two beside each other on a page
inline constexpr std::size_t kMostStripPictures = 6;

/// Width, or gap, along each strip: readings, fitted line, its band of twice the standard uncertainty that
/// readings and saw marks give it. Of more than kMostStripPictures the first of them.
Drawing strips_picture(const correct::Outcome& outcome, units::Unit unit);

/// The corner and each strip's own answer on one scale with what is allowed. Empty for a rail test.
std::optional<Drawing> interval_picture(const correct::Outcome& outcome, units::Unit unit);

/// The table from above: holes, dogs, rail, fence, the kept part with its corner drawn so many times too
/// large, the move that is advised. Empty without a station, for a rail test, and of a ring that two setups
/// cut.
std::optional<Drawing> table_picture(const correct::Outcome& outcome, units::Unit unit);

/// The line of a strip and where its band lies, for the drawing.
struct FittedLine {
  double middle_mm = 0, width_mm = 0, taper_rad = 0;  ///< through (middle, width), falling by the taper
  double u_middle_mm = 0, u_taper_rad = 0;
  [[nodiscard]] double at(double position_mm) const {
    return width_mm - taper_rad * (position_mm - middle_mm);
  }
  [[nodiscard]] double u_at(double position_mm) const;
};
/// (M11) \param taper  of the fit, of that strip
FittedLine fitted_line(const check::Strip& strip, const check::Taper& taper, const check::Fit& fit);

/// The corner of the kept part in the drawing: how many times too large, and the direction in which the cut
/// runs from the corner, counter-clockwise, x to the right and y away from the operator.
struct ShownCorner {
  double times = 1;
  double along_fence_rad = 0;                ///< from the corner along the kept part's edge on the fence
  double square_rad = 0;                     ///< the cut, were the corner without error
  double cut_rad = 0;                        ///< the cut, with the error so many times too large
  double cut_low_rad = 0, cut_high_rad = 0;  ///< with the ends of the ±
};
/// (M2) \param geometry  with rail, fence and sides
ShownCorner shown_corner(const correct::Outcome& outcome, const station::Geometry& geometry);

/// Every check of a record with its ± by date, what is allowed, events by letters. \param width  user units
/// \param marked  id of a check that is marked as the one the report is about; may be empty
Drawing history_picture(const history::Record& record, units::Unit unit, double width = kPictureWidth,
                        const std::string& marked = {});

}  // namespace quarterturn::report
