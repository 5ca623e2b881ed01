// SPDX-License-Identifier: MIT
#include "files/spoken_date.hpp"

#include <doctest/doctest.h>

#include <string>

#include "files/dates.hpp"
#include "units/input_error.hpp"

using namespace quarterturn::files;
using quarterturn::units::InputError;

namespace {

// Friday, by coreutils: date -u -d 2026-11-27 +%A
const std::int64_t kNow = parse_date("2026-11-27", "now").utc_second + 9 * 3600;

std::string read(const std::string& text, const std::string& not_after = "2026-11-27") {
  const auto said = parse_spoken_date(text, "date", kNow, parse_date(not_after, "bound").day);
  std::string out = iso_day(said.first);
  if (said.last != said.first) out += ".." + iso_day(said.last);
  return out + (said.about.empty() ? "" : " about " + said.about);
}

std::string refused(const std::string& text) {
  try {
    return "taken as " + read(text);
  } catch (const InputError& error) {
    return error.what();
  }
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("days and months as they are said") {
    CHECK(read("2026-03-14") == "2026-03-14");
    CHECK(read("today") == "2026-11-27");
    CHECK(read("Yesterday") == "2026-11-26");
    CHECK(read("3 days ago") == "2026-11-24");
    CHECK(read("a week ago") == "2026-11-17..2026-11-23 about 20 November");
    CHECK(read("last week") == "2026-11-16..2026-11-22 about the week of 16 November");
    CHECK(read("this week") == "2026-11-23..2026-11-27 about the week of 23 November");
    CHECK(read("last month") == "2026-10-01..2026-10-31 about October 2026");
    CHECK(read("October") == "2026-10-01..2026-10-31 about October 2026");
    CHECK(read("in oct") == "2026-10-01..2026-10-31 about October 2026");
    CHECK(read("November") == "2026-11-01..2026-11-27 about November 2026");  // no day to come
    CHECK(read("December") == "2025-12-01..2025-12-31 about December 2025");  // this year's is to come
    CHECK(read("February 2024") == "2024-02-01..2024-02-29 about February 2024");
    CHECK(read("early October") == "2026-10-01..2026-10-10 about early October 2026");
    CHECK(read("late Feb 2025") == "2025-02-21..2025-02-28 about late February 2025");
    CHECK(read("9 Aug") == "2026-08-09");
    CHECK(read("Aug 9") == "2026-08-09");
    CHECK(read("the 9th of August 2025") == "2025-08-09");
    CHECK(read("29 Feb") == "2024-02-29");  // the newest there was
    CHECK(read("31 December") == "2025-12-31");
    CHECK(read("Monday") == "2026-11-23");
    // Of a search about an older check no year means the one before it.
    CHECK(read("October", "2025-11-10") == "2025-10-01..2025-10-31 about October 2025");
    CHECK(read("9 Aug", "2025-08-08") == "2024-08-09");
  }

  TEST_CASE("what can mean two days, or none, is refused with its meanings") {
    const auto holds = [](const std::string& text, const std::string& part) {
      const std::string said = refused(text);
      CAPTURE(said);
      CHECK(said.find(part) != std::string::npos);
    };
    holds("9/8", "this can mean 9 August (day first) or 8 September (month first)");
    holds("9.8.", "9 August (day first) or 8 September (month first)");
    holds("13/8", "this can mean 13 August (day first): write the one you mean");
    holds("03/04/2026", "this can mean 2026-04-03 (day first) or 2026-03-04 (month first)");
    holds("in autumn", "September to November, or south of the equator March to May");
    holds("Friday", "this can mean 2026-11-27 or 2026-11-20");
    holds("last Monday", "this can mean 2026-11-23 or 2026-11-16");
    holds("2027-01-01", "not in the future");
    holds("June 2027", "not in the future");
    holds("30 Feb", "a day that exists");
    for (const char* text : {"", "soon", "ma", "Octobre", "0 days ago", "9 Aug 25", "2025", "last year"})
      holds(text, "must be a");
  }
}
