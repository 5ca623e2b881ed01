// SPDX-License-Identifier: MIT
// `survey` as it is typed: on the command line and at the prompt. The tables are invented.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "support/near.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::near;
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

  TEST_CASE("check and correct name other holes by a survey; without one they say that it would") {
    const Home home;
    const Words corner{"--test",     "four-cut",          "--fence-end", "25.00 24.99 25.00",
                       "--free-end", "26.40 26.41 26.40", "--apart",     "580",
                       "--caliper",  "digital",           "--station",   kRoot + "stations/loft.json"};
    const auto run = [&](const char* word, const Words& more) {
      Words words{word};
      words.insert(words.end(), corner.begin(), corner.end());
      words.insert(words.end(), more.begin(), more.end());
      return run_program(home, words);
    };
    const std::string survey = kRoot + "surveys/loft.csv";
    CHECK(holds(flat(run("correct", {}).out), "a survey of the holes names them (--survey FILE"));
    CHECK(!Json::parse(run("check", {"--json"}).out).contains("survey"));
    const auto told = run("correct", {"--survey", survey});
    CHECK(told.status == 0);
    CHECK(told.err.empty());
    CHECK(holds(flat(told.out), "only the difference of holes counts"));  // a bar that it does not know
    const auto json = Json::parse(run("check", {"--survey", survey, "--json"}).out);
    CHECK(json.at("survey").at("counts") == "between");
    int named = 0;
    for (const auto& move : json.at("corrections")) {
      if (move.at("means") != "other-holes") {
        CHECK(!move.contains("holes"));
        continue;
      }
      ++named;
      REQUIRE(!move.at("holes").empty());
      for (const auto& hole : move.at("holes"))
        CHECK(holds(flat(told.out),
                    hole.at("from").get<std::string>() + " into " + hole.at("to").get<std::string>()));
      CHECK(move.at("improves_probability") > 0.5);
      CHECK(move.at("within_probability") < 1);
      CHECK(!move.contains("shift_mm"));
      // by a bar that it does not know, what remains is the check's error and the survey's change
      const double eps = json.at("squareness_error").at("estimate_rad"),
                   change = move.at("change_rad").at("estimate");
      CHECK(near(move.at("remaining_rad").at("estimate").get<double>(), eps + change, 1e-9, 0));
    }
    CHECK(named > 0);
    const Words bare{"check", "--fence-end", "25", "--free-end", "26", "--apart", "500", "--survey", survey};
    refused(run_program(home, bare), 2, "--survey is given without a station");
    refused(run("check", {"--survey", "-"}), 2, "--survey is '-'");
    refused(run("check", {"--survey", "/nonexistent.csv"}), 4, "/nonexistent.csv");
    refused(run_program(home, {"check", kRoot + "readings/dock-first.csv", "--station",
                               kRoot + "stations/dock.json", "--survey", survey}),
            3, "the one that the file names");
  }

  TEST_CASE("at the prompt the survey run last names other holes; so does correct --survey FILE") {
    const Home home;
    run_program(home, {"station", "add", kRoot + "stations/loft.json"});
    const std::string check =
        "check --test four-cut --fence-end \"25.00 24.99 25.00\" --free-end \"26.40 26.41 26.40\" --apart "
        "580 "
        "--caliper digital\n";
    const std::string survey = kRoot + "surveys/loft.csv";
    CHECK(!holds(flat(run_program(home, {}, check + "ways\nquit\n").out), " into "));
    const auto by_word = run_program(home, {}, check + "survey " + survey + " --next 0\nways\nquit\n");
    CHECK(holds(flat(by_word.out), "LEFT fence dog from F2 into "));
    const auto by_option =
        run_program(home, {}, check + "correct --survey " + survey + "\nlater\nways\nquit\n");
    CHECK(holds(flat(by_option.out), "LEFT fence dog from F2 into "));
    CHECK(holds(run_program(home, {}, "correct --survey " + survey + "\nquit\n").out, "From check loft/1"));
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
    const auto named = home.write("named.csv",
                                  "# setup: crosscutt\nkind,from,to,side,value,uncertainty\n"
                                  "distance,A2,B2,centre,96.02,0.03\n");
    refused(run_program(home, {"survey", named, "--station", kRoot + "stations/dock.json"}), 3, "named.csv");
  }
}
