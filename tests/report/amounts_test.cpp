// SPDX-License-Identifier: MIT
#include "report/amounts.hpp"

#include <doctest/doctest.h>

using namespace quarterturn;

TEST_SUITE("report") {
  TEST_CASE("rounded to the uncertainty, with a unit, never finer than the bench") {
    using units::Unit;
    CHECK(report::plus_minus_text(0.1714, 0.0412, Unit::mm) == "0.17 ± 0.04 mm");
    CHECK(report::plus_minus_text(0.1714, 0.0012, Unit::mm) == "0.17 ± 0.01 mm");
    CHECK(report::plus_minus_text(0.1714, 0.0452, Unit::mm) == "0.17 ± 0.05 mm");
    CHECK(report::plus_minus_text(1.234, 1.26, Unit::mm) == "1.2 ± 1.3 mm");
    CHECK(report::plus_minus_text(17.1, 25, Unit::mm) == "17 ± 25 mm");
    CHECK(report::plus_minus_text(0.1714, 0.0412, Unit::inch) == "0.007 ± 0.002 in");
    CHECK(report::length_text(-0.001, Unit::mm) == "0.00 mm");
    CHECK(report::size_text(600, Unit::mm) == "600 mm");
    CHECK(report::size_text(609.6, Unit::inch) == "24 in");
    CHECK(report::degrees_text(0.00028571, 0.000066) == "0.016°");
  }

  TEST_CASE("a half-width is not rounded down by more than a twentieth") {
    CHECK(report::half_width_text(0.0104, units::Unit::mm) == "± 0.01 mm");
    CHECK(report::half_width_text(0.0107, units::Unit::mm) == "± 0.02 mm");
  }

  TEST_CASE("chances are never certain") {
    CHECK(report::percent_text(0) == "under 1 %");
    CHECK(report::percent_text(1) == "over 99 %");
    CHECK(report::percent_text(0.021) == "2 %");
  }

  TEST_CASE("ASCII where there is no Unicode, lines broken where they are too long") {
    CHECK(report::ascii("0.17 ± 0.04 mm (0.016°) ●─") == "0.17 +- 0.04 mm (0.016 deg) *-");
    CHECK(report::ascii("Säge") == "S?ge");
    const std::string broken = report::wrapped("  one two three four five six seven eight", 24);
    CHECK(broken == "  one two three four\n  five six seven eight");
    CHECK(report::columns_of("± 1") == 3);
  }

  TEST_CASE("limits of what is typed are told so that what is told lies inside them") {
    using units::Unit;
    CHECK(report::size_range_text(1, 1000, Unit::mm) == "from 1 to 1000 mm");
    CHECK(report::size_range_text(0.5, 2000, Unit::mm) == "from 0.5 to 2000 mm");
    CHECK(report::size_range_text(200, 10'000, Unit::mm) == "from 200 mm to 10 m");
    CHECK(report::size_range_text(0, 20, Unit::inch) == "from 0 to 0.78 in");
    for (const auto& [least, most] :
         {std::pair{1.0, 1000.0}, {0.5, 2000.0}, {200.0, 10'000.0}, {20.0, 3000.0}, {0.0, 5.0}}) {
      const std::string told = report::size_range_text(least, most, Unit::inch);
      CAPTURE(told);
      const std::size_t to = told.find(" to ");
      CHECK(25.4 * std::stod(told.substr(5)) >= least);
      CHECK(25.4 * std::stod(told.substr(to + 4)) <= most);
      CHECK(25.4 * std::stod(told.substr(to + 4)) > 0.9 * most);
    }
  }
}
