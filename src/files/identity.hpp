// SPDX-License-Identifier: MIT
/// \file identity.hpp
/// What tells one record from every other: its id, and when it was recorded.
#pragma once

#include <string>

namespace quarterturn::files {

/// A random universally unique id (RFC 9562, version 4).
std::string new_id();

/// Now in UTC, `2026-03-14T10:20:00.123Z`: sorts as text.
std::string recorded_now();

/// Now; but a millisecond after `last` where the clock stands before that: it was set back, and what comes
/// later has to count as later all the same.
std::string recorded_after(const std::string& last);

/// Whether it is what recorded_now writes, and so sorts as its moment: a day and a time that there are.
bool is_recorded(const std::string& text);

}  // namespace quarterturn::files
