// SPDX-License-Identifier: MIT
/// \file dates.hpp
/// Dates as files and options hold them: `2026-03-14`, or ISO 8601 with a time and its offset,
/// `2026-03-14T10:20:00+00:00`, `2026-03-14T10:20Z`.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace quarterturn::files {

struct Moment {
  std::string as_typed;
  std::int64_t day = 0;         ///< the calendar day as written, in days from 1970-01-01
  std::int64_t utc_second = 0;  ///< from 1970-01-01T00:00:00Z; the day's start when no time was given
  bool has_time = false;
};

/// \param what  names the thing in the error: `date`
/// \throws units::InputError on any other shape (one that could be read two ways is told both), a day that
/// does not
///         exist, a time without offset
Moment parse_date(std::string_view text, std::string_view what);

/// The day of now, without a time. \param now_utc  seconds from 1970
Moment today(std::int64_t now_utc);

/// parse_date, held to the past. \throws units::InputError
Moment parse_past_date(std::string_view text, std::string_view what, std::int64_t now_utc);

/// The day of a moment, `2026-03-14`. \param utc_second  from 1970-01-01T00:00:00Z
std::string day_text(std::int64_t utc_second);
/// As it is said: `14 March`, of another year than now `14 March 2025`. \param day  `2026-03-14…`
std::string day_name(std::string_view day, std::int64_t now_utc);
/// `2026-03-14T10:20:05Z`
std::string moment_text(std::int64_t utc_second);

}  // namespace quarterturn::files
