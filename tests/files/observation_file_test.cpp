// SPDX-License-Identifier: MIT
// What was measured is invented, in the scenery workshop of the examples.
#include "files/observation_file.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "support/near.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using files::parse_observations;
using files::text_of;
using quarterturn::test::holds;
using quarterturn::test::near;
using survey::Kind;
using survey::Taken;

namespace {

const std::string kRow = "kind,from,to,via,side,dog_from,dog_to,value,uncertainty\n";

files::ObservationFile parsed(const std::string& content) {
  return parse_observations(text_of(content, "s.csv"));
}

std::string error_of(const std::string& content) {
  try {
    (void)parsed(content);
  } catch (const units::InputError& error) {
    return error.what();
  }
  return {};
}

const std::string kWhole =
    "# station: loft\n# setup: crosscut\n# date: 2026-04-11\n# unit: mm\n# caliper: digital\n# by: A\n"
    "# note: invented\n"
    "kind,from,to,via,side,dog_from,dog_to,value,uncertainty,note\n"
    "distance,A1,B1,,outside,pin 1,pin 2,116.03,,\n"
    "distance,A1,B2,,inside,pin 1,pin 2,115.80,0.02,\"by lamp light\"\n"
    "compare,A1,C3,C1 A3,,,,-0.12,0.03,\n"
    "offset,B1,,A1 C1,left,,,0.05,0.02,\n"
    "corner,E2,E10,A9=low-1 D9=low-2,right before,tall-1,tall-2,-0.06 over 600,0.018 over 600,\n"
    "check,loft/3,,,,,,,,\n";

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a whole observation file") {
    const auto file = parsed(kWhole);
    CHECK(file.station == "loft");
    CHECK(file.setup == "crosscut");
    CHECK(file.date == "2026-04-11");
    CHECK(file.by == "A");
    CHECK(file.note == "invented");
    REQUIRE(file.caliper.has_value());
    CHECK(file.caliper->name == "digital");
    REQUIRE(file.rows.size() == 6);
    const auto& outside = file.rows[0].observation;
    CHECK(outside.kind == Kind::distance);
    CHECK(outside.taken == Taken::outside);
    CHECK(outside.to == station::Hole{2, 1});
    CHECK(outside.dog_from == "pin 1");
    CHECK(outside.value == 116.03);
    CHECK(outside.u == 0);
    CHECK(file.rows[1].observation.taken == Taken::inside);
    CHECK(file.rows[1].note == "by lamp light");
    const auto& compare = file.rows[2].observation;
    CHECK(compare.kind == Kind::compare);
    CHECK(compare.via == std::vector<station::Hole>{{3, 1}, {1, 3}});
    CHECK(compare.value == -0.12);
    CHECK(compare.dog_via.empty());
    const auto& offset = file.rows[3].observation;
    CHECK(offset.kind == Kind::offset);
    CHECK(offset.side == station::Side::left);
    const auto& corner = file.rows[4].observation;
    CHECK(corner.kind == Kind::corner);
    CHECK(corner.dog_via == std::vector<std::string>{"low-1", "low-2"});
    CHECK(corner.side == station::Side::right);
    CHECK(corner.panel_side == station::PanelSide::before);
    CHECK(near(corner.value, -1e-4, 1e-12, 0));
    CHECK(near(corner.u, 3e-5, 1e-12, 0));
    CHECK(file.rows[5].check == "loft/3");
    CHECK(file.rows[5].at.line == 14);
  }

  TEST_CASE("observations: inches, semicolons, decimal commas, a mark at the start, columns in any order") {
    const auto inch = parsed("# unit: in\n" + kRow + "distance,A1,B1,,centre,,,3.7795,0.001\n" +
                             "compare,A1,B1,A2 B2,centre,,,1/64,0.03 mm\n");
    CHECK(near(inch.rows[0].observation.value, 3.7795 * 25.4, 1e-12, 0));
    CHECK(near(inch.rows[1].observation.value, 25.4 / 64, 1e-12, 0));
    CHECK(inch.rows[1].observation.u == 0.03);
    const auto semi = parsed("\xEF\xBB\xBFvalue;kind;from;to;side\n96,03;distance;A1;B1;Centre\n");
    CHECK(semi.rows[0].observation.value == 96.03);
    CHECK(semi.rows[0].observation.taken == Taken::centre);
    const auto quoted = parsed(kRow + "distance,A1,B1,,centre,,,\"96,03\",\n");
    CHECK(quoted.rows[0].observation.value == 96.03);
    const auto degrees = parsed(kRow + "corner,E2,E10,A9=a D9=b,beyond left,c,d,0.01 deg,1e-4 rad\n");
    CHECK(near(degrees.rows[0].observation.value, 1.7453292519943296e-4, 1e-12, 0));
    CHECK(degrees.rows[0].observation.u == 1e-4);
    CHECK(degrees.rows[0].observation.panel_side == station::PanelSide::beyond);
    CHECK(degrees.rows[0].observation.side == station::Side::left);
  }

  TEST_CASE("an observation file reads back as it was written, in mm and in inches") {
    for (const char* unit : {"mm", "in"}) {
      auto file = parsed(kWhole);
      file.unit = units::parse_unit(unit);
      const std::string text = files::write_observations(file);
      INFO(text);
      const auto again = parsed(text);
      CHECK(files::write_observations(again) == text);
      REQUIRE(again.rows.size() == file.rows.size());
      CHECK(again.note == file.note);
      CHECK(again.caliper->name == "digital");
      for (std::size_t i = 0; i < file.rows.size(); ++i) {
        const auto &a = file.rows[i].observation, &b = again.rows[i].observation;
        CHECK(a.kind == b.kind);
        CHECK(a.holes() == b.holes());
        CHECK(a.dogs() == b.dogs());
        CHECK(a.value == b.value);
        CHECK(a.u == b.u);
        CHECK(a.taken == b.taken);
        CHECK(a.side == b.side);
        CHECK(a.panel_side == b.panel_side);
        CHECK(again.rows[i].check == file.rows[i].check);
        CHECK(again.rows[i].note == file.rows[i].note);
      }
    }
  }

  TEST_CASE("a row without a value is one that is not measured yet, and stays so when it is written") {
    const auto file = parsed(
        "kind,from,to,via,side,dog_from,dog_to,value,uncertainty,note\n"
        "distance,A1,B1,,outside,a,b,,,\n"
        "distance,B1,C1,,outside,a,b,116.02,,\n"
        "compare,A1,B2,B1 A2,centre,,,,0.03,\"skipped: no stick\"\n"
        "corner,E2,E10,A9=a D9=b,right before,c,d,,,\n");
    CHECK(file.rows.size() == 1);
    REQUIRE(file.unmeasured.size() == 3);
    CHECK(!file.unmeasured[0].measured);
    CHECK(file.unmeasured[0].observation.to == station::parse_hole("B1"));
    CHECK(file.unmeasured[1].observation.u == 0.03);
    CHECK(file.unmeasured[1].note.starts_with(files::kSkipped));
    CHECK(file.unmeasured[2].observation.dog_via[1] == "b");
    const std::string text = files::write_observations(file);
    const auto again = parsed(text);
    CHECK(again.rows.size() == 1);
    CHECK(again.unmeasured.size() == 3);
    CHECK(again.unmeasured[1].note == file.unmeasured[1].note);
    CHECK(files::write_observations(again) == text);
    // all else of it is held to as ever
    CHECK(holds(error_of(kRow + "distance,A1,,,outside,a,b,,\n"), "to is missing"));
    CHECK(holds(error_of(kRow + "distance,A1,B1,,outside,a,b,,-1\n"), "above 0"));
  }

  TEST_CASE("a fault of an observation is told with its line, column and a hint") {
    const struct {
      const char* row;
      const char* at;
      const char* words;
    } faults[] = {
        {"lenght,A1,B1,,outside,a,b,116,", "s.csv:2:1", "distance, compare, offset, corner or check"},
        {"distance-outside,A1,B1,,,a,b,116,", "s.csv:2:1", "write distance, and outside in the column side"},
        {",A1,B1,,outside,a,b,116,", "s.csv:2:1", "kind is missing"},
        {"distance,1A,B1,,outside,a,b,116,", "s.csv:2:10", "hole is '1A'"},
        {"distance,A1,,,outside,a,b,116,", "s.csv:2:13", "to is missing, but must be a hole such as A1"},
        {"distance,A1,B1,C1,outside,a,b,116,", "s.csv:2:16", "a distance has two holes"},
        {"distance,A1,B1,,,a,b,116,", "s.csv:2:17", "outside, inside or centre"},
        {"distance,A1,B1,,center,a,b,116,", "s.csv:2:17", "did you mean 'centre'?"},
        {"distance,A1,B1,,outside,a,b,11x,", "s.csv:2:29", "value is '11x'"},
        {"distance,A1,B1,,outside,a,b,37/64,", "s.csv:2:29", "write 37/64 in"},
        {"distance,A1,B1,,outside,a,b,116,0", "s.csv:2:33", "leave it blank"},
        {"distance,A1,B1,,outside,a,b,116,-0.02", "s.csv:2:33", "above 0"},
        {"distance,A1,B1,,outside,a,b,116,03,", "s.csv:2:33", "a decimal comma between commas needs quotes"},
        {"compare,A1,B1,A2,,,,0.1,0.02", "s.csv:2:15", "the two holes of the other length"},
        {"compare,A1,B1,A2 2B,,,,0.1,0.02", "s.csv:2:15", "two holes with a blank between"},
        {"offset,B1,C1,A1 D1,left,,,0.1,0.02", "s.csv:2:11", "an offset is of one hole"},
        {"offset,B1,,A1 D1,above,,,0.1,0.02", "s.csv:2:18", "left or right"},
        {"corner,E2,E10,A9=a D9=b,right,c,d,0.1 over 600,0.02 over 600", "s.csv:2:25", "right before"},
        {"corner,E2,E10,A9=a D9=,right before,c,d,0.1 over 600,0.02 over 600", "s.csv:2:15", "as A9=low-1"},
        {"corner,E2,E10,A9=a D9=b,right before,c,d,0.1,0.02 over 600", "s.csv:2:42", "0.06 over 600"},
        {"corner,E2,E10,A9=a D9=b,right before,c,d,20 over 600,0.02 over 600", "s.csv:2:42", "1 degree"},
        {"corner,E2,E10,A9=a D9=b,right before,c,d,0.1 over 0,0.02 over 600", "s.csv:2:42", "above 0"},
        {"corner,E2,E10,A9=a D9=b,right before,c,d,0.1 over 600,", "s.csv:2:55", "uncertainty is missing"},
        {"check,,,,,,,,", "s.csv:2:7", "a kept check such as loft/3"},
        {"check,loft/3,,,,,,0.1,", "s.csv:2:19", "are taken from the log"},
        {"check,loft/3,,,,,,,\ncheck,loft/3,,,,,,,", "s.csv:3:7", "named once"},
        {"# by: A,,,,,,,,", "s.csv:2:", "stand above the column row"},
    };
    for (const auto& fault : faults) {
      INFO(fault.row);
      const std::string error = error_of(kRow + fault.row + "\n");
      INFO(error);
      CHECK(holds(error, fault.at));
      CHECK(holds(error, fault.words));
    }
    CHECK(holds(error_of("kind,from,value\n"), "observations is missing"));
    CHECK(holds(error_of("kind,from\ndistance,A1\n"), "column value is missing"));
    CHECK(holds(error_of("kind,from,value,colour\n"), "column is 'colour'"));
    CHECK(holds(error_of("# test: five-cut\n" + kRow), "station, setup, date, unit, caliper, by or note"));
    CHECK(holds(error_of("# statoin: loft\n" + kRow), "did you mean 'station'?"));
    CHECK(holds(error_of("{}"), "--station"));
    CHECK(holds(error_of(kRow + "distance,A1,B1,,outside,a,b,116,03,5\n"), "under a name of the column row"));
  }
}
