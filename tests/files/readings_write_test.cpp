// SPDX-License-Identifier: MIT
// The readings are invented, in the scenery workshop of the examples.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "files/readings_file.hpp"

using namespace quarterturn;
using check::Check;

namespace {

Check parsed(const std::string& content) {
  return files::parse_readings(files::text_of(content, "r.csv"));
}

/// All that a file holds, exactly: a round trip loses no digit.
void check_same(const Check& a, const Check& b) {
  CHECK(a.station == b.station);
  CHECK(a.setup == b.setup);
  CHECK(a.date == b.date);
  CHECK(a.measured == b.measured);
  CHECK(a.test == b.test);
  CHECK(a.by == b.by);
  CHECK(a.rail == b.rail);
  CHECK(a.caliper_id == b.caliper_id);
  CHECK(a.blade == b.blade);
  CHECK(a.note == b.note);
  CHECK(a.unit == b.unit);
  REQUIRE(a.caliper.has_value() == b.caliper.has_value());
  if (a.caliper) {
    CHECK(a.caliper->name == b.caliper->name);
    CHECK(a.caliper->resolution_mm == b.caliper->resolution_mm);
    CHECK(a.caliper->repeatability_mm == b.caliper->repeatability_mm);
    CHECK(a.caliper->reliability == b.caliper->reliability);
    CHECK(a.caliper->reach_mm == b.caliper->reach_mm);
  }
  REQUIRE(a.tolerance.has_value() == b.tolerance.has_value());
  if (a.tolerance) {
    CHECK(a.tolerance->angle == b.tolerance->angle);
    CHECK(a.tolerance->offset == b.tolerance->offset);
    CHECK(a.tolerance->over == b.tolerance->over);
  }
  REQUIRE(a.panel_size.has_value() == b.panel_size.has_value());
  if (a.panel_size) {
    CHECK(a.panel_size->width_mm == b.panel_size->width_mm);
    CHECK(a.panel_size->depth_mm == b.panel_size->depth_mm);
    CHECK(a.panel_size->thickness_mm == b.panel_size->thickness_mm);
  }
  REQUIRE(a.strips.size() == b.strips.size());
  for (std::size_t i = 0; i < a.strips.size(); ++i) {
    CHECK(a.strips[i].panel == b.strips[i].panel);
    CHECK(a.strips[i].from_cut == b.strips[i].from_cut);
    CHECK(a.strips[i].to_cut == b.strips[i].to_cut);
    REQUIRE(a.strips[i].spots.size() == b.strips[i].spots.size());
    for (std::size_t j = 0; j < a.strips[i].spots.size(); ++j) {
      const check::Spot& p = a.strips[i].spots[j];
      const check::Spot& q = b.strips[i].spots[j];
      CHECK(p.position_mm == q.position_mm);
      REQUIRE(p.readings.size() == q.readings.size());
      for (std::size_t k = 0; k < p.readings.size(); ++k) {
        CHECK(p.readings[k].mm == q.readings[k].mm);
        CHECK(p.readings[k].step_mm == q.readings[k].step_mm);
        CHECK(p.readings[k].as_typed == q.readings[k].as_typed);
        CHECK(p.readings[k].note == q.readings[k].note);
      }
    }
  }
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a check written reads back the same") {
    const std::vector<std::string> files{
        "# station: dock\n# setup: crosscut\n# date: 2026-03-14T10:20:00+00:00\n# caliper: digital\n# "
        "tolerance: 0.10 over 600\n"
        "# by: A, B\n# rail: long\n# panel-size: 600 x 598.5 x 18 mm\n# measured: 2026-03-15\n# caliper-id: "
        "7\n# blade: \"fine\"\n"
        "\"# note: two\nlines, and a comma,\"\npanel,from_cut,to_cut,position,width\n1,1,5,15,14.80 "
        "14.8\n1,1,5,250.25,\"14,83\"\n"
        "1,2,6,10000,14.8\n1,2,6,0.1,14.8\n",
        "# unit: in\n# tolerance: 0.004 over 24\n# panel-size: 23 1/2 x 24 x 3/4 in\n# caliper: resolution "
        "0.0005, "
        "repeatability 0.0007, reach 6\npanel,from_cut,to_cut,position,width\n3,0,4,13/16,0.8955\n3,0,4,21 "
        "1/3,0.8805 in\n",
        "panel,from_cut,to_cut,position,width,note\n1,1,5,20 mm,1 3/16\",\"burr, here\"\n1,1,5,21 1/2 "
        "in,37/64 in,\n",
        "# tolerance: 0.0123 deg\n# caliper: resolution 0.013\nstrip 1-5\n20: 22.74 mm\n545: 22 mm\n",
        "# unit: in\n# panel-size: 600 mm x 24 in\n# tolerance: 0.1 mm over 600 mm\nstrip 1-5\n20 mm: 22.74 "
        "mm\n545 mm: 22 mm\n",
    };
    for (const std::string& content : files) {
      CAPTURE(content);
      const Check check = parsed(content);
      const std::string written = files::write_readings(check);
      CAPTURE(written);
      check_same(parsed(written), check);
      CHECK(files::write_readings(parsed(written)) == written);
    }
  }

  TEST_CASE("readings that were never typed are written with the digits of their step") {
    Check check = parsed("strip 1-5\n20: 22.74\n545: 22.14\n");
    check.strips[0].spots[0].readings[0] = {22.7, 0.01, "", 0, 0, ""};
    check.strips[0].spots[1].readings[0].mm = 22.15;  // amended since it was typed
    const std::string written = files::write_readings(check);
    CHECK(written ==
          "# test: five-cut\n# unit: "
          "mm\npanel,from_cut,to_cut,position,width\n1,1,5,20,22.70\n1,1,5,545,22.15\n");
    check.unit = units::Unit::inch;
    check.strips[0].spots[0].readings[0] = {0.8955 * 25.4, 0.00254, "", 0, 0, ""};
    check.strips[0].spots[1].readings[0] = {0.8950 * 25.4, 0.00254, "", 0, 0, ""};
    const Check back = parsed(files::write_readings(check));
    CHECK(back.strips[0].spots[0].readings[0].as_typed == "0.8955");
    CHECK(back.strips[0].spots[1].readings[0].as_typed == "0.8950");
    CHECK(back.strips[0].spots[1].readings[0].mm == 0.8950 * 25.4);
  }
}
