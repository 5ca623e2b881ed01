// SPDX-License-Identifier: MIT
#include "files/dates.hpp"

#include <date/date.h>

#include <array>
#include <charconv>

#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;

namespace {

constexpr const char* kForms = "a date such as 2026-03-14 or 2026-03-14T10:20:00+00:00";
constexpr int kFirstYear = 1900;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// Whether `text` begins with the shape, where 0 stands for any digit; every other character for itself.
bool has_shape(std::string_view text, std::string_view shape) {
  if (text.size() < shape.size()) return false;
  for (std::size_t i = 0; i < shape.size(); ++i) {
    if (shape[i] == '0' ? !is_digit(text[i]) : text[i] != shape[i]) return false;
  }
  return true;
}

int number(std::string_view text, std::size_t from, std::size_t count) {
  int value = 0;
  std::from_chars(text.data() + from, text.data() + from + count, value);
  return value;
}

date::year_month_day day_of(int year, int month, int day) {
  return date::year(year) / date::month(static_cast<unsigned>(month)) / date::day(static_cast<unsigned>(day));
}

std::string iso(int year, int month, int day) {
  const auto two = [](int n) { return (n < 10 ? "0" : "") + std::to_string(n); };
  return std::to_string(year) + "-" + two(month) + "-" + two(day);
}

/// Three numbers parted by `/`, `.` or `-` in another order than ISO's: says what they may mean.
std::string other_order_hint(std::string_view text) {
  std::array<int, 3> part{};
  const char* at = text.data();
  const char* end = text.data() + text.size();
  for (std::size_t i = 0; i < part.size(); ++i) {
    const auto [next, error] = std::from_chars(at, end, part[i]);
    if (error != std::errc() || part[i] < 0 || part[i] > 9999) return {};
    at = next;
    if (i < 2) {
      if (at == end || std::string_view("/.-").find(*at) == std::string_view::npos) return {};
      ++at;
    }
  }
  if (at != end && (is_digit(*at) || *at == '-' || *at == '/')) return {};
  std::array<std::string, 3> meaning;
  std::size_t meanings = 0;
  const auto add = [&](int year, int month, int day, const char* words) {
    if (year < 100) year += 2000;
    if (year < kFirstYear || month < 1 || month > 12 || !day_of(year, month, day).ok()) return;
    meaning[meanings++] = iso(year, month, day) + " (" + words + ")";
  };
  add(part[2], part[1], part[0], "day first");
  if (part[0] != part[1]) add(part[2], part[0], part[1], "month first");
  if (part[0] > 31 || part[2] < 32) add(part[0], part[1], part[2], "year first");
  std::string out;
  for (std::size_t i = 0; i < meanings; ++i)
    out += (i == 0 ? "" : i + 1 == meanings ? " or " : ", ") + meaning[i];
  if (meanings > 1) return "this can mean " + out + ": write the one you mean";
  return meanings == 1 ? "write " + out.substr(0, out.find(' ')) : std::string();
}

/// Seconds east of UTC; `Z` or `+hh:mm`.
bool read_offset(std::string_view text, int& seconds) {
  if (text == "Z") {
    seconds = 0;
    return true;
  }
  if (text.size() != 6 || !(has_shape(text, "+00:00") || has_shape(text, "-00:00"))) return false;
  const int hours = number(text, 1, 2);
  const int minutes = number(text, 4, 2);
  if (hours > 14 || minutes > 59) return false;
  seconds = (text[0] == '-' ? -1 : 1) * (hours * 3600 + minutes * 60);
  return true;
}

/// Behind the day: `T10:20`, `T10:20:00`, then the offset. \throws InputError
void read_time(std::string_view text, std::string_view what, Moment& moment) {
  const auto fail = [&](const char* condition, const char* hint) {
    throw InputError(std::string(what), moment.as_typed, condition, {}, hint);
  };
  if (!has_shape(text, "T00:00")) {
    fail(kForms,
         text[0] == ' ' ? "write T between day and time" : "nothing behind the day, or T and the time");
  }
  const bool seconds_given = has_shape(text, "T00:00:00");
  const int hour = number(text, 1, 2);
  const int minute = number(text, 4, 2);
  const int second = seconds_given ? number(text, 7, 2) : 0;
  if (hour > 23 || minute > 59 || second > 59) fail("a time from 00:00:00 to 23:59:59", "");
  const std::string_view rest = text.substr(seconds_given ? 9 : 6);
  int offset = 0;
  if (!read_offset(rest, offset)) {
    fail(kForms, rest.empty() ? "add Z for universal time, or the offset of your clock such as +01:00"
                              : "end it with Z or an offset such as +01:00");
  }
  moment.has_time = true;
  moment.utc_second += hour * 3600 + minute * 60 + second - offset;
}

}  // namespace

Moment parse_date(std::string_view typed, std::string_view what) {
  const std::string_view text = units::trimmed(typed);
  Moment moment;
  moment.as_typed = std::string(text);
  if (!has_shape(text, "0000-00-00"))
    throw InputError(std::string(what), moment.as_typed, kForms, {}, other_order_hint(text));
  const int year = number(text, 0, 4);
  const date::year_month_day day = day_of(year, number(text, 5, 2), number(text, 8, 2));
  if (!day.ok() || year < kFirstYear)
    throw InputError(std::string(what), moment.as_typed, "a day that exists, from 1900 on", {},
                     "year, month, day: 2026-03-14");
  moment.day = date::sys_days(day).time_since_epoch().count();
  moment.utc_second = moment.day * 86400;
  if (text.size() > 10) read_time(text.substr(10), what, moment);
  return moment;
}

std::string day_text(std::int64_t utc_second) {
  const std::int64_t day = (utc_second >= 0 ? utc_second : utc_second - 86399) / 86400;
  const date::year_month_day ymd{date::sys_days{date::days{day}}};
  return iso(static_cast<int>(ymd.year()), static_cast<int>(static_cast<unsigned>(ymd.month())),
             static_cast<int>(static_cast<unsigned>(ymd.day())));
}

std::string day_name(std::string_view day, std::int64_t now_utc) {
  constexpr std::array<const char*, 12> kMonths{"January",   "February", "March",    "April",
                                                "May",       "June",     "July",     "August",
                                                "September", "October",  "November", "December"};
  if (!has_shape(day, "0000-00-00")) return std::string(day);
  const int month = number(day, 5, 2);
  if (month < 1 || month > 12) return std::string(day);
  std::string name = std::to_string(number(day, 8, 2)) + " " + kMonths[static_cast<std::size_t>(month - 1)];
  if (day.substr(0, 4) != day_text(now_utc).substr(0, 4)) name += " " + std::string(day.substr(0, 4));
  return name;
}

std::string moment_text(std::int64_t utc_second) {
  constexpr std::int64_t kDay = 86400;
  const std::int64_t second = (utc_second % kDay + kDay) % kDay;
  const auto two = [](std::int64_t value) {
    return std::string(value < 10 ? "0" : "") + std::to_string(value);
  };
  return day_text(utc_second) + "T" + two(second / 3600) + ":" + two(second / 60 % 60) + ":" +
         two(second % 60) + "Z";
}

Moment today(std::int64_t now_utc) {
  return parse_date(day_text(now_utc), "today");
}

Moment parse_past_date(std::string_view text, std::string_view what, std::int64_t now_utc) {
  constexpr std::int64_t kDay = 86400;  // a day may have begun elsewhere already
  auto moment = parse_date(text, what);
  if (moment.utc_second > now_utc + kDay) {
    throw InputError(std::string(what), moment.as_typed, "not in the future; today is " + day_text(now_utc),
                     {}, "year, month, day: 2026-03-14");
  }
  return moment;
}

}  // namespace quarterturn::files
