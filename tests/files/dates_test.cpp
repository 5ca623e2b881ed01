// SPDX-License-Identifier: MIT
#include "files/dates.hpp"

#include <doctest/doctest.h>

#include <string>

#include "units/input_error.hpp"

using namespace quarterturn::files;
using quarterturn::units::InputError;

namespace {
std::string error_of(const std::string& text) {
  try {
    (void)parse_date(text, "date");
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}
}  // namespace

TEST_SUITE("files") {
  TEST_CASE("dates in ISO 8601") {
    const Moment day = parse_date("2026-03-14", "date");
    CHECK(day.as_typed == "2026-03-14");
    CHECK(day.day == 20526);  // coreutils: date -u -d 2026-03-14 +%s = 1773446400 = 20526 days
    CHECK_FALSE(day.has_time);
    const Moment noon = parse_date(" 2026-03-14T10:20:00+00:00 ", "date");
    CHECK(noon.as_typed == "2026-03-14T10:20:00+00:00");
    CHECK(noon.has_time);
    CHECK(noon.utc_second == 1773446400 + 10 * 3600 + 20 * 60);
    CHECK(parse_date("2026-03-14T10:20Z", "date").utc_second == noon.utc_second);
    CHECK(parse_date("2026-03-14T12:20:00+02:00", "date").utc_second == noon.utc_second);
    CHECK(parse_date("2026-03-14T04:50:00-05:30", "date").utc_second == noon.utc_second);
    CHECK(parse_date("2028-02-29", "date").day == parse_date("2028-03-01", "date").day - 1);
  }

  TEST_CASE("a date with two meanings is refused with both") {
    CHECK(error_of("03/04/2026") ==
          "date is '03/04/2026', but must be a date such as 2026-03-14 or 2026-03-14T10:20:00+00:00. Hint: "
          "this can mean "
          "2026-04-03 (day first) or 2026-03-04 (month first): write the one you mean");
    CHECK(error_of("3.4.26").find(
              "2026-04-03 (day first), 2026-03-04 (month first) or 2003-04-26 (year first)") !=
          std::string::npos);
    CHECK(error_of("03-04-2026").find("this can mean") != std::string::npos);
    CHECK(error_of("14.03.2026").find("Hint: write 2026-03-14") != std::string::npos);
    CHECK(error_of("3/14/2026").find("Hint: write 2026-03-14") != std::string::npos);
    CHECK(error_of("2026/03/14").find("Hint: write 2026-03-14") != std::string::npos);
    CHECK(error_of("2026-3-14").find("Hint: write 2026-03-14") != std::string::npos);
  }

  TEST_CASE("what is no date is refused") {
    for (const char* text : {"",
                             "x",
                             "today",
                             "2026",
                             "2026-03",
                             "2026-02-29",
                             "2026-13-01",
                             "2026-00-10",
                             "2026-04-31",
                             "0026-03-14",
                             "2026-03-14x",
                             "2026-03-14T",
                             "2026-03-14T10",
                             "2026-03-14T10:20",
                             "2026-03-14T10:20:00",
                             "2026-03-14 10:20:00Z",
                             "2026-03-14T24:00Z",
                             "2026-03-14T10:60Z",
                             "2026-03-14T10:20:61Z",
                             "2026-03-14T10:20:00+0200",
                             "20260314",
                             "2026-03-14T10:20:00+15:00",
                             "2026-03-14T10:20:00+02:00x",
                             "2026-W11-6",
                             "14 March 2026",
                             "99/99/2026",
                             "1/2/3/4",
                             "-2026-03-14",
                             "2026-03-14T10:20Zx",
                             "99999999999/1/1"}) {
      CAPTURE(text);
      CHECK(error_of(text).find("date is ") == 0);
    }
    CHECK(error_of("2026-02-29") ==
          "date is '2026-02-29', but must be a day that exists, from 1900 on. Hint: year, month, day: "
          "2026-03-14");
    CHECK(error_of("2026-03-14T10:20:00").find("add Z for universal time, or the offset of your clock") !=
          std::string::npos);
  }
}
