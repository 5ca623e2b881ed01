// SPDX-License-Identifier: MIT
// The readings are invented, in the scenery workshop of the examples.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "files/readings_file.hpp"
#include "support/near.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using check::Check;
using check::Form;
using check::TestKind;
using quarterturn::test::near;
using units::InputError;

namespace {

const std::string kPairs = "panel,position,gap\n1,20,0.35 0.35\n1,540,0\n2,20,0.30\n2,540,0.05 0\n";
const std::string kRings = "ring,position,gap\n1,10,0.15\n1,100,0\n";
const std::string kRail = "position,gap\n30,0\n480,0.10 0.15\n930,0.05\n";

Check parsed(const std::string& content) {
  return files::parse_readings(files::text_of(content, "r.csv"));
}

std::string error_of(const std::string& content) {
  try {
    (void)parsed(content);
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

void same(const Check& a, const Check& b) {
  CHECK(a.test == b.test);
  CHECK(a.form == b.form);
  CHECK(a.pieces == b.pieces);
  CHECK(a.unit == b.unit);
  REQUIRE(a.strips.size() == b.strips.size());
  for (std::size_t i = 0; i < a.strips.size(); ++i) {
    CHECK(a.strips[i].panel == b.strips[i].panel);
    CHECK(a.strips[i].from_cut == 0);
    CHECK(a.strips[i].to_cut == 0);
    REQUIRE(a.strips[i].spots.size() == b.strips[i].spots.size());
    for (std::size_t j = 0; j < a.strips[i].spots.size(); ++j) {
      const auto& p = a.strips[i].spots[j];
      const auto& q = b.strips[i].spots[j];
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
  TEST_CASE("what a table of gaps tests is told by its columns, and the form by its line") {
    const Check pair = parsed("# form: pair\n" + kPairs);
    CHECK(pair.test == TestKind::turn_over);
    CHECK(pair.form == Form::pair);
    REQUIRE(pair.strips.size() == 2);
    CHECK(pair.strips[1].panel == 2);
    CHECK(pair.strips[0].spots[0].readings.size() == 2);
    CHECK(pair.strips[0].spots[1].readings[0].mm == 0);
    CHECK(parsed("# form: Halves\n" + kPairs).form == Form::halves);
    const Check ring = parsed("# pieces: 4\n" + kRings);
    CHECK(ring.test == TestKind::frame);
    CHECK(ring.form == Form::separate);  // unless it is said that one cut made two ends
    CHECK(ring.pieces == 4);
    CHECK(parsed("# pieces: 24\n# form: shared\n" + kRings).form == Form::shared);
    const Check rail = parsed(kRail);
    CHECK(rail.test == TestKind::rail);
    CHECK(rail.form == Form::none);
    REQUIRE(rail.strips.size() == 1);
    CHECK(rail.strips[0].spots.size() == 3);
    CHECK(parsed("# test: rail\n" + kRail).test == TestKind::rail);
    CHECK(parsed("# test: turn-over\n# form: pair\n" + kPairs).test == TestKind::turn_over);
    CHECK(parsed("# test: frame\n# pieces: 3\n" + kRings).test == TestKind::frame);
  }

  TEST_CASE("written and read back, each kind and form is the same") {
    const std::vector<std::string> all{
        "# station: dock\n# form: pair\n" + kPairs,
        "# form: halves\n# unit: in\npanel,position,gap\n2,1,0.014\n2,21 1/4,0\n1,1,0.0035 in\n1,21 1/4,0.5 "
        "mm\n",
        "# pieces: 6\n# form: shared\n" + kRings,
        "# pieces: 3\n# form: separate\nring,position,gap,note\n7,10.5,\"0,15 0,1\",leaf "
        "bent\n7,100,0.000,\n",
        kRail,
        "# unit: in\n# caliper: feeler\nposition,gap\n1,0\n18,0.004\n36,0.002\n",
    };
    for (std::size_t i = 0; i < all.size(); ++i) {
      if (i == 1) continue;  // mixed units are refused, below
      CAPTURE(all[i]);
      const Check check = parsed(all[i]);
      const std::string written = files::write_readings(check);
      CAPTURE(written);
      same(check, parsed(written));
      CHECK(files::write_readings(parsed(written)) == written);
    }
  }

  TEST_CASE("a message of gaps: the pair or ring above its places; the first needs none") {
    const Check pair = parsed(
        "station: dock\ntest: turn-over\nform: pair\n20: 0.35 0.35\n540: 0\npair 2\n20: 0.3\n540: 0.05\n");
    CHECK(pair.test == TestKind::turn_over);
    REQUIRE(pair.strips.size() == 2);
    CHECK(pair.strips[0].panel == 1);
    CHECK(pair.strips[1].panel == 2);
    CHECK(pair.strips[1].spots[0].readings[0].mm == 0.3);
    same(pair, parsed(files::write_readings(pair)));
    const Check ring = parsed("test: frame\npieces: 4\nring 1\n10: 0.15\n100: 0\nRing 3:\n10: 0.1\n100: 0\n");
    REQUIRE(ring.strips.size() == 2);
    CHECK(ring.strips[1].panel == 3);
    CHECK(ring.form == Form::separate);
    const Check rail = parsed("test: rail\n30: 0\n480: 0.10 0.15\n930: 0.05\n");
    CHECK(rail.test == TestKind::rail);
    same(rail, parsed(kRail));
    // Halves are joints too, told apart as pairs are.
    CHECK(parsed("test: turn-over\nform: halves\npair 1\n20: 0.3\n200: 0\n").form == Form::halves);
  }

  TEST_CASE("inches: of the file, behind the readings, and a decimal comma") {
    const Check inch = parsed("# unit: in\n# form: pair\npanel,position,gap\n1,1,0.014\n1,21,0\n");
    CHECK(near(inch.strips[0].spots[0].readings[0].mm, 0.014 * 25.4, 1e-12, 0));
    CHECK(near(inch.strips[0].spots[0].position_mm, 25.4, 1e-12, 0));
    CHECK(near(inch.strips[0].spots[0].readings[0].step_mm, 0.0254, 1e-12, 0));
    const Check behind = parsed("# form: pair\npanel,position,gap\n1,20,0.014 in\n1,540,0 in\n");
    CHECK(behind.unit == units::Unit::inch);
    CHECK(near(behind.strips[0].spots[1].position_mm, 540, 0, 0));
    same(behind, parsed(files::write_readings(behind)));
    const Check comma = parsed("# form: pair\npanel;position;gap\n1;20,5;0,35 0,3\n1;540;0\n");
    CHECK(comma.strips[0].spots[0].readings[1].mm == 0.3);
    CHECK(comma.strips[0].spots[0].position_mm == 20.5);
    CHECK(parsed("# form: pair\npanel,position,gap\n1,20,\"0,35\"\n1,540,0\n")
              .strips[0]
              .spots[0]
              .readings[0]
              .mm == 0.35);
    CHECK(
        error_of("# form: pair\npanel,position,gap\n1,20,0,35\n1,540,0\n") ==
        "cell is '35', but must be under a name of the column row (r.csv:3:8). Hint: a decimal comma between "
        "commas needs quotes: \"14,83\"");
    CHECK(error_of("# form: pair\npanel,position,gap\n1,20,0.014 in\n1,540,0.1 mm\n") ==
          "gap is '0.1 mm', but must be in inches like the gap in line 3: mixed units (r.csv:4:7). Hint: one "
          "feeler, one unit; '# unit: in' makes bare numbers inches");
  }

  TEST_CASE("a column of another test") {
    CHECK(error_of("# test: five-cut\npanel,from_cut,to_cut,position,gap\n1,1,5,20,0.3\n") ==
          "column is 'gap', but must be panel, from_cut, to_cut, position, width or note (r.csv:2:32). Hint: "
          "the "
          "columns of a five-cut test are panel,from_cut,to_cut,position,width");
    CHECK(error_of("# test: frame\n# pieces: 4\nring,position,width\n1,10,0.15\n") ==
          "column is 'width', but must be ring, position, gap or note (r.csv:3:15). Hint: the columns of a "
          "frame "
          "test are ring,position,gap");
    CHECK(error_of("# test: turn-over\n# form: pair\nring,position,gap\n1,10,0.15\n") ==
          "column is 'ring', but must be panel, position, gap or note (r.csv:3:1). Hint: the columns of a "
          "turn-over test are panel,position,gap");
    CHECK(error_of("# test: rail\npanel,position,gap\n1,10,0.15\n") ==
          "column is 'panel', but must be position, gap or note (r.csv:2:1). Hint: the columns of a rail "
          "test are "
          "position,gap");
    CHECK(error_of("# form: pair\npanel,position,gpa\n1,10,0.15\n").find("the column") != std::string::npos);
    CHECK(error_of("# test: frame\n# pieces: 4\nposition,gap\n10,0.15\n") ==
          "column ring is missing, but must be in the column row (r.csv:3:13). Hint: the columns are "
          "ring,position,gap");
  }

  TEST_CASE("form and pieces: missing, unknown, or of another test") {
    CHECK(error_of(kPairs) ==
          "form is missing, but must be pair or halves in a turn-over test (r.csv). Hint: '# form: pair' for "
          "two "
          "kept pieces of two cuts, '# form: halves' for kept piece and offcut of one cut");
    CHECK(error_of("# test: turn-over\n# form: shared\n" + kPairs) ==
          "form is 'shared', but must be pair or halves in a turn-over test (r.csv:2:9). Hint: '# form: "
          "pair' for "
          "two kept pieces of two cuts, '# form: halves' for kept piece and offcut of one cut");
    CHECK(error_of("# form: pair\npanel,from_cut,to_cut,position,width\n1,1,5,20,22.7\n1,1,5,500,22.6\n") ==
          "form is 'pair', but must be left out in a five-cut test (r.csv:1:9). Hint: it belongs to a "
          "turn-over "
          "test; take the line out");
    CHECK(
        error_of("# pieces: 4\n# form: halves\n" + kRings) ==
        "form is 'halves', but must be separate or shared in a frame test (r.csv:2:9). Hint: separate: every "
        "mitre a cut of its own; shared: one cut makes the ends of two pieces");
    CHECK(error_of("# form: separate\n" + kRail) ==
          "form is 'separate', but must be left out in a rail test (r.csv:1:9). Hint: it belongs to a frame "
          "test; "
          "take the line out");
    CHECK(error_of("# form: pairs\n" + kPairs) ==
          "form is 'pairs', but must be pair, halves, separate or shared (r.csv:1:9). Hint: did you mean "
          "'pair'?");
    CHECK(error_of("# form: halfs\n" + kPairs).find("did you mean 'halves'?") != std::string::npos);
    CHECK(
        error_of("# form:\n" + kPairs).find("form is empty, but must be given behind the colon (r.csv:1:") ==
        0);
    CHECK(
        error_of(kRings) ==
        "pieces is missing, but must be 3 to 24 in a frame test (r.csv). Hint: how many pieces the ring has: "
        "'# pieces: 4'");
    for (const char* count : {"2", "25"}) {
      const std::string told = error_of("# pieces: " + std::string(count) + "\n" + kRings);
      CHECK(told == "pieces is '" + std::string(count) +
                        "', but must be a whole number from 3 to 24 (r.csv:1:11). Hint: how many pieces the "
                        "ring has");
    }
    CHECK(error_of("# form: pair\n# pieces: 4\n" + kPairs) ==
          "pieces is '4', but must be left out in a turn-over test (r.csv:2:11). Hint: it belongs to a frame "
          "test; take the line out");
    CHECK(error_of("# test: turnover\n# form: pair\n" + kPairs).find("did you mean 'turn-over'?") !=
          std::string::npos);
  }

  TEST_CASE("gaps that are none, and places that tell no taper") {
    CHECK(error_of("# form: pair\npanel,position,gap\n1,20,-0.1\n1,540,0\n") ==
          "gap is '-0.1', but must be 0 where the joint is closed, to 20 mm (r.csv:3:6). Hint: the thickest "
          "feeler that enters; where the pieces touch it is 0");
    CHECK(error_of("# form: pair\npanel,position,gap\n1,20,21\n1,540,20.9\n") ==
          "gap is '21', but must be 0 where the joint is closed, to 20 mm (r.csv:3:6). Hint: the thickest "
          "feeler "
          "that enters: a unit or a decimal mark?");
    CHECK(error_of("position,gap\n20,-0.1\n540,0\n") ==
          "gap is '-0.1', but must be 0 where the edge meets the line, to 20 mm (r.csv:2:4). Hint: the "
          "thickest "
          "feeler that enters; where the edge meets the line it is 0");
    CHECK(error_of("# form: pair\npanel,position,gap\n1,20,0.3\n1,540,0\n3,20,0.2 0.3\n") ==
          "pair 3 is 'measured at one spot only', but must be measured at two places or more (r.csv:5:6). "
          "Hint: "
          "read the gap near both ends of the joint, 20 mm in");
    CHECK(error_of("# pieces: 4\nring,position,gap\n1,10,0.2\n") ==
          "ring 1 is 'measured at one spot only', but must be measured at two places or more (r.csv:3:6). "
          "Hint: "
          "read the gap near both ends of the joint, 20 mm in");
    CHECK(
        error_of("position,gap\n10,0.2\n") ==
        "rail is 'measured at one spot only', but must be measured at two places or more (r.csv:2:4). Hint: "
        "read the gap near both ends of the rail and half way");
    CHECK(error_of("# form: pair\npanel,position,gap\n1,20,10\n1,40,0\n") ==
          "pair 1 is '10 mm at one end and 0 mm at the other', but must be nearly as wide at both ends: less "
          "than "
          "a twentieth of the distance apart (r.csv:3:6). Hint: one of them in the other unit?");
    CHECK(error_of("# form: pair\npanel,position,gap\n1,20,\n1,40,0\n")
              .find("gap is missing, but must be given in "
                    "every row (r.csv:3:6)") == 0);
    CHECK(error_of("# form: pair\npanel,position,gap\n0,20,0.1\n1,40,0\n").find("(r.csv:3:1)") !=
          std::string::npos);
    CHECK(error_of("# form: pair\npanel,position,gap\n1,20000,0.1\n1,40,0\n") ==
          "position is '20000', but must be 0 to 10 m from the joint's fence end (r.csv:3:3). Hint: how far "
          "the place "
          "measured lies from the end that was at the fence");
    CHECK(error_of("# pieces: 4\nring,position,gap\n1,20000,0.1\n1,40,0\n") ==
          "position is '20000', but must be 0 to 10 m from the joint's outer end (r.csv:3:3). Hint: how far "
          "the place measured lies from the ring's outside");
    CHECK(error_of("position,gap\n20000,0.1\n40,0\n") ==
          "position is '20000', but must be 0 to 10 m along the rail (r.csv:2:1). Hint: how far the place "
          "measured lies from the end that you begin at");
    CHECK(error_of("# form: pair\npanel,position,gap\n")
              .find("readings is 'none', but must be at least one joint, "
                    "its gap read at two places (r.csv)") == 0);
  }

  TEST_CASE("headings of another test in a message") {
    CHECK(error_of("test: turn-over\nform: pair\nstrip 1-5\n20: 0.3\n540: 0\n") ==
          "strip is '1-5', but must be left out in a turn-over test (r.csv:3:1). Hint: joints are numbered: "
          "'pair "
          "2'");
    CHECK(error_of("test: frame\npieces: 4\nstrip 1-5\n20: 0.3\n540: 0\n").find("'ring 2'") !=
          std::string::npos);
    CHECK(error_of("test: rail\nstrip 1-5\n20: 0.3\n540: 0\n") ==
          "strip is '1-5', but must be left out in a rail test (r.csv:2:1). Hint: a rail has one edge: its "
          "places "
          "stand without a heading");
    CHECK(error_of("test: rail\nrail 2\n20: 0.3\n540: 0\n").find("(r.csv:2:1)") != std::string::npos);
    CHECK(error_of("test: turn-over\nform: pair\nring 1\n20: 0.3\n540: 0\n") ==
          "ring is '1', but must be left out in a turn-over test (r.csv:3:1). Hint: joints are numbered: "
          "'pair 2'");
    CHECK(error_of("pair 2\n20: 0.3\n540: 0.1\n") ==
          "pair is '2', but must be left out in a five-cut test (r.csv:1:1). Hint: a message of gaps says "
          "which: "
          "'test: turn-over' or 'test: frame'");
    CHECK(error_of("panel 2\n20: 22.3\n540: 22.1\n")
              .find("strip is missing, but must be named above its "
                    "readings (r.csv:2:1)") == 0);
    CHECK(error_of("test: turn-over\nform: pair\nhello\n") ==
          "line is 'hello', but must be 'pair 2', 'ring 2', '20: 0.15 0.2' or 'key: value' (r.csv:3:1). "
          "Hint: readings stand behind the distance of their place: '20: 0.15 0.2'");
  }
}
