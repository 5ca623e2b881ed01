// SPDX-License-Identifier: MIT
#include "files/caliper_classes.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>

#include "files/csv.hpp"
#include "support/near.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using quarterturn::test::near;

TEST_SUITE("files") {
  TEST_CASE("the classes of caliper, each with its source") {
    std::set<std::string> names;
    for (const files::CaliperClass& known : files::caliper_classes()) {
      CAPTURE(known.caliper.name);
      CHECK(names.insert(known.caliper.name).second);
      CHECK_FALSE(known.source.empty());
      CHECK(known.caliper.resolution_mm > 0);
      // Rounding alone spreads repeats of an arbitrary width by d/sqrt(12) (GUM F.2.2.1): less can not be
      // claimed.
      CHECK(known.caliper.repeatability_mm > 0.2886751345948129 * known.caliper.resolution_mm);
      CHECK(known.caliper.reliability > 0);
      CHECK(known.caliper.reliability <= 1);
      CHECK(known.caliper.reach_mm == 150);  // common practice, no source
    }
    CHECK(names == std::set<std::string>{"digital", "digital-inch", "vernier-0.05", "vernier-0.02",
                                         "dial-0.02", "feeler"});
  }

  TEST_CASE("the classes compiled in are those of data/calipers.csv") {
    const files::Table table = files::read_table(files::read_text(QUARTERTURN_ROOT "/data/calipers.csv"));
    REQUIRE(table.rows.size() == files::caliper_classes().size());
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      CHECK(table.rows[i].cells[0].text == files::caliper_classes()[i].caliper.name);
      CHECK(table.rows[i].cells[5].text == files::caliper_classes()[i].source);
    }
  }

  TEST_CASE("a class by its name") {
    CHECK(files::caliper_of_class("digital").resolution_mm == 0.01);
    CHECK(files::caliper_of_class("digital").dof() == 8);  // GUM G.4.2, a quarter reliable
    CHECK(near(files::caliper_of_class("digital-inch").resolution_mm, 0.0005 * 25.4, 1e-12, 0));
    CHECK_THROWS_WITH_AS(
        files::caliper_of_class("vernier-0.5"),
        "caliper is 'vernier-0.5', but must be vernier-0.05, vernier-0.02, dial-0.02, feeler, digital or "
        "digital-inch. Hint: or state it: resolution 0.01, repeatability 0.012, reliability 0.25",
        units::InputError);
  }
}
