// SPDX-License-Identifier: MIT
// The readings are invented, in the scenery workshop of the examples.
#include "files/readings_file.hpp"

#include <doctest/doctest.h>

#include <chrono>
#include <string>
#include <vector>

#include "support/near.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using check::Check;
using check::TestKind;
using files::parse_readings;
using files::text_of;
using quarterturn::test::near;
using units::InputError;

namespace {

const std::string kRow = "panel,from_cut,to_cut,position,width\n";
const std::string kTwo = "1,1,5,20,22.74 22.73 22.75\n1,1,5,545,22.14 22.13 22.15\n";

Check parsed(const std::string& content) {
  return parse_readings(text_of(content, "r.csv"));
}

std::string error_of(const std::string& content) {
  try {
    (void)parsed(content);
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

std::vector<double> widths(const check::Spot& spot) {
  std::vector<double> out;
  for (const check::Reading& reading : spot.readings) out.push_back(reading.mm);
  return out;
}
using Widths = std::vector<double>;

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a whole readings file") {
    const Check check = parsed(
        "# station: dock\n# setup: crosscut\n# date: 2026-03-14T10:20:00+00:00\n# test: progressive\n# unit: "
        "mm\n"
        "# caliper: digital\n# tolerance: 0.10 over 600\n# by: A\n# rail: long\n# panel-size: 600 x 600 x 18 "
        "mm\n"
        "# measured: 2026-03-15\n# caliper-id: 7\n# blade: fine\n# note: invented; all of it\n" +
        kRow +
        "1,1,5,250,14.80 14.81 14.80\n1,1,5,15,14.83\n1,1,5,15,14.84\n1,2,6,15,14.90\n1,2,6,480,14.80\n");
    CHECK(check.station == "dock");
    CHECK(check.setup == "crosscut");
    CHECK(check.date == "2026-03-14T10:20:00+00:00");
    CHECK(check.test == TestKind::progressive);
    REQUIRE(check.caliper);
    CHECK(check.caliper->name == "digital");
    CHECK(check.caliper->repeatability_mm == 0.012);
    REQUIRE(check.tolerance);
    CHECK(check.tolerance->over->mm() == 600);
    CHECK(check.by == "A");
    CHECK(check.rail == "long");
    REQUIRE(check.panel_size);
    CHECK(check.panel_size->thickness_mm == 18);
    CHECK(check.measured == "2026-03-15");
    CHECK(check.caliper_id == "7");
    CHECK(check.blade == "fine");
    CHECK(check.note == "invented; all of it");
    CHECK(check.source == "r.csv");
    REQUIRE(check.strips.size() == 2);
    const check::Strip& strip = check.strips[0];
    CHECK(strip.from_cut == 1);
    CHECK(strip.to_cut == 5);
    REQUIRE(strip.spots.size() == 2);
    CHECK(strip.spots[0].position_mm == 15);
    CHECK(widths(strip.spots[0]) == Widths{14.83, 14.84});
    CHECK(widths(strip.spots[1]) == Widths{14.80, 14.81, 14.80});
    const check::Reading& reading = strip.spots[1].readings[1];
    CHECK(reading.as_typed == "14.81");
    CHECK(reading.step_mm == 0.01);
    CHECK(reading.line == 16);
    CHECK(reading.column == 17);
  }

  TEST_CASE("the kind of test is taken from the strips when it is not given") {
    const auto kind = [](const std::string& pair, const std::string& more = "") {
      return parsed(kRow + "1," + pair + ",20,22.7\n1," + pair + ",500,22.6\n" + more).test;
    };
    CHECK(kind("1,5") == TestKind::five_cut);
    CHECK(kind("0,4") == TestKind::four_cut);
    CHECK(kind("1,5", "1,2,6,20,22.7\n1,2,6,500,22.6\n") == TestKind::progressive);
    CHECK(kind("1,5", "2,1,5,20,22.7\n2,1,5,500,22.6\n") == TestKind::five_cut);
    CHECK(parsed("# test: progressive\n" + kRow + kTwo).test == TestKind::progressive);
  }

  TEST_CASE("a spreadsheet of a comma locale") {
    const Check check = parsed(
        "\xEF\xBB\xBF\"# note: a; b\";;;;\r\n# unit: "
        "mm;;;;\r\npanel;from_cut;to_cut;position;width\r\n1;1;5;20,5;22,74 "
        "22,73\r\n1;1;5;545;22,14\r\n;;;;\r\n");
    REQUIRE(check.strips.size() == 1);
    CHECK(check.note == "a; b");
    CHECK(check.strips[0].spots[0].position_mm == 20.5);
    CHECK(widths(check.strips[0].spots[0]) == Widths{22.74, 22.73});
    const Check quoted = parsed(kRow + "1,1,5,20,\"22,74\"\n1,1,5,545,\"22,14 22,15\"\n");
    CHECK(widths(quoted.strips[0].spots[1]) == Widths{22.14, 22.15});
  }

  TEST_CASE("columns in any order, tabs, and a note column") {
    const Check check = parsed(
        "width\tposition\tto_cut\tfrom_cut\tpanel\tnote\n22.74\t20\t5\t1\t1\tburr "
        "here\n22.14\t545\t5\t1\t1\t\n");
    CHECK(check.strips[0].spots[0].readings[0].note == "burr here");
    CHECK(check.strips[0].spots[1].readings[0].note.empty());
  }

  TEST_CASE("inches, as decimals and as fractions") {
    const Check inch = parsed("# unit: in\n" + kRow + "1,1,5,1,0.8955 0.8950\n1,1,5,21 1/2,57/64\n");
    CHECK(near(inch.strips[0].spots[0].position_mm, 25.4, 1e-15, 0));
    CHECK(near(inch.strips[0].spots[1].position_mm, 546.1, 1e-15, 0));
    CHECK(near(inch.strips[0].spots[0].readings[0].mm, 22.7457, 1e-15, 0));
    CHECK(near(inch.strips[0].spots[0].readings[0].step_mm, 0.00254, 1e-15, 0));
    CHECK(near(inch.strips[0].spots[1].readings[0].step_mm, 25.4 / 64, 1e-15, 0));
    const Check typed = parsed(kRow + "1,1,5,20 mm,1 3/16\" 1-3/16 in\n1,1,5,21 1/2 in,1.18 in\n");
    CHECK(widths(typed.strips[0].spots[0]) == Widths{1.1875 * 25.4, 1.1875 * 25.4});
    CHECK(typed.strips[0].spots[0].readings[0].as_typed == "1 3/16\"");
  }

  TEST_CASE("inches written behind each reading are the unit of the answer too") {
    const Check typed = parsed("strip 1-5\n20 mm: 0.895 in 0.894 in\n545 mm: 0.872 in\n");
    CHECK(typed.unit == units::Unit::inch);
    CHECK(parsed(kRow + "1,1,5,20,22.74 mm\n1,1,5,545,22.14 mm\n").unit == units::Unit::mm);
    // A stated unit counts.
    CHECK(parsed("# unit: mm\n" + kRow + "1,1,5,20,0.895 in\n1,1,5,545,0.872 in\n").unit == units::Unit::mm);
  }

  TEST_CASE("every fault of a readings file carries a hint") {
    const std::vector<std::string> faults{kRow,
                                          kRow + "1,1,5,20,22.74\n",
                                          kRow + "x,1,5,20,22.74\n",
                                          kRow + "1,1,5,20,22.7x\n",
                                          kRow + "1,1,5,20,-1\n1,1,5,500,-1\n",
                                          kRow + "1,1,5,-3,22.7\n",
                                          kRow + "1,1,5,20\n",
                                          kRow + "1,1,5,20,22,7\n",
                                          kRow + "1,1,4,20,22.7\n1,1,4,500,22.7\n",
                                          kRow + "1,5,1,20,22.7\n1,5,1,500,22.7\n",
                                          kRow + "1,1,5,20,22.7\n1,1,5,500,52.7\n",
                                          "# colour: red\n" + kRow,
                                          "# date: 2026-02-30\n" + kRow,
                                          "# date: 03/04/2026\n" + kRow,
                                          "# test: six-cut\n" + kRow,
                                          "# unit: cm\n" + kRow,
                                          "# caliper: golden\n" + kRow,
                                          "# caliper: resolution 0.01, resolution 0.02\n" + kRow,
                                          "# tolerance: 1\n" + kRow,
                                          "# panel-size: 600\n" + kRow,
                                          "# panel-size: 600 x 60000\n" + kRow,
                                          "# station: a\n# station: b\n" + kRow,
                                          "# date: 2026-03-02\n# measured: 2026-03-01\n" + kRow,
                                          "# station\n" + kRow,
                                          "# date:\n" + kRow,
                                          "panel,width,colour\n",
                                          "panel,panel\n",
                                          "1,1,5,20,22.7\n",
                                          kRow + kTwo + kRow,
                                          "strip 1\n20: 22\n",
                                          "strip 1-5\n20:\n",
                                          "strip 1-5\nx y\n",
                                          "20: 22.7\n",
                                          "strip 1-99999\n20: 22\n",
                                          "strip 0-4\npanel 0\n",
                                          "{}",
                                          "# station: dock\n"};
    for (const auto& fault : faults) {
      const std::string error = error_of(fault);
      CAPTURE(fault);
      CAPTURE(error);
      CHECK(error.find(" is ") != std::string::npos);
      CHECK(error.find(", but must be ") != std::string::npos);
      CHECK(error.find("(r.csv") != std::string::npos);
      CHECK(error.find(" Hint: ") != std::string::npos);
    }
  }

  TEST_CASE("the short form of a message") {
    const Check check = parsed("strip 1-5\n20: 22.74 22.73 22.75\n545: 22.14 22.13 22.15\n");
    CHECK(check.test == TestKind::five_cut);
    REQUIRE(check.strips.size() == 1);
    CHECK(widths(check.strips[0].spots[1]) == Widths{22.14, 22.13, 22.15});
    const Check phone = parsed(
        "Station: dock\nCaliper: digital\nTolerance: 0.10 over 600\n# note: invented\n\nPanel 2\nStrip 1 – "
        "5\n20 mm: 22,74, "
        "22,73\n545: 22,14\nstrip 2-6, panel 3\n 20: 22.7\n545: 22.6\n20: 22.8\n");
    CHECK(phone.station == "dock");
    CHECK(phone.caliper->name == "digital");
    CHECK(phone.note == "invented");
    REQUIRE(phone.strips.size() == 2);
    CHECK(phone.strips[0].panel == 2);
    CHECK(phone.strips[1].panel == 3);
    CHECK(phone.strips[1].from_cut == 2);
    CHECK(widths(phone.strips[0].spots[0]) == Widths{22.74, 22.73});
    CHECK(widths(phone.strips[1].spots[0]) == Widths{22.7, 22.8});
    const check::Reading& reading = phone.strips[0].spots[0].readings[1];
    CHECK(reading.line == 8);
    CHECK(reading.column == 15);
  }

  TEST_CASE("what a message must not hold") {
    CHECK(error_of("20: 22.74\n") ==
          "strip is missing, but must be named above its readings (r.csv:1:1). Hint: put a line 'strip 1-5' "
          "above");
    CHECK(error_of("strip 1-5\n22.74 22.73\n").find("line is '22.74 22.73'") == 0);
    CHECK(error_of("strip 1\n20: 22\n").find("strip is 'strip 1', but must be two cuts such as 1-5") == 0);
    CHECK(error_of("strip 1-5 left\n20: 22\n").find("line is 'strip 1-5 left'") == 0);
    CHECK(error_of("strip 1-5\n20:\n545: 22.1\n")
              .find("width is empty, but must be a length such as 14.83 (r.csv:2:4)") == 0);
    CHECK(error_of("strip 1-5\n20: 22.74 x\n545: 22.1\n").find("width is 'x'") == 0);
    CHECK(error_of("strip 1-5\n20: 22.74 x\n545: 22.1\n").find("(r.csv:2:11)") != std::string::npos);
    CHECK(
        error_of("station: dock\n" + kRow + kTwo).find("above a table, 'key: value' lines begin with '#'") !=
        std::string::npos);
    CHECK(error_of("strip 1-5\n20: 22.74\n").find("measured at one spot only") != std::string::npos);
    CHECK(error_of("strip 1-99999\n20: 22.74\n").find("strip is '99999'") == 0);
    CHECK(error_of("colour: red\nstrip 1-5\n").find("key is 'colour'") == 0);
    CHECK(error_of("1-5\n20: 22.74\n545: 22.14\n") ==
          "line is '1-5', but must be 'strip 1-5', 'panel 2', '20: 22.74 22.73' or 'key: value' (r.csv:1:1). "
          "Hint: write 'strip' before the two cuts");
    CHECK(error_of("caliper: digital\n1 – 5:\n20: 22.74\n").find("Hint: write 'strip'") != std::string::npos);
    // The second message pasted behind the first would be pooled with it.
    const std::string one = "strip 1-5\n20: 22.74\n545: 22.14\n";
    CHECK(error_of(one + one) ==
          "strip is 'strip 1-5', but must be named once a panel (r.csv:4:1). Hint: it stands in line 1 "
          "already; the strips of another panel stand under 'panel 2'");
    CHECK(error_of("panel 1\n" + one + "panel 2\n" + one).empty());
    CHECK(error_of("panel 1\n" + one + "strip 2-6\n20: 22.7\n545: 22.6\npanel 1\n" + one)
              .find("it stands in line 2 already") != std::string::npos);
  }

  TEST_CASE("numbers that can not be") {
    CHECK(error_of(kRow + "1,1,5,20,22.7x\n1,1,5,545,22.14\n") ==
          "width is '22.7x', but must be a number such as 14.83, 14.83 mm, 0.584 in or 37/64 in "
          "(r.csv:2:10). Hint: only "
          "the number and its unit");
    CHECK(error_of(kRow + "1,1,5,20,-22.7\n1,1,5,545,22.14\n") ==
          "width is '-22.7', but must be a strip's width, 0.5 mm to 2 m (r.csv:2:10). Hint: strips are 20 to "
          "30 mm wide: a unit or a decimal mark?");
    CHECK(error_of(kRow + "1,1,5,20,9999999\n1,1,5,545,22.14\n").find("width is '9999999'") == 0);
    CHECK(error_of(kRow + "1,1,5,-1,22.7\n") ==
          "position is '-1', but must be 0 to 10 m from the strip's fence end (r.csv:2:7). Hint: how far the "
          "place measured "
          "lies from the end that was at the fence");
    CHECK(error_of(kRow + "1,1,5,10001,22.7\n").find("position is '10001'") == 0);
    CHECK(error_of(kRow + "1,1,5,nan,22.7\n").find("position is 'nan'") == 0);
    CHECK(error_of(kRow + "1,1,5,20,22.7 ?\n").find("(r.csv:2:15)") != std::string::npos);
    CHECK(error_of(kRow + "0,1,5,20,22.7\n") ==
          "panel is '0', but must be a whole number from 1 to 9999 (r.csv:2:1). Hint: digits only, without a "
          "unit");
    CHECK(error_of(kRow + "1,1.5,5,20,22.7\n").find("from_cut is '1.5'") == 0);
    CHECK(error_of(kRow + "1,1,5,\"1,250\",22.7\n") ==
          "position is '1,250', but must be a number with one meaning (r.csv:2:7). Hint: this can mean 1250 "
          "or 1.250: write "
          "the one you mean");
    CHECK(error_of(kRow + "1,1,5,20,37/64\n1,1,5,545,37/64\n") ==
          "width is '37/64', but must be a fraction with its unit (r.csv:2:10). Hint: write 37/64 in");
  }

  TEST_CASE("mixed units") {
    CHECK(error_of(kRow + "1,1,5,20,22.74\n1,1,5,545,0.872 in\n") ==
          "width is '0.872 in', but must be in mm like the width in line 2: mixed units (r.csv:3:11). Hint: "
          "one caliper, one "
          "unit; '# unit: in' makes bare numbers inches");
    CHECK(error_of("# unit: in\n" + kRow + "1,1,5,1,0.872 22.15 mm\n").find("mixed units (r.csv:3:15)") !=
          std::string::npos);
    CHECK(error_of("# unit: in\n" + kRow + "1,1,5,20 mm,0.872\n1,1,5,500 mm,0.871\n").empty());
  }

  TEST_CASE("tables that are none") {
    CHECK(error_of("1,1,5,20,22.74\n1,1,5,545,22.14\n") ==
          "column row is '1,1,5,20,22.74', but must be panel,from_cut,to_cut,position,width (r.csv:1:1). "
          "Hint: put the row of "
          "names above the numbers");
    CHECK(error_of("# station: dock\n") ==
          "column row is missing, but must be panel,from_cut,to_cut,position,width (r.csv). Hint: the file "
          "holds header lines "
          "only");
    CHECK(error_of(kRow).find("readings is 'none'") == 0);
    CHECK(error_of("panel,from_cut,to_cut,positoin,width\n") ==
          "column is 'positoin', but must be panel, from_cut, to_cut, position, width or note (r.csv:1:23). "
          "Hint: did you mean "
          "'position'?");
    CHECK(error_of("panel,from_cut,to_cut,width\n") ==
          "column position is missing, but must be in the column row (r.csv:1:28). Hint: the columns are "
          "panel,from_cut,to_cut,position,width");
    CHECK(error_of("panel,panel,from_cut,to_cut,position,width\n") ==
          "column is 'panel', but must be given once (r.csv:1:7). Hint: take one of the two columns out");
    CHECK(error_of("panel,position,width\n1,20,22.7\n") ==
          "column from_cut is missing, but must be in the column row (r.csv:1:21). Hint: the columns are "
          "panel,from_cut,to_cut,position,width");
    CHECK(error_of(kRow + kTwo + kRow + kTwo) ==
          "row is 'panel,from_cut,to_cut,position,width', but must be numbers (r.csv:4:1). Hint: the column "
          "row stands in line "
          "1 already: two files joined?");
    CHECK(error_of(kRow + "1,1,5,20\n") ==
          "width is missing, but must be given in every row (r.csv:2:9). Hint: a row is "
          "panel,from_cut,to_cut,position,width");
    CHECK(error_of(kRow + "1,,5,20,22.7\n") ==
          "from_cut is missing, but must be given in every row (r.csv:2:3). Hint: a row is "
          "panel,from_cut,to_cut,position,width");
    CHECK(error_of(kRow + "1,1,5,20,22,74\n") ==
          "cell is '74', but must be under a name of the column row (r.csv:2:13). Hint: a decimal comma "
          "between commas needs "
          "quotes: \"14,83\"");
    CHECK(error_of("panel,from_cut,to_cut,position,width,note\n1,1,5,20,22,74\n")
              .find("note is '74', but must be words") == 0);
    CHECK(error_of(kRow + "# note: x\n" + kTwo).find("'# key: value' lines stand above the column row") !=
          std::string::npos);
    CHECK(error_of("{ \"name\": \"dock\" }").find("a station file is given with --station") !=
          std::string::npos);
  }

  TEST_CASE("strips that are none") {
    CHECK(error_of(kRow + "1,1,5,20,22.74\n").find("strip 1-5 is 'measured at one spot only'") == 0);
    CHECK(error_of(kRow + "1,5,1,20,22.74\n1,5,1,545,22.14\n")
              .find("must be in order, the earlier cut first (r.csv:2:10)") != std::string::npos);
    CHECK(error_of(kRow + "1,1,4,20,22.74\n1,1,4,545,22.14\n").find("keep the strip of the fifth cut") !=
          std::string::npos);
  }

  TEST_CASE("header lines that are none") {
    const auto head = [](const std::string& line) { return error_of(line + "\n" + kRow + kTwo); };
    CHECK(head("# station: dock").empty());
    CHECK(head("# statoin: dock").find("key is 'statoin'") == 0);
    CHECK(head("# statoin: dock").find("(r.csv:1:3). Hint: did you mean 'station'?") != std::string::npos);
    CHECK(head("# by: A\n# by: B") ==
          "key is 'by', but must be given once (r.csv:2:3). Hint: it stands in line 1 already");
    CHECK(head("# just words").find("header line is 'just words', but must be 'key: value' (r.csv:1:3)") ==
          0);
    CHECK(head("# unit: inch") == "unit is 'inch', but must be mm or in (r.csv:1:9). Hint: write in");
    CHECK(head("# unit:").find("unit is empty, but must be given behind the colon") == 0);
    CHECK(head("# test: square") ==
          "test is 'square', but must be five-cut, four-cut, progressive, turn-over, frame or rail "
          "(r.csv:1:9). "
          "Hint: leave the line out if it is not known");
    CHECK(head("# test: fivecut").find("did you mean 'five-cut'?") != std::string::npos);
    CHECK(head("# form: pair").find("it belongs to a turn-over test") != std::string::npos);
    CHECK(head("# pieces: 4").find("it belongs to a frame test") != std::string::npos);
    CHECK(head("# date: 03/04/2026").find("2026-04-03 (day first) or 2026-03-04 (month first)") !=
          std::string::npos);
    CHECK(head("# date: 03/04/2026").find("(r.csv:1:9)") != std::string::npos);
    CHECK(head("# date: 2026-03-14\n# measured: 2026-03-13")
              .find("not before the cuts' date, 2026-03-14 (r.csv:2:13)") != std::string::npos);
    CHECK(head("# station:,dock").find("in the same cell as its key") != std::string::npos);
    CHECK(head("#:,gap").starts_with("header line is ',gap', but must be in the same cell as its key"));
    CHECK(head("# station: a\x1b[2J").find("one line of plain text") != std::string::npos);
    CHECK(head("# tolerance: 0.10").find("tolerance is '0.10'") == 0);
    CHECK(head("# caliper: digtal").find("did you") ==
          std::string::npos);  // the nearest class stands first instead
    CHECK(head("# caliper: digtal").find("caliper is 'digtal', but must be digital, ") == 0);
    CHECK(head("# by:\n# note:\n# blade:").empty());  // a bench sheet's open lines
    CHECK(head("# tolerance: 0.004 over 24\n# unit: in").find("mixed") == std::string::npos);
  }

  TEST_CASE("the file's unit counts for its header, wherever it stands") {
    const Check check = parsed("# tolerance: 0.004 over 24\n# panel-size: 24 x 24\n# unit: in\n" + kRow +
                               "1,1,5,1,0.9\n1,1,5,20,0.8\n");
    CHECK(near(check.tolerance->over->mm(), 609.6, 1e-15, 0));
    CHECK(near(check.panel_size->width_mm, 609.6, 1e-15, 0));
  }

  TEST_CASE("a caliper, stated or of a class") {
    const check::Caliper stated =
        files::parse_caliper("resolution 0.01, repeatability 0.012, reliability 0.25");
    CHECK(stated.resolution_mm == 0.01);
    CHECK(stated.repeatability_mm == 0.012);
    CHECK(stated.reliability == 0.25);
    CHECK(stated.dof() == 8);  // GUM G.4.2: nu = 1/2 (du/u)^-2
    CHECK(files::parse_caliper("resolution 0,01,repeatability 0,012").repeatability_mm == 0.012);
    CHECK(files::parse_caliper("Resolution 0.02; reach 300").reach_mm == 300);
    CHECK(files::parse_caliper("resolution 0.02").repeatability_mm == 0);
    CHECK(near(files::parse_caliper("resolution 0.0005", units::Unit::inch).resolution_mm, 0.0127, 1e-15, 0));
    CHECK(files::parse_caliper("resolution 0.01 mm", units::Unit::inch).resolution_mm == 0.01);
    CHECK(files::parse_caliper(" vernier-0.05 ").resolution_mm == 0.05);
    for (const char* text :
         {"", "resolution", "resolution x", "repeatability 0.01", "resolution 0, repeatability 0.01",
          "resolution 2", "resolution 0.01, resolution 0.02", "resolution 0.01, reliability 25",
          "resolution 0.01, reliability 0", "resolution 0.01, reliability 0.25 mm", "resolution -0.01",
          "resolution 0.01, colour 3", "resolution 0.01,", "resolution 0.01, reach 5", "0.01, 0.02"}) {
      CAPTURE(text);
      CHECK_THROWS_AS((void)files::parse_caliper(text), InputError);
    }
  }

  TEST_CASE("a panel's size") {
    const auto size = files::parse_panel_size("600 x 500 x 18 mm");
    CHECK(size.width_mm == 600);
    CHECK(size.depth_mm == 500);
    CHECK(size.thickness_mm == 18);
    CHECK(files::parse_panel_size("600 600").depth_mm == 600);
    CHECK(files::parse_panel_size("600x600").depth_mm == 600);
    CHECK(files::parse_panel_size("600 × 600").depth_mm == 600);
    CHECK(near(files::parse_panel_size("24 x 24 in").width_mm, 609.6, 1e-15, 0));
    CHECK(near(files::parse_panel_size("23 1/2 x 24 x 3/4 in").width_mm, 596.9, 1e-15, 0));
    CHECK(near(files::parse_panel_size("24 24", units::Unit::inch).width_mm, 609.6, 1e-15, 0));
    CHECK_FALSE(files::parse_panel_size("600 600").thickness_mm);
    for (const char* text : {"", "600", "600 x", "x 600", "600 x 600 x 18 x 2", "0 x 600", "-600 x 600",
                             "600 x 600 x 900", "a x b", "600 by 600", "1e9 x 600"}) {
      CAPTURE(text);
      CHECK_THROWS_AS((void)files::parse_panel_size(text), InputError);
    }
  }

  TEST_CASE("eight strips of six spots and three readings parse in far less than a millisecond") {
    std::string content = "# station: dock\n# caliper: digital\n" + kRow;
    for (int strip = 0; strip < 8; ++strip) {
      for (int spot = 0; spot < 6; ++spot) {
        content += "1," + std::to_string(1 + strip) + "," + std::to_string(5 + strip) + "," +
                   std::to_string(20 + 100 * spot) + ",22.74 22.73 22.75\n";
      }
    }
    auto best = std::chrono::steady_clock::duration::max();
    for (int i = 0; i < 20; ++i) {
      const files::Text text = text_of(content, "r.csv");
      const auto start = std::chrono::steady_clock::now();
      const Check check = parse_readings(text);
      best = std::min(best, std::chrono::steady_clock::now() - start);
      CHECK(check.strips.size() == 8);
    }
    const double us = std::chrono::duration<double, std::micro>(best).count();
    MESSAGE("readings file parsed in ", us, " microseconds");
    CHECK(us < 10'000);  // generous: unoptimised and sanitized builds run this too
  }

  TEST_CASE("more readings than anyone takes are refused before they cost") {
    std::string content = kRow;
    const std::string row = [] {
      std::string cell;
      for (int i = 0; i < 1000; ++i) cell += "22.74 ";
      return cell;
    }();
    for (int i = 0; i < 101; ++i) content += "1,1,5," + std::to_string(i) + "," + row + "\n";
    CHECK(error_of(content).find("readings is 'more than 100,000'") == 0);
  }
}
