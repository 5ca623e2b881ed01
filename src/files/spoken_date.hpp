// SPDX-License-Identifier: MIT
/// \file spoken_date.hpp
/// Dates as people say them of something that happened: `October`, `9 Aug`, `last week`, `yesterday`. What
/// can mean two things is refused with both.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace quarterturn::files {

/// One day, or a stretch of them.
struct SpokenDate {
  std::int64_t first = 0, last = 0;  ///< days from 1970-01-01, both counted
  std::string about;                 ///< `October 2025`, `the week of 10 November 2025`; empty: that one day
  [[nodiscard]] std::int64_t middle() const { return first + (last - first) / 2; }
};

/// ISO dates, `today`, `yesterday`, `3 days ago`, `two weeks ago`, `this week`, `last month`; a month, with
/// early, mid or late and a year if wanted; a day and its month in either order; a weekday of the last seven
/// days.
/// \param not_after  the newest day that one without a year may mean, days from 1970
/// \throws units::InputError on anything else, on a day in the future, on seasons and `9/8`, with the
/// meanings
SpokenDate parse_spoken_date(std::string_view text, std::string_view what, std::int64_t now_utc,
                             std::int64_t not_after);

/// `2026-03-14` of a day from 1970.
std::string iso_day(std::int64_t day);

}  // namespace quarterturn::files
