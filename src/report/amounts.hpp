// SPDX-License-Identifier: MIT
/// \file amounts.hpp
/// Numbers as people read them: rounded to the uncertainty, always with a unit, never finer than the bench
/// can use.
///
/// A half-width is rounded up where rounding to the nearest step would take more than a twentieth off it
/// ([GUM] 7.2.6), and never shows as zero.
#pragma once

#include <string>
#include <string_view>

#include "units/number.hpp"

namespace quarterturn::report {

/// Decimals for a value with that half-width [mm]: mm two, thousandths of an inch, fewer when the half-width
/// is large.
int decimals_for(double half_width_mm, units::Unit unit);

/// `0.17`, `-0.17`; never `-0.00`.
std::string fixed(double value, int decimals);
/// `0.17 mm`, `0.007 in`: at the bench's step, or with `decimals` of mm (inch: one more).
std::string length_text(double mm, units::Unit unit, int mm_decimals = 2);
/// Decimals of mm for a stated amount: two, or three where it has a third.
int fine_decimals(double mm);
/// `0.17 ± 0.04 mm`
std::string plus_minus_text(double mm, double half_width_mm, units::Unit unit);
/// `± 0.04 mm`
std::string half_width_text(double half_width_mm, units::Unit unit);
/// A panel's edge or another length of furniture: `600 mm`, `24 in`.
std::string size_text(double mm, units::Unit unit);
/// What a length that is typed must lie in: `from 1 to 1000 mm`, `from 200 mm to 10 m`, `from 0.04 to 39 in`.
/// Rounded so that what is told is never refused.
std::string size_range_text(double least_mm, double most_mm, units::Unit unit);
/// `0.016°`, as many decimals as the half-width has (two to four).
std::string degrees_text(double rad, double half_width_rad);
/// `97 %`, never 0 or 100: `under 1 %`, `over 99 %`.
std::string percent_text(double probability);
/// `minutes` as `5 min`.
std::string minutes_text(int minutes);

/// ± ° and the like spelled for a terminal that has no UTF-8; anything else outside ASCII becomes `?`.
std::string ascii(std::string_view text);
/// Columns a text takes: one a code point.
std::size_t columns_of(std::string_view text);
/// Lines broken at blanks to `width`; following lines of a paragraph keep its indent (two more after `- `).
/// \param drawn  columns that the rows of a drawing may have; a smaller one than `width` says nothing
std::string wrapped(std::string_view text, int width, int drawn = 0);

}  // namespace quarterturn::report
