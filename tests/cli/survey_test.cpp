// SPDX-License-Identifier: MIT
// `survey` as it is typed: on the command line and at the prompt. The tables are invented.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::Ran;
using quarterturn::test::run_program;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

namespace {

const std::string kRoot = QUARTERTURN_ROOT "/examples/";
const Words kUsual{"survey", kRoot + "surveys/loft.csv", "--station", kRoot + "stations/loft.json"};

Words with(const Words& more) {
  Words words = kUsual;
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

void refused(const Ran& ran, int status, const std::string& words) {
  INFO(ran.err);
  CHECK(ran.status == status);
  CHECK(ran.out.empty());
  CHECK(holds(ran.err, words));
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("survey: the answer first; by file, by name, from standard input, at the prompt") {
    const Home home;
    const auto ran = run_program(home, kUsual);
    CHECK(ran.status == 0);
    CHECK(ran.err.empty());
    CHECK(flat(ran.out).starts_with("loft: The table is built out of square by "));
    CHECK(holds(flat(ran.out), "the corner at A1 is over 90°"));
    CHECK(holds(ran.out, "H7 is not where its neighbours say"));
    run_program(home, {"station", "add", kRoot + "stations/loft.json"});
    CHECK(run_program(home, {"survey", kRoot + "surveys/loft.csv"}).out == ran.out);
    const std::string file =
        "# station: loft\nkind,from,to,side,value,uncertainty\ndistance,A1,B1,centre,96.02,0.03\n";
    CHECK(holds(flat(run_program(home, {"survey", "-"}, file).out), "no diagonal connects rows and columns"));
    const auto talk = run_program(home, {}, "later\nsurvey " + kRoot + "surveys/loft.csv\nquit\n");
    CHECK(holds(flat(talk.out), "loft: The table is built out of square by "));
  }

  TEST_CASE("survey: one JSON document with what the text says") {
    const Home home;
    const auto json = Json::parse(run_program(home, with({"--json", "--pairs", "2", "--next", "1"})).out);
    CHECK(json.at("schema") == "quarterturn/survey/1");
    CHECK(json.at("station") == "loft");
    const auto& shear = json.at("shear");
    CHECK(shear.at("interval_rad")[0] < 3e-4);
    CHECK(shear.at("interval_rad")[1] > 3e-4);
    CHECK(json.at("bad_hole").at("hole") == "H7");
    CHECK(json.at("pairs").at("best").size() == 2);
    CHECK(json.at("next").at("list").size() == 1);
    CHECK(json.at("next").at("for") == "shear");
    CHECK(json.at("observations").size() == 91);
    CHECK(json.at("observations")[0].at("line") == 8);
    CHECK(!json.contains("against"));
    const auto given =
        Json::parse(run_program(home, with({"--json", "--hole-scatter", "0.2", "--pairs", "0"})).out);
    CHECK(given.at("scatter").at("source") == "given");
    CHECK(given.at("scatter").at("holes_mm") == 0.2);
    CHECK(!given.contains("pairs"));
    const auto setup = Json::parse(run_program(home, with({"--json", "--setup", "crosscut"})).out);
    CHECK(setup.at("next").at("for") == "crosscut");
  }

  TEST_CASE("survey: against an earlier one, in columns and rows, in inches") {
    const Home home;
    const auto against =
        run_program(home, {"survey", kRoot + "surveys/loft-autumn.csv", "--station",
                           kRoot + "stations/loft.json", "--against", kRoot + "surveys/loft.csv"});
    CHECK(holds(flat(against.out), "D4 moved since 2026-04-11: 0.3"));
    const auto itself = run_program(home, with({"--against", kRoot + "surveys/loft.csv"}));
    CHECK(holds(flat(itself.out), "Nothing shows that a hole moved since 2026-04-11."));
    const auto some =
        Json::parse(run_program(home, with({"--json", "--columns", "B-C", "--rows", "2,3"})).out);
    for (const auto& pair : some.at("pairs").at("best")) {
      const std::string near = pair.at("rail")[0], left = pair.at("fence")[0];
      CHECK((near[0] == 'B' || near[0] == 'C'));
      CHECK((left.back() == '2' || left.back() == '3'));
    }
    CHECK(holds(run_program(home, with({"--unit", "in"})).out, " in over 23.6 in"));
  }

  TEST_CASE("survey: what it cannot do is said") {
    const Home home;
    refused(run_program(home, {"survey"}), 2, "observations are missing");
    refused(run_program(home, {"survey", "/nonexistent.csv"}), 4, "/nonexistent.csv");
    refused(run_program(home, with({"another.csv"})), 2, "one too many");
    refused(run_program(home, with({"--columns", "C-Z"})), 2, "--columns is 'C-Z'");
    refused(run_program(home, with({"--columns", "3"})), 2, "columns of the table, as C or C-F");
    refused(run_program(home, with({"--rows", "5-2"})), 2, "--rows is '5-2'");
    refused(run_program(home, with({"--rows", ""})), 2, "rows of the table");
    refused(run_program(home, with({"--pairs", "-1"})), 3, "--pairs");
    refused(run_program(home, with({"--next", "many"})), 3, "--next");
    refused(run_program(home, with({"--hole-scatter", "0"})), 3, "a usual one is 0.1 mm");
    refused(run_program(home, with({"--setup", "mitre"})), 3, "crosscut");
    refused(
        run_program(home, {"survey", kRoot + "surveys/loft.csv", "--station", kRoot + "stations/dock.json"}),
        3, "the one that the file names");
    refused(run_program(home, {"survey", kRoot + "surveys/loft.csv"}), 3, "loft");
    refused(run_program(home, {"survey", kRoot + "readings/dock-first.csv", "--station",
                               kRoot + "stations/dock.json"}),
            3, "column is 'panel'");
    refused(run_program(home, {"survey", "-", "--station", kRoot + "stations/loft.json", "--against", "-"},
                        "kind,from,to,side,value,uncertainty\ndistance,A1,B1,centre,96.02,0.03\n"),
            2, "standard input is the survey itself");
  }
}
