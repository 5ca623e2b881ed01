// SPDX-License-Identifier: MIT
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "cli/options.hpp"
#include "files/station_file.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::Home;
using quarterturn::test::near;
using quarterturn::test::Ran;
using quarterturn::test::run_program;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// The whole check from options of the design; the figures are invented.
Words whole_check(const std::string& word = "check") {
  return {word,
          "--fence-end",
          "22.74 22.73 22.75",
          "--free-end",
          "22.14 22.13 22.15",
          "--apart",
          "525",
          "--caliper",
          "digital",
          "--keep",
          "left",
          "--panel-side",
          "before",
          "--rail-baseline",
          "768",
          "--tolerance",
          "0.10 over 600"};
}
Words with(Words words, const Words& more) {
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

const char* const kReadings =
    "# station: dock\n# setup: crosscut\n# test: five-cut\n# unit: mm\n# caliper: digital\n# tolerance: 0.10 "
    "over 600\n"
    "panel,from_cut,to_cut,position,width\n"
    "1,1,5,0,22.74 22.73 22.75\n1,1,5,525,22.14 22.13 22.15\n";

void refused(const Ran& ran, int status, const std::string& words) {
  CHECK(ran.status == status);
  CHECK(ran.out.empty());
  CHECK(holds(ran.err, words));
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("check: from options, from a file, from - and from a pipe the numbers are the same") {
    const Home home;
    const auto station = home.write("dock.json", files::write_station(test::dock()));
    const auto file = home.write("readings.csv", kReadings);
    const auto from_options = run_program(home, with(whole_check(), {"--json"}));
    REQUIRE(from_options.status == 0);
    CHECK(from_options.err.empty());
    const double eta = Json::parse(from_options.out).at("corner_error").at("estimate_rad");
    CHECK(near(eta, 0.60 / 525 / 4, 1e-9, 0));
    const auto from_file = run_program(home, {"check", file, "--station", station, "--json"});
    REQUIRE(from_file.status == 0);
    CHECK(
        near(Json::parse(from_file.out).at("corner_error").at("estimate_rad").get<double>(), eta, 1e-12, 0));
    const auto from_dash = run_program(home, {"check", "-", "--station", station, "--json"}, kReadings);
    const auto from_pipe = run_program(home, {"check", "--station", station, "--json"}, kReadings);
    CHECK(from_dash.out == from_file.out);
    CHECK(from_pipe.out == from_file.out);
    const auto text = run_program(home, {"check", file, "--station", station});
    CHECK(text.status == 0);
    CHECK(text.out.starts_with("OUTSIDE (provisional): the corner is over 90° by 0.17 ± "));
  }

  TEST_CASE("check: the budget and the simulation, in words and in JSON") {
    const Home home;
    const auto text =
        quarterturn::test::flat(run_program(home, with(whole_check(), {"--budget", "--simulate"})).out);
    CHECK(holds(text, "Where the ± comes from"));
    CHECK(holds(text, "one reading"));
    CHECK(holds(text, "Held against chance (JCGM 101: "));
    CHECK(holds(text, "10,000 checks drawn anew"));
    const auto json = Json::parse(
        run_program(home, with(whole_check(), {"--budget", "--simulate", "--seed", "5", "--json"})).out);
    const auto& budget = json.at("budget");
    CHECK(budget.at("rows").size() == 2);
    const double u = budget.at("combined_standard_uncertainty_rad");
    CHECK(near(json.at("corner_error").at("standard_uncertainty_rad").get<double>(), u, 1e-12, 0));
    const auto& simulation = json.at("simulation");
    CHECK(simulation.at("seed") == 5);
    const double eta = json.at("corner_error").at("estimate_rad");
    CHECK(simulation.at("shortest_interval_rad").at(0) < eta);
    CHECK(simulation.at("refits").at("checks") == 10'000);
    const auto again = Json::parse(
        run_program(home, with(whole_check(), {"--budget", "--simulate", "--seed", "5", "--json"})).out);
    CHECK(again == json);
    // Narrow and without a table.
    const auto plain = run_program(home, with(whole_check(), {"--budget", "--plain"})).out;
    CHECK(holds(plain, "- one reading: u "));
  }

  TEST_CASE("check: an added station is found by the name in the readings; an unknown one is told") {
    const Home home;
    const auto file = home.write("readings.csv", kReadings);
    const auto before = run_program(home, {"check", file});
    CHECK(before.status == 0);
    CHECK(holds(before.err, "station 'dock' is not known here"));
    CHECK(run_program(home, {"station", "add", home.write("dock.json", files::write_station(test::dock()))})
              .status == 0);
    const auto after = run_program(home, {"check", file});
    CHECK(after.err.empty());
    CHECK(holds(after.out, "FAR rail dog (E10), right face"));
  }

  TEST_CASE("check: --require within leaves 1 unless within and not provisional") {
    const Home home;
    CHECK(run_program(home, with(whole_check(), {"--require", "within"})).status == 1);
    // A wide tolerance on many strips is within, and not provisional.
    std::string many =
        "# tolerance: 1.0 over 600\n# caliper: digital\npanel,from_cut,to_cut,position,width\n";
    for (int panel = 1; panel <= 5; ++panel) {
      const std::string start = std::to_string(panel) + ",1,5,";
      const std::string last = std::to_string(panel % 3);
      many += start + "20,22.5" + last + " 22.51 22.52\n" + start + "250,22.50 22.5" + last + " 22.51\n" +
              start + "480,22.49 22.50 22.5" + last + "\n";
    }
    const auto good = run_program(home, {"check", "-", "--require", "within"}, many);
    CHECK(good.status == 0);
    CHECK(good.out.starts_with("WITHIN: "));
    CHECK(run_program(home, {"check", "-", "--require", "within"}, many.substr(many.find('\n') + 1)).status ==
          1);
    refused(run_program(home, with(whole_check(), {"--require", "wthin"})), 2, "did you mean 'within'?");
  }

  TEST_CASE("check: without anything that tells the scatter, the arithmetic and the line to retype") {
    const Home home;
    const auto ran = run_program(
        home, {"check", "--fence-end", "22.74", "--free-end", "22.14", "--apart", "525", "--json"});
    refused(ran, 3, "22.740 mm - 22.140 mm = 0.600 mm on 525 mm");
    CHECK(holds(ran.err,
                "quarterturn check --apart 525 --fence-end 22.74 --free-end 22.14 --json --caliper digital"));
    // Nothing of what was typed is lost on the way.
    const auto sides =
        run_program(home, {"check", "--fence-end", "22.74", "--free-end", "22.14", "--apart", "525", "--keep",
                           "left", "--strict", "--tolerance", "0.10 over 600"});
    CHECK(holds(
        sides.err,
        "quarterturn check --apart 525 --fence-end 22.74 --free-end 22.14 --keep left --strict --tolerance "
        "\"0.10 over 600\" --caliper digital"));
    // The line, retyped, works.
    CHECK(run_program(home, {"check", "--fence-end", "22.74", "--free-end", "22.14", "--apart", "525",
                             "--caliper", "digital"})
              .status == 0);
  }

  TEST_CASE("check: wrong use") {
    const Home home;
    refused(run_program(home, {"check", "nofile.csv"}), 4, "nofile.csv");
    refused(run_program(home, {"check", home.path()}), 3, "directory");
    refused(run_program(home, {"check", "a.csv", "b.csv"}), 2, "'b.csv' is one too many");
    refused(run_program(home, {"check", "--apart"}), 2, "--apart is without a value");
    refused(run_program(home, {"check", "--fence-emd", "22.7"}), 2, "did you mean '--fence-end'?");
    refused(run_program(home, {"check", "--fence-end", "22.7", "--free-end", "22.1"}), 2,
            "--apart is missing");
    refused(run_program(home, with(whole_check(), {"readings.csv"})), 2, "given twice");
    refused(run_program(home, with(whole_check(), {"--apart", "500"})), 2, "--apart is given twice");
    refused(run_program(home, with(whole_check(), {"--unit", "furlong"})), 2, "must be mm or in");
    refused(run_program(home, with(whole_check(), {"--confidence", "1.5"})), 2, "0.5 to 0.999");
    refused(run_program(home, with(whole_check(), {"--station", "dock.json"})), 2, "leave out --keep");
    refused(run_program(home, {"check", "--settle", "a.csv"}), 2, "must go with plan");
    refused(run_program(home, with(whole_check(), {"--seed", "3"})), 2, "--seed is given without --simulate");
    refused(run_program(home, with(whole_check(), {"--simulate", "--seed", "x"})), 3, "--seed");
    refused(run_program(home, {"check", "--fence-end", "22.7x", "--free-end", "22.1", "--apart", "525"}), 3,
            "'22.7x'");
    refused(run_program(home, {"check", "-"}, ""), 3, "empty");
    refused(
        run_program(home, with({"check", "--fence-end", "22.7", "--free-end", "22.1"}, {"--apart", "52500"})),
        3, "--apart is '52500', but must be a distance above 0, at most 10 m");
    refused(run_program(home, {"station", "show", "--station", "dock"}), 2,
            "'--station' is not of 'station', but must go with check, correct, plan, survey, shims, caliper, "
            "log, "
            "history, find or report");
    refused(run_program(home, {"--station", "dock", "shims"}), 2, "stands before its word");
    CHECK(run_program(home, {"check", "--fence-end", "22.7 22.71", "--free-end", "22.1 22.1", "--apart",
                             "525", "--keep", "Left", "--panel-side", "BEFORE"})
              .status == 0);
    const auto inch = run_program(home, {"check", "--fence-end", "0.895 in 0.8955 in", "--free-end",
                                         "0.872 in 0.872 in", "--apart", "525 mm"});
    CHECK(holds(inch.out, "over 24 in"));
  }

  TEST_CASE("correct: the instruction, what to expect, all ways") {
    const Home home;
    const auto ran = run_program(
        home, with(whole_check("correct"), {"--rail-on-face", "right", "--shim", "foil tape 8 layers 0.56"}));
    REQUIRE(ran.status == 0);
    for (const char* part :
         {"3 layers of foil tape on the FAR rail dog", "Unplug the saw", "At the next check expect",
          "Ways to correct", "Move the NEAR rail dog by 0.22 mm to the left", "is the rail straight?"}) {
      CAPTURE(part);
      CHECK(holds(ran.out, part));
    }
    refused(run_program(home, {"correct", "--strictly"}), 2, "did you mean '--strict'?");
    refused(run_program(home, {"correct", "a", "b"}), 2, "one too many");
    refused(run_program(home, {"correct", "--tolerance"}), 2, "--tolerance is without a value");
  }

  TEST_CASE("station: add, list, show, set, rename, export") {
    const Home home;
    const auto file = home.write("dock.json", files::write_station(test::dock()));
    CHECK(run_program(home, {"station", "list"}).out == "No station yet.\n");
    CHECK(run_program(home, {"station", "add", file}).status == 0);
    CHECK(run_program(home, {"station", "list"}).out == "dock\n");
    CHECK(Json::parse(run_program(home, {"station", "list", "--json"}).out).at("stations") ==
          Json::array({"dock"}));
    CHECK(holds(run_program(home, {"station", "show", "dock"}).out, "near E2 (tall-1), far E10 (tall-2)"));
    CHECK(holds(run_program(home, {"station", "set", "dock", "tolerance", "0.2 over 600"}).out,
                "0.20 mm over 600 mm"));
    CHECK(run_program(home, {"station", "rename", "dock", "harbour"}).status == 0);
    const auto exported = run_program(home, {"station", "export", "harbour"});
    CHECK(files::parse_station(files::text_of(exported.out, "export")).name == "harbour");
    // Whatever stands in the file can be set by its path; a fault leaves all as it was.
    CHECK(holds(run_program(home, {"station", "set", "harbour", "grid.pitch_mm", "95.9"}).out, "95.9"));
    CHECK(run_program(home, {"station", "set", "harbour", "dogs.tall-1.diameter_mm", "0.7874 in"}).status ==
          0);
    CHECK(run_program(home, {"station", "set", "harbour", "dogs.tall-1.held", "wedged"}).status == 0);
    CHECK(run_program(home, {"station", "set", "harbour", "grid.columns", "12"}).status == 0);
    CHECK(run_program(home, {"station", "set", "harbour", "dogs.spare.diameter_mm", "19.98"}).status == 0);
    const auto set = files::parse_station(
        files::text_of(run_program(home, {"station", "export", "harbour"}).out, "export"));
    CHECK(set.grid.pitch.mm() == 95.9);
    CHECK(set.grid.columns == 12);
    CHECK(near(set.dogs.at("tall-1").diameter.mm(), 20, 1e-4, 0));
    CHECK(set.dogs.at("tall-1").held == station::Held::wedged);
    CHECK(set.dogs.at("spare").diameter.mm() == 19.98);
    refused(run_program(home, {"station", "set", "harbour", "grid.pich_mm", "95.9"}), 3,
            "did you mean 'pitch_mm'?");
    refused(run_program(home, {"station", "set", "harbour", "grid.columns", "2"}), 3, "a hole of the grid");
    refused(run_program(home, {"station", "set", "harbour", "grid.rows.x", "2"}), 3,
            "a value of the station's file");
    refused(run_program(home, {"station", "set", "harbour", "grid.missing", "B2"}), 3,
            "grid.missing is 'B2'");
    refused(run_program(home, {"station", "set", "harbour", "name", "x"}), 3, "what to set is 'name'");
    // A station file is taken in a store's place, and the change to it told.
    CHECK(holds(run_program(home, {"station", "set", file, "keep", "Left"}).err, "dock.json was rewritten"));
    CHECK(run_program(home, {"station", "set", file, "keep", "right"}).status == 0);
    CHECK(holds(run_program(home, {"station", "show", file}).out, "the part right of the rail is kept"));

    refused(run_program(home, {"station"}), 2, "must be followed by add, list");
    refused(run_program(home, {"station", "shwo"}), 2, "did you mean 'show'?");
    refused(run_program(home, {"station", "add"}), 2, "with 0 arguments");
    refused(run_program(home, {"station", "list", "dock"}), 2, "with 1 argument,");
    refused(run_program(home, {"station", "show", "--nmae"}), 2, "is not known");
    refused(run_program(home, {"station", "add", home.path() + "/none.json"}), 4, "none.json");
    CHECK(run_program(home, {"station", "show", "dokc"}).status == 3);
  }

  TEST_CASE("log: a station's checks are kept, told, amended, withdrawn, carried over and verified") {
    const Home home;
    const auto station = home.write("dock.json", files::write_station(test::dock()));
    const auto file = home.write("readings.csv", std::string("# date: 2026-03-14\n") + kReadings);
    CHECK(run_program(home, {"log", "list"}).out == "Nothing in the log yet.\n");
    const auto saved = run_program(home, {"check", file, "--station", station, "--save", "--json"});
    CHECK(saved.status == 0);
    CHECK(saved.err == "Saved as check dock/1.\n");
    CHECK(Json::parse(saved.out).at("verdict").at("setup") == "outside");
    refused(run_program(home, {"check", file, "--save"}), 3, "are kept as dock/1");
    refused(run_program(home, with(whole_check(), {"--save"})), 3, "a check is kept with its station");
    CHECK(holds(
        run_program(home, {"log", "event", "dock", "knocked", "--date", "2026-04-01", "--note", "fork lift"})
            .out,
        "dock: knocked on 2026-04-01 kept"));
    const auto list = run_program(home, {"log", "list", "dock"});
    CHECK(holds(list.out, "2026-03-14  dock/1, crosscut  over 90° by 0.17 ± "));
    CHECK(holds(list.out, "knocked: fork lift"));
    CHECK(list.out.find("dock/1") < list.out.find("knocked"));
    const auto json = Json::parse(run_program(home, {"log", "list", "--json"}).out);
    CHECK(json.at("checks").at(0).at("number") == 1);
    CHECK(json.at("events").at(0).at("event") == "knocked");
    CHECK(run_program(home, {"log", "note", "dock/1", "before the foil"}).status == 0);
    CHECK(run_program(home, {"log", "note", "dock", "new shop floor"}).status == 0);
    CHECK(holds(run_program(home, {"log", "list", "dock"}).out, "dock  note: new shop floor"));
    CHECK(holds(run_program(home, {"log", "list"}).out, "dock/1  note: before the foil"));
    CHECK(holds(run_program(home, {"log", "amend", "dock/1", "by", "Lea", "--reason", "forgot"}).out,
                "dock/1 amended"));
    const auto show = run_program(home, {"log", "show", "dock/1"});
    CHECK(holds(show.out, "because: forgot"));
    CHECK(holds(show.out, "before the foil"));
    CHECK(holds(show.out, "# by: Lea"));
    CHECK(holds(show.out, "22.74"));
    CHECK(run_program(home, {"log", "add-summary", "dock", "--date", "2024-05-02", "--error", "0.2", "--over",
                             "500", "--already-divided", "no"})
              .status == 0);
    CHECK(
        holds(run_program(home, {"log", "verify"}).out, "1 check, each computed again with the same result"));
    // To another log and back.
    const auto document = run_program(home, {"log", "export"}).out;
    const auto carried = home.write("log.json", document);
    const std::string other = home.path() + "/other.db";
    CHECK(holds(run_program(home, {"--log", other, "log", "import", carried}).out, "1 log"));
    CHECK(run_program(home, {"--log", other, "log", "export"}).out == document);
    CHECK(holds(run_program(home, {"--log", other, "log", "verify"}).out, "is whole"));
    CHECK(holds(run_program(home, {"log", "merge", other}).out, "0 records taken"));
    CHECK(holds(run_program(home, {"log", "export", "--csv", "checks"}).out,
                "dock,1,crosscut,2026-03-14,Lea,"));
    CHECK(holds(run_program(home, {"log", "export", "dock", "--csv", "readings"}).out,
                "1,1,5,525,22.14,22.14"));
    CHECK(run_program(home, {"log", "backup", home.path() + "/copy.db"}).status == 0);
    CHECK(holds(run_program(home, {"log", "withdraw", "dock/1", "--reason", "another panel"}).out,
                "counts no more"));
    CHECK(holds(run_program(home, {"log", "list"}).out, "WITHDRAWN: over 90°"));

    refused(run_program(home, {"log"}), 2, "must be followed by list, show");
    refused(run_program(home, {"log", "lits"}), 2, "did you mean 'list'?");
    refused(run_program(home, {"log", "withdraw", "dock/1"}), 2, "--reason is missing");
    refused(run_program(home, {"log", "withdraw", "dock/1", "--reason", "x"}), 3, "was withdrawn on");
    refused(run_program(home, {"log", "event", "dock", "flooded"}), 3, "event is 'flooded'");
    refused(run_program(home, {"log", "event", "dock", "wet", "--date", "2199-01-01"}), 3,
            "not in the future");
    refused(run_program(home, {"log", "event", "dokc", "wet"}), 3, "did you mean 'dock'?");
    refused(run_program(home, {"log", "show", "dock/7"}), 3, "in the log");
    refused(run_program(home, {"log", "merge", home.path() + "/none.db"}), 4, "there is no file");
    refused(run_program(home, {"log", "merge", file}), 4, "is not a log");
    refused(run_program(home, {"--log", home.path(), "log", "list"}), 4, "is a directory");
    const auto bad = run_program(home, {"log", "import", home.write("bad.csv", "x\n"), file});
    CHECK(bad.status == 3);
    CHECK(holds(bad.err, "bad.csv:1:1"));
  }

  TEST_CASE("correct --done: the move is kept with its check, and explains the next one") {
    const Home home;
    run_program(home, {"station", "add", home.write("dock.json", files::write_station(test::dock()))});
    const auto file = home.write("readings.csv", kReadings);
    const auto done = run_program(home, {"correct", file, "--done", "1", "--plain"});
    CHECK(done.status == 0);
    CHECK(holds(done.out, "Noted with check dock/1: 3 layers of foil tape on the FAR rail dog (E10)"));
    CHECK(holds(done.out, "expect the fence end (F) 0.0"));
    CHECK(holds(run_program(home, {"log", "list", "--plain"}).out, "corrected E10: shim"));
    // A strip that reads as before says so, before anything else is moved.
    const auto as_before =
        run_program(home, {"check", home.write("again.csv", std::string(kReadings) + "1,1,5,525,22.14\n")});
    CHECK(holds(as_before.out, "as if the last correction had no effect"));
    CHECK(!holds(as_before.out, "Do this:"));
    // A check is answered once; what was noted wrongly is withdrawn.
    const auto event = [&] {
      const auto events = Json::parse(run_program(home, {"log", "export"}).out).at("events");
      return std::string(events.back().at("id"));
    };
    refused(run_program(home, {"correct", file, "--done", "4"}), 3, "is noted with it already");
    run_program(home, {"log", "withdraw", event(), "--reason", "it was way 4"});
    // The record says it in full, with its lengths; moving a dog itself is the last way but none.
    CHECK(run_program(home, {"correct", file, "--done", "4"}).status == 0);
    const auto document = Json::parse(run_program(home, {"log", "export"}).out);
    REQUIRE(document.at("moves").size() == 2);
    for (const auto& move : document.at("moves")) {
      const std::string text = move.at("text");
      CHECK(text.find_first_of("{}") == std::string::npos);
      CHECK(text.size() > 20);
    }
    run_program(home, {"log", "withdraw", event(), "--reason", "another way"});
    // Once more with the same readings: no second check.
    CHECK(holds(run_program(home, {"correct", file, "--done", "0"}).out,
                "Noted with check dock/1: another way"));
    run_program(home, {"log", "withdraw", event(), "--reason", "once more"});
    refused(run_program(home, {"correct", file, "--done", "1", "--date", "2020-05-05"}), 3,
            "not before the check it answers");
    refused(run_program(home, {"correct", file, "--done", "99"}), 3, "--done is '99'");
    refused(run_program(home, with(whole_check("correct"), {"--done", "1"})), 3,
            "a check is kept with its station");
  }

  TEST_CASE("check: what the log knows narrows the ±, and --no-log leaves it out") {
    const Home home;
    run_program(home, {"station", "add", home.write("dock.json", files::write_station(test::dock()))});
    std::string many =
        "# station: dock\n# date: 2026-03-01\n# caliper: digital\npanel,from_cut,to_cut,position,width\n";
    for (int panel = 1; panel <= 6; ++panel) {
      const std::string cuts = std::to_string(panel) + ",1,5,";
      many += cuts + "0,22.74 22.73 22.7" + std::to_string(panel) + "\n" + cuts + "262,22.44 22.43 22.45\n" +
              cuts + "525,22.14 22.13 22.15\n";
    }
    CHECK(run_program(home, {"check", "-", "--save"}, many).status == 0);
    const auto file = home.write("readings.csv", kReadings);
    const auto with_log = run_program(home, {"check", file, "--plain"});
    CHECK(holds(with_log.out, "Your earlier check narrows ± "));
    CHECK(holds(with_log.out, "that assumes that the panel seats as it did then"));
    CHECK(with_log.out.starts_with("OUTSIDE: "));
    const auto without = run_program(home, {"check", file, "--no-log"});
    CHECK(without.out.starts_with("OUTSIDE (provisional): "));
    CHECK(!holds(without.out, "earlier check"));
    const auto json = Json::parse(run_program(home, {"check", file, "--json"}).out);
    CHECK(json.at("scatter").at("seating_mm").at("source") == "log");
    CHECK(json.at("log").at("checks") == 1);
  }

  TEST_CASE("shims and caliper: list, add, remove, trial") {
    const Home home;
    CHECK(run_program(home, {"shims"}).out == "shims\n  none\n");
    refused(run_program(home, {"shims", "add", "card 0.25"}), 2, "no station was added yet");
    run_program(home, {"station", "add", home.write("dock.json", files::write_station(test::dock()))});
    CHECK(
        holds(run_program(home, {"shims", "add", "card 0.25 hard"}).out, "card: 1 layer of 0.250 mm, hard"));
    CHECK(Json::parse(run_program(home, {"shims", "--json"}).out).at("shims").size() == 2);
    CHECK(!holds(run_program(home, {"shims", "remove", "card"}).out, "card"));
    refused(run_program(home, {"shims", "remove", "card"}), 3, "must be foil tape");
    refused(run_program(home, {"shims", "add"}), 2, "with 0 arguments");
    refused(run_program(home, {"shims", "list", "--statoin", "dock"}), 2, "did you mean '--station'?");
    CHECK(holds(run_program(home, {"caliper", "classes"}).out, "source:"));
    CHECK(holds(run_program(home, {"caliper", "add", "pocket", "digital"}).out, "pocket: class digital"));
    CHECK(!holds(run_program(home, {"caliper", "remove", "pocket"}).out, "pocket"));
    refused(run_program(home, {"caliper", "add", "pocket", "golden"}), 3, "'golden'");
    refused(run_program(home, {"caliper", "add", "pocket"}), 2, "with 1 argument,");
    refused(run_program(home, {"caliper", "add", "a", "b", "c"}), 2, "one too many");
    const auto trial = run_program(
        home, {"caliper", "--trial", "9.02 9.01 9.03 9.02 9.02 9.00 9.02 9.01 9.03 9.02", "--json"});
    // By hand: sd sqrt(7.6/9) hundredths.
    CHECK(near(Json::parse(trial.out).at("repeatability_mm").get<double>(), 0.0091894, 1e-4, 0));
  }

  TEST_CASE("help advertises only what there is, and shows examples; each example parses") {
    const Home home;
    CHECK(run_program(home, {"--version"}).out.starts_with("quarterturn "));
    const auto whole = run_program(home, {"--help"});
    CHECK(whole.status == 0);
    for (const auto& row : cli::word_rows()) {
      const std::string word(row.word);
      CHECK(holds(whole.out, word));
      const auto help = run_program(home, {word, "--help"});
      CHECK(help.status == 0);
      CHECK(holds(help.out, "Examples:"));
      for (const auto& option : row.options) CHECK(holds(help.out, std::string(option.name)));
    }
    CHECK(run_program(home, {"check", "-h"}).out == run_program(home, {"check", "--help"}).out);
    CHECK(run_program(home, {"-h"}).out == whole.out);
    CHECK(run_program(home, {"help"}).out == whole.out);
    CHECK(run_program(home, {"check", "help"}).out == run_program(home, {"check", "--help"}).out);
    refused(run_program(home, {"chekc"}), 2, "did you mean 'check'?");
    refused(run_program(home, {"--json"}), 2, "must go with one");
  }

  TEST_CASE("a result that cannot be written is told, with its own status") {
    const Home home;
    const auto ran = run_program(home, whole_check(), "", "/dev/full");
    CHECK(ran.status == 4);
    CHECK(holds(ran.err, "standard output cannot be written"));
  }

  TEST_CASE("without UTF-8 every byte of text is ASCII") {
    const Home home;
    const auto ran = run_program(home, whole_check(), "", "", "C");
    CHECK(ran.status == 0);
    CHECK(holds(ran.out, "over 90 deg by 0.17 +- "));
    for (const char c : ran.out) CHECK(static_cast<unsigned char>(c) < 0x80);
  }

  TEST_CASE("names from files cannot steer a terminal") {
    const Home home;
    const std::string hostile =
        "# station: do\x1b[2Jck\n# caliper: digital\npanel,from_cut,to_cut,position,width\n1,1,5,0,22.7 "
        "22.7\n1,1,5,500,22.1 22.2\n";
    const auto ran = run_program(home, {"check", "-"}, hostile);
    CHECK(!holds(ran.out + ran.err, "\x1b"));
  }
}
