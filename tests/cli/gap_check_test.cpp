// SPDX-License-Identifier: MIT
/// Tests that read a gap, at the command line: rail, turn-over and frame. Readings are invented, in the
/// scenery workshop of the examples.
#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "support/near.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;
using Json = nlohmann::json;
using test::Home;
using test::near;
using test::Ran;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// Its rail is 40 mm wide, so that a panel of 600 mm reaches both fence dogs.
std::string station_json() {
  const auto setup = [](const char* name, const char* deg, const char* far, const char* left,
                        const char* right, const char* keep, const char* bar) {
    return std::string("\"") + name + R"(": { "nominal_deg": )" + deg +
           R"(, "rail": { "near": { "hole": "E2", "dog": "tall-1" }, "far": { "hole": ")" + far +
           R"(", "dog": "tall-2" }, "rail_on_face": "right", "rail": "long" }, "fence": { "left": { "hole": ")" +
           left + R"(", "dog": "low-1" }, "right": { "hole": ")" + right + R"(", "dog": "low-2" })" + bar +
           R"( }, "panel_side": "before", "keep": ")" + keep +
           R"(", "tolerance": { "mm": 0.10, "over_mm": 600 } })";
  };
  const char* const bar = R"(, "bar": { "length_mm": 600, "bow_mm": 0, "taper_mm": 0 })";
  return R"({ "name": "dock", "operator": "front",
    "grid": { "pitch_mm": 96, "columns": 9, "rows": 11, "hole_diameter_mm": 20 },
    "dogs": { "tall-1": { "diameter_mm": 20 }, "tall-2": { "diameter_mm": 20 },
              "low-1": { "diameter_mm": 20 }, "low-2": { "diameter_mm": 20 } },
    "shims": [ { "name": "foil tape", "layer_mm": 0.070, "uncertainty_mm": 0.005, "layers": 8, "hard": false } ],
    "rails": { "long": { "length_mm": 1400, "width_mm": 40, "joined": false } },
    "setups": { )" +
         setup("crosscut", "90", "E10", "A9", "D9", "left", "") + ", " +
         setup("right", "90", "E10", "F9", "I9", "right", "") + ", " +
         setup("bar", "90", "E10", "A9", "D9", "left", bar) + ", " +
         setup("mitre", "45", "I6", "A9", "D9", "left", "") + ", " +
         setup("mitre-right", "45", "I6", "G9", "I9", "right", "") + " } }\n";
}

struct Bench {
  Home home;
  Bench() { REQUIRE(run({"station", "add", home.write("dock.json", station_json())}).status == 0); }
  [[nodiscard]] Ran run(std::vector<std::string> words, const std::string& input = "") const {
    words.emplace_back("--plain");
    return test::run_program(home, words, input);
  }
  [[nodiscard]] Ran check(const std::string& readings, std::vector<std::string> more = {}) const {
    more.insert(more.begin(), {"check", "-"});
    return run(std::move(more), readings);
  }
  [[nodiscard]] Json json(const std::string& readings, std::vector<std::string> more = {}) const {
    more.emplace_back("--json");
    const auto ran = check(readings, std::move(more));
    REQUIRE(ran.status == 0);
    return Json::parse(ran.out);
  }
};

std::string rail(const std::string& setup, const std::string& rows, const std::string& date = "2026-03-01",
                 const std::string& more = "") {
  return "# station: dock\n# setup: " + setup + "\n# date: " + date + "\n# test: rail\n# unit: mm\n" + more +
         "position,gap\n" + rows;
}
/// Ends and middle of the rail, read so many times alike.
std::string three(const std::string& ends, const std::string& middle) {
  return "20," + ends + "\n300," + middle + "\n580," + ends + "\n";
}
std::string strip(const std::string& setup, const std::string& date, const std::string& fence = "22.74") {
  return "# station: dock\n# setup: " + setup + "\n# date: " + date +
         "\n# test: five-cut\n# unit: mm\n# caliper: digital\n# panel-size: 600 x 600 x 18 mm\n"
         "panel,from_cut,to_cut,position,width\n1,1,5,20," +
         fence + "\n1,1,5,270,22.45\n1,1,5,520,22.15\n";
}
std::string pair(const std::string& rows, const std::string& date = "2026-03-04",
                 const std::string& more = "# panel-size: 600 x 500 x 18 mm\n") {
  return "# station: dock\n# setup: right\n# date: " + date +
         "\n# test: turn-over\n# form: pair\n# unit: mm\n" + more + "panel,position,gap\n" + rows;
}
const char* const kOpenPair = "1,20,0.25\n1,250,0.10\n1,480,0.00\n";
std::string frame(const std::string& setup) {
  return "# station: dock\n# setup: " + setup +
         "\n# date: 2026-03-04\n# test: frame\n# pieces: 4\n# form: separate\n# unit: mm\n"
         "ring,position,gap\n1,5,0.25\n1,75,0.00\n2,5,0.25\n2,75,0.05\n";
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("a rail test in words: which way, by how much, what it does, whether it matters") {
    const Bench bench;
    // 0.4 at the ends, closed in the middle: crowned by half of it. Over 544 mm that is 0.189.
    const auto crowned = bench.check(rail("right", three("0.40 0.40 0.40", "0.00 0.00 0.00")));
    CHECK(crowned.status == 0);
    CHECK(holds(crowned.out, "The rail's edge is crowned by 0.20 ± 0.04 mm over 560 mm."));
    CHECK(holds(crowned.out, "Over a cut of 544 mm the kept edge comes out hollow by 0.189 mm"));
    CHECK(holds(crowned.out, "further over 90°"));
    CHECK(holds(crowned.out, "Straighten the rail"));
    CHECK(!holds(crowned.out, "corner is"));
    const auto hollow = bench.check(rail("right", three("0.00 0.00 0.00", "0.40 0.40 0.40")));
    CHECK(holds(hollow.out, "The rail's edge is hollow by 0.20"));
    CHECK(holds(hollow.out, "further under 90°"));
    // On the other side of the same rail the kept edge is no mould, so that it bulges the other way.
    const auto left = bench.check(rail("crosscut", three("0.40 0.40 0.40", "0.00 0.00 0.00")));
    CHECK(holds(left.out, "the kept edge comes out crowned by 0.189 mm"));
  }

  TEST_CASE("an edge that may be straight has no side, and nothing of it is told twice over") {
    const Bench bench;
    for (const char* rows : {"20,0.05\n600,0.05\n1180,0.05\n", "20,0.05\n600,0\n1180,0.05\n"}) {
      const auto ran = bench.check(rail("crosscut", rows));
      CHECK(holds(ran.out, "The rail's edge is straight as far as the test sees: bow 0.0"));
      CHECK(holds(ran.out, "That is no matter here"));
      CHECK(!holds(ran.out, "further"));
      CHECK(!holds(ran.out, "hollow"));
      CHECK(!holds(ran.out, "crowned"));
    }
  }

  TEST_CASE("a joint that is closed all along is read by the feeler, not to the millimetre") {
    const Bench bench;
    const auto bow = bench.json(rail("crosscut", "20,0\n600,0\n1180,0\n")).at("rail_bow").at("rail_edge");
    const auto typed =
        bench.json(rail("crosscut", "20,0.00\n600,0.00\n1180,0.00\n")).at("rail_bow").at("rail_edge");
    CHECK(bow == typed);
    CHECK(bow.at("interval_mm")[1] < 0.1);
  }

  TEST_CASE("an edge with a kink is not called straight, and its bow clears no dog") {
    const Bench bench;
    const auto ran = bench.check(rail("crosscut", "20,0\n300,0.3\n600,0\n900,0.35\n1180,0\n"));
    CHECK(holds(ran.out, "The rail's edge is no even curve: look for a kink or a joint in it."));
    CHECK(!holds(ran.out, "straight as far"));
    CHECK(!holds(ran.out, "no matter"));
    CHECK(holds(ran.out, "before any dog is moved"));
  }

  TEST_CASE("what a bow does cannot be told: each for its own reason") {
    const Bench bench;
    const std::string rows = three("0.40", "0.00");
    const std::string bare = "# test: rail\n# unit: mm\nposition,gap\n" + rows;
    CHECK(holds(bench.check(bare).out, "without the station"));
    CHECK(
        holds(bench.check(bare, {"--station", "dock", "--setup", "mitre"}).out, "a setup that cuts mitres"));
    const auto small = bench.check(rail("crosscut", rows, "2026-03-01", "# panel-size: 450 x 400 x 18 mm\n"));
    CHECK(holds(small.out, "a panel of 450 mm x 400 mm does not reach both fence contacts"));
    CHECK(holds(bench.check(rail("bar", rows)).out, "On the fence bar a crowned edge rocks by up to"));
    const auto unknown = bench.check(rail("crosscut", rows), {"--caliper", "resolution 0.05"});
    CHECK(holds(unknown.out, "No ± can be given"));
    CHECK(holds(unknown.out, "Whether that matters is not clear"));
    CHECK(!holds(unknown.out.substr(0, unknown.out.find("No ±")), "±"));
  }

  TEST_CASE("a rail test in inches") {
    const Bench bench;
    const auto ran = bench.check(
        "# station: dock\n# setup: crosscut\n# test: rail\n# unit: in\nposition,gap\n"
        "1,0.008\n23,0\n45,0.008\n");
    CHECK(holds(ran.out, "The rail's edge is crowned by 0.004 ± 0.002 in over 44 in."));
    CHECK(!holds(ran.out, " mm"));
  }

  TEST_CASE("a rail test as JSON: a bow with its ±, no corner, no verdict") {
    const Bench bench;
    const auto json = bench.json(rail("right", three("0.40 0.40 0.40", "0.00 0.00 0.00")));
    CHECK(json.at("schema") == "quarterturn/check/1");
    CHECK(json.at("test") == "rail");
    for (const char* key :
         {"corner_error", "squareness_error", "verdict", "decision", "corrections", "tapers"})
      CHECK(!json.contains(key));
    const auto& bow = json.at("rail_bow");
    CHECK(near(bow.at("rail_edge").at("estimate_mm"), 0.2, 1e-12, 0));
    CHECK(near(bow.at("rail_edge").at("over_mm"), 560, 1e-12, 0));
    CHECK(near(bow.at("kept_edge").at("estimate_mm"), -0.2 * std::pow(544.0 / 560, 2), 1e-12, 0));
    CHECK(near(bow.at("strips_minus_corner").at("estimate_rad").get<double>(),
               bow.at("in_strips").at("estimate_rad").get<double>() -
                   bow.at("in_corner").at("estimate_rad").get<double>(),
               1e-9, 0));
    CHECK(!bow.contains("check"));
    const auto unknown = bench.json(rail("right", three("0.40", "0.00")), {"--caliper", "resolution 0.05"});
    CHECK(unknown.at("rail_bow").at("rail_edge").at("unknown") == "reading-unseen");
    CHECK(!unknown.at("rail_bow").at("strips_minus_corner").contains("standard_uncertainty_rad"));
  }

  TEST_CASE("what asks for a corner is refused of a rail test, what plans strips of any gap") {
    const Bench bench;
    const auto rows = rail("right", three("0.40", "0.00"));
    for (const std::vector<std::string>& option : {std::vector<std::string>{"--budget"},
                                                   {"--simulate"},
                                                   {"--require", "within"},
                                                   {"--most-strips", "4"}}) {
      CAPTURE(option.front());
      const auto ran = bench.check(rows, option);
      CHECK(ran.status == 2);
      CHECK(ran.out.empty());
      CHECK(holds(ran.err, "tells no corner"));
    }
    for (const auto& readings : {pair(kOpenPair), frame("mitre")}) {
      const auto ran = bench.check(readings, {"--most-strips", "4"});
      CHECK(ran.status == 3);
      CHECK(ran.out.empty());
      CHECK(holds(ran.err, "--most-strips is '4', but must be left out with a "));
      const auto file = bench.home.write("r.csv", readings);
      const auto settle = bench.run({"plan", "--settle", file});
      CHECK(settle.status == 3);
      CHECK(holds(settle.err, "must be one of strips"));
    }
    const auto settle = bench.run({"plan", "--settle", bench.home.write("rail.csv", rows)});
    CHECK(settle.status == 3);
    CHECK(settle.out.empty());
  }

  TEST_CASE("a strip check beside a bowed rail: what is left of it, and the dogs stay") {
    const Bench bench;
    REQUIRE(bench.check(rail("right", three("0.40 0.40 0.40", "0.00 0.00 0.00")), {"--save"}).status == 0);
    const auto json = bench.json(strip("right", "2026-03-02"));
    CHECK(json.at("decision").at("correct") == "unclear");
    CHECK(json.at("decision").at("rail_first") == true);
    for (const auto& move : json.at("corrections")) CHECK(move.at("advised") == false);
    const auto& bow = json.at("rail_bow");
    CHECK(bow.at("check") == "dock/1");
    CHECK(bow.at("date") == "2026-03-01");
    const auto& left = bow.at("corner_at_straight_edge");
    const double eta = json.at("corner_error").at("estimate_rad"),
                 b = bow.at("strips_minus_corner").at("estimate_rad");
    const double u = json.at("corner_error").at("standard_uncertainty_rad"),
                 u_b = bow.at("strips_minus_corner").at("standard_uncertainty_rad");
    CHECK(near(left.at("estimate_rad"), eta - b, 0, 1e-15));
    CHECK(near(left.at("standard_uncertainty_rad"), std::sqrt(u * u + u_b * u_b), 1e-12, 0));
    CHECK(left.at("interval_rad")[0] < left.at("estimate_rad"));
    const auto text = bench.check(strip("right", "2026-03-02")).out;
    CHECK(holds(text, "Do NOT move a dog yet: the rail is bowed"));
    CHECK(holds(text, "crowned by 0.20 ± 0.04 mm over 560 mm (rail test dock/1, 2026-03-01)"));
    CHECK(holds(text,
                "With a straight edge at the fence the corner is under 90° by 0.05 ± 0.10 mm over 600 mm."));
    // Without the log nothing of it is known.
    const auto alone = bench.check(strip("right", "2026-03-02"), {"--no-log"}).out;
    CHECK(!holds(alone, "rail test"));
    CHECK(holds(alone, "Do this:"));
    const auto ways = bench.run({"correct", "-"}, strip("right", "2026-03-02")).out;
    CHECK(!holds(ways, "(advised)"));
    CHECK(!holds(ways, "is the rail straight?"));
  }

  TEST_CASE("the log keeps rail tests and joints as what they are") {
    const Bench bench;
    REQUIRE(bench.check(rail("right", three("0.40 0.40 0.40", "0.00 0.00 0.00")), {"--save"}).status == 0);
    REQUIRE(bench.check(rail("right", three("0.05", "0.05"), "2026-03-02"), {"--save"}).status == 0);
    REQUIRE(bench.check(pair(kOpenPair), {"--save"}).status == 0);
    REQUIRE(bench.check(frame("mitre-right"), {"--save"}).status == 0);
    const auto list = bench.run({"log", "list"}).out;
    CHECK(holds(list, "dock/1, right  rail test: edge crowned by 0.20 ± 0.04 mm over 560 mm\n"));
    CHECK(holds(list, "dock/2, right  rail test: edge straight, bow 0.00 ± 0.06 mm over 560 mm\n"));
    CHECK(holds(list, "dock/3, right  over 90° by 0.16 ± 0.18 mm over 600 mm"));
    // The kept corner of that setup is 135°: to say `under the mitre` of it would be to say the contrary.
    CHECK(holds(list, "dock/4, mitre-right  under the angle by "));
    CHECK(holds(bench.check(frame("mitre-right")).out, "the corner is under 135° by "));
    CHECK(holds(bench.run({"log", "show", "dock/1"}).out, "kept "));
    const auto shown = Json::parse(bench.run({"log", "show", "dock/1", "--json"}).out);
    CHECK(shown.at("test") == "rail");
    CHECK(!shown.contains("corner_error"));
    CHECK(near(shown.at("rail_bow_over_length").at("estimate_rad"), 0.2 / 560, 1e-12, 0));
    CHECK(holds(bench.run({"log", "verify"}).out, "4 checks, each computed again with the same result"));
    const auto table = bench.run({"log", "export", "--csv", "checks"}).out;
    CHECK(!holds(table, "dock,1,"));
    CHECK(holds(table, "dock,3,right,2026-03-04"));
    CHECK(holds(bench.run({"log", "export", "--csv", "readings"}).out,
                "dock,1,2026-03-01,1,,,20,0.4,0.40,rail"));

    // Amended, withdrawn, taken elsewhere.
    CHECK(holds(bench.run({"log", "amend", "dock/1", "note", "cold", "--reason", "forgot"}).out,
                "dock/1 amended: rail test: edge crowned"));
    CHECK(bench.run({"log", "withdraw", "dock/2", "--reason", "another rail"}).status == 0);
    const auto whole = bench.run({"log", "export"}).out;
    const Bench other;
    CHECK(holds(other.run({"log", "import", other.home.write("doc.json", whole)}).out + "1 log", "1 log"));
    const auto there = other.run({"log", "list"}).out;
    CHECK(holds(there, "rail test: edge crowned by 0.20 ± 0.04 mm over 560 mm; amended: forgot"));
    CHECK(holds(there, "WITHDRAWN: rail test"));
    CHECK(holds(other.run({"log", "verify"}).out, "each computed again with the same result"));
  }

  TEST_CASE("a rail test is no check of its setup: history and find go by the corners") {
    const Bench bench;
    REQUIRE(bench.check(rail("crosscut", three("0.05", "0.05")), {"--save"}).status == 0);
    const auto none = bench.run({"history", "--station", "dock"});
    CHECK(none.status == 3);
    CHECK(holds(none.err, "must be kept in the log"));
    REQUIRE(bench.check(strip("right", "2026-03-02"), {"--save"}).status == 0);
    const auto before = bench.run({"history", "--station", "dock"}).out;
    const auto found = bench.run({"find", "--station", "dock"}).out;
    REQUIRE(bench.check(rail("right", three("0.40 0.40 0.40", "0.00 0.00 0.00"), "2026-03-03"), {"--save"})
                .status == 0);
    REQUIRE(bench.check(rail("crosscut", three("0.10", "0.05"), "2026-03-03"), {"--save"}).status == 0);
    CHECK(holds(before, "dock, right"));
    CHECK(bench.run({"history", "--station", "dock"}).out == before);
    CHECK(bench.run({"find", "--station", "dock"}).out == found);
  }

  TEST_CASE("closed joints of two days are two checks; the same of one day are one") {
    const Bench bench;
    const char* const closed = "1,20,0 0\n1,250,0 0\n1,480,0 0\n";
    REQUIRE(bench.check(pair(closed, "2026-03-04"), {"--save"}).status == 0);
    CHECK(holds(bench.check(pair(closed, "2026-04-04"), {"--save"}).err, "Saved as check dock/2"));
    CHECK(bench.check(pair(closed, "2026-04-04"), {"--save"}).status == 3);
    // Another pair of that day goes on from it.
    CHECK(holds(
        bench.check(pair(std::string(closed) + "2,20,0.05\n2,250,0\n2,480,0\n", "2026-04-04"), {"--save"})
            .err,
        "Measured on, kept as check dock/2"));
  }

  TEST_CASE("budget and trials of joints: feeler and edges in place of caliper and saw marks") {
    const Bench bench;
    const std::string halves =
        "# station: dock\n# setup: right\n# test: turn-over\n# form: halves\n# unit: mm\n"
        "# panel-size: 1200 x 400 x 18 mm\npanel,position,gap\n1,20,0.55\n1,200,0.40\n1,380,0.30\n2,20,0.35\n"
        "2,200,0.40\n2,380,0.40\n";
    for (const auto& readings :
         {pair(std::string(kOpenPair) + "2,20,0.20\n2,250,0.10\n2,480,0.00\n"), halves, frame("mitre")}) {
      const auto ran = bench.check(readings, {"--budget", "--simulate", "--seed", "1"});
      REQUIRE(ran.status == 0);
      const auto budget = ran.out.substr(ran.out.find("Where the ± comes from"));
      CHECK(holds(budget, "feeler"));
      CHECK(!holds(budget, "caliper"));
      CHECK(!holds(budget, "saw marks"));
      CHECK(!holds(budget, "widths"));
      const auto json = bench.json(readings, {"--simulate", "--seed", "1"});
      const auto& refits = json.at("simulation").at("refits");
      // A 95 % interval: wider where seating is assumed, 0.92 where steps are coarser than the scatter (M28).
      CHECK(refits.at("covered").get<double>() >= 0.9 * refits.at("checks").get<double>());
      CHECK(refits.at("checks") > 900);
    }
    CHECK(!holds(bench.check(halves).out, "is 1200 mm"));  // along the fence: no dog stands in its way
  }

  TEST_CASE("after a move a joint is expected to gape, not a strip to widen") {
    const Bench bench;
    const auto shown =
        bench.run({"correct", "-", "--tolerance", "0.25 over 600"},
                  pair("1,20,0.50\n1,250,0.25\n1,480,0.00\n2,20,0.50\n2,250,0.25\n2,480,0.00\n"));
    CHECK(holds(shown.out, "cut fresh ones for the next test"));
    CHECK(holds(shown.out, "At the next joint like this expect the gap at its F end "));
    CHECK(holds(shown.out, "than at the free end (it was "));
    CHECK(!holds(shown.out, "four edges"));
    const auto ring = bench.run({"correct", "-"}, frame("mitre-right")).out;
    CHECK(holds(ring, "expect the gap at its outer end (F) "));
    CHECK(holds(ring, "than at the inner end (it was 0.23 mm wider)"));
    for (const auto& readings : {pair(kOpenPair), frame("mitre"), frame("mitre-right")}) {
      const auto json = bench.json(readings);
      int shifts = 0;
      for (const auto& move : json.at("corrections")) {
        CHECK(!move.contains("expect_strip_mm"));
        if (move.at("means") != "shift") continue;
        ++shifts;
        // It takes off all that was read: the joint closes, whichever way the mitre lies.
        CHECK(near(move.at("expect_gap_mm"), pair(kOpenPair) == readings ? 0.25 - 0.25 : 0, 0, 1e-6));
      }
      CHECK(shifts == 4);
    }
  }

  TEST_CASE("a pair after a move is held against what was expected of it, and no strip is") {
    const Bench bench;
    const auto first = pair(kOpenPair, "2026-03-04");
    const auto json = bench.json(first);
    int way = 0;
    while (json.at("corrections")[static_cast<std::size_t>(way)].at("means") != "shift") ++way;
    const auto done =
        bench.run({"correct", "-", "--done", std::to_string(way + 1), "--date", "2026-03-04"}, first);
    CHECK(done.status == 0);
    CHECK(holds(done.out, "These pieces are now old: cut fresh ones for the next test."));
    CHECK(holds(done.out, "If about 0.25 mm wider: nothing moved."));
    const auto closed = bench.check(pair("1,20,0.00\n1,250,0.00\n1,480,0.00\n", "2026-03-05")).out;
    CHECK(holds(closed, "Gap at F 0.00 mm"));
    CHECK(holds(closed, "It fits: the move is done"));
    CHECK(!holds(bench.check(strip("right", "2026-03-05")).out, "was expected"));
  }

  TEST_CASE("the panel of a pair is not turned: width along the fence, depth along the rail") {
    const Bench bench;
    // Outer contact 434 - 140 mm from the cut would do; 1000 mm along the fence is in nobody's way.
    const auto ran = bench.check(pair(kOpenPair, "2026-03-04", "# panel-size: 1000 x 500 x 18 mm\n"));
    CHECK(!holds(ran.out, "are free between near rail dog and fence"));
    const auto deep = bench.check(pair(kOpenPair, "2026-03-04", "# panel-size: 600 x 900 x 18 mm\n"));
    CHECK(holds(deep.out, "The panel is 900 mm"));
  }
}
