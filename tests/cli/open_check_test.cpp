// SPDX-License-Identifier: MIT
// A check that cannot tell yet says itself what would settle it. The figures are invented.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "support/add_dock.hpp"
#include "support/near.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::add_dock;
using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::near;
using quarterturn::test::run_program;
using Json = nlohmann::json;

namespace {

/// One strip so much wider at its fence end over 525 mm.
std::string readings(const char* free_end, const char* panel = "600 x 600") {
  return std::string("# station: dock\n# test: five-cut\n# caliper: digital\n# panel-size: ") + panel +
         "\npanel,from_cut,to_cut,position,width\n1,1,5,20,22.74 22.73 22.75\n1,1,5,545," + free_end + "\n";
}

// 0.14 mm over 525 mm and four turns: 0.04 mm over 600 mm, of 0.10 allowed.
const char* const kOpen = "22.60 22.59 22.61";
// 0.35 mm: 0.10 mm, what is allowed.
const char* const kAtTolerance = "22.39 22.38 22.40";

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("check: what cannot tell yet says how many more cuts, minutes and what is left of the panel") {
    const Home home;
    add_dock(home);
    const auto file = home.write("open.csv", readings(kOpen));
    const auto told = run_program(home, {"check", file});
    CHECK(told.out.starts_with("CANNOT TELL YET (provisional)"));
    CHECK(!holds(told.out, "plan --settle"));
    CHECK(count_of(flat(told.out), "wo more cuts on this panel") == 0);
    const auto json = Json::parse(run_program(home, {"check", file, "--json"}).out);
    const auto& settle = json.at("settle");
    // Its long answer is `plan --settle`: the same step, its sentence beside it.
    const auto at_length = Json::parse(run_program(home, {"plan", "--settle", file, "--json"}).out);
    const auto& step = at_length.at("steps").at(at_length.at("cheapest").get<std::size_t>());
    for (const char* key :
         {"cuts", "fresh_panels", "minutes", "settled_probability", "side_after_mm", "provisional"})
      CHECK(settle.at(key) == step.at(key));
    CHECK(settle.at("fresh_panels") == 0);
    const int cuts = settle.at("cuts");
    CHECK(near(settle.at("side_after_mm").get<double>(), 600 - (5 + cuts + 1) / 2 * (22.74 + 3), 0, 0.02));
    CHECK(holds(flat(told.out), std::to_string(cuts) + " more cuts on this panel (" +
                                    std::to_string(settle.at("minutes").get<int>()) +
                                    " min) settle it in 4 of 5 tests, if the corner is as measured; about "));
    // `correct` and the prompt say the same line.
    const std::string line = " settle it in 4 of 5 tests, if the corner is as measured";
    const auto corrected = run_program(home, {"correct", file, "--json"});
    CHECK(Json::parse(corrected.out).at("settle") == settle);
    const auto prompt =
        run_program(home, {}, "check\n600 600\n22.74 22.73 22.75 22.60 22.59 22.61\n\n525\nyes\nquit\n");
    CHECK(holds(flat(prompt.out), line));
  }

  TEST_CASE("check: when no number of cuts will do, the reason") {
    const Home home;
    add_dock(home);
    const auto told = [&](const std::string& text, const std::vector<std::string>& more = {}) {
      std::vector<std::string> words{"check", home.write("open.csv", text)};
      words.insert(words.end(), more.begin(), more.end());
      return run_program(home, words).out;
    };
    CHECK(holds(flat(told(readings(kAtTolerance))), "No number of cuts will settle it"));
    CHECK(Json::parse(told(readings(kAtTolerance), {"--json"})).at("settle").at("none") == "at-tolerance");
    // 84 mm come off the shorter side; the outer fence dog wants 394 mm.
    const auto json = Json::parse(told(readings(kOpen, "580 x 420"), {"--json"}));
    CHECK(json.at("settle").at("none") == "panel-too-small");
    CHECK(json.at("settle").at("panel_used_up") == true);
    // Settled or without a verdict there is nothing to say.
    CHECK(!Json::parse(told(readings("21.90 21.91 21.90"), {"--json"})).contains("settle"));
    CHECK(!Json::parse(told(readings(kOpen), {"--json", "--most-strips", "8"})).contains("settle"));
    // The distance apart cannot be more than the panel: a mistake comes first.
    const auto mistake = Json::parse(told(readings(kOpen, "500 x 500"), {"--json"}));
    REQUIRE(mistake.at("verdict").at("setup") == "cannot-tell");
    CHECK(mistake.at("settle").at("none") == "clear-up-first");
  }

  TEST_CASE("plan: the strict verdict is honoured, by --settle too, and mm are over the check's length") {
    const Home home;
    add_dock(home);
    const auto file = home.write("open.csv", readings(kOpen, "900 x 900"));
    const auto json = [&](std::vector<std::string> words) {
      words.emplace_back("--json");
      return Json::parse(run_program(home, words).out);
    };
    const auto plain = json({"plan", "--settle", file}),
               strict = json({"plan", "--settle", file, "--strict"});
    CHECK(plain.at("settle").at("strict") == false);
    CHECK(strict.at("settle").at("strict") == true);
    CHECK(strict.at("steps").at(0).at("settled_probability").get<double>() <
          plain.at("steps").at(0).at("settled_probability").get<double>());
    REQUIRE(run_program(home, {"check", file, "--strict", "--save"}).status == 0);
    CHECK(json({"plan", "--settle", "dock/1"}).at("settle").at("strict") == true);
    CHECK(holds(flat(run_program(home, {"plan", "--settle", "dock/1"}).out),
                "Strict: it says either only when the whole ± lies there."));
    // What is allowed over 600 mm is told over 600 mm, of a kept check too.
    CHECK(holds(run_program(home, {"check", file}).out, " over 600 mm"));
    CHECK(
        holds(flat(run_program(home, {"plan", "--settle", "dock/1"}).out), "(allowed 0.10 mm over 600 mm)"));
    const auto plan = json({"plan"}), plan_strict = json({"plan", "--strict"});
    CHECK(plan_strict.at("designs").at(2).at("within_probability").get<double>() <
          plan.at("designs").at(2).at("within_probability").get<double>());
    // An angle is told over 600 mm while the check knows no panel; that a plan is told of one changes
    // nothing.
    const std::string unknown =
        "# caliper: digital\npanel,from_cut,to_cut,position,width\n1,1,5,20,22.74 22.73 22.75\n"
        "1,1,5,545,22.60 22.59 22.61\n";
    const auto bare = home.write("bare.csv", unknown);
    const std::vector<std::string> angle{"--tolerance", "0.01 deg"};
    CHECK(holds(run_program(home, {"check", bare, "--tolerance", "0.01 deg"}).out, " over 600 mm"));
    const auto told =
        run_program(home, {"plan", "--settle", bare, "--tolerance", "0.01 deg", "--panel", "900 x 900"});
    CHECK(holds(flat(told.out), "off by 0.04 mm (allowed 0.10 mm over 600 mm)"));
  }

  TEST_CASE("prompt: before the first cut one line says what one strip will tell and what settles") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(home, {}, "check\n600 600\n22.74\nlater\ny\nquit\n");
    const std::string line = "One strip will tell to about ± 0.09 mm over 600 mm, if panels seat as usual; ";
    CHECK(holds(flat(talk.out), line + "to settle 0.10 mm in 4 of 5 tests takes "));
    CHECK(talk.out.find("One strip will tell") < talk.out.find("Cut 1: any edge"));
    // The same design as `plan` names, for the same panel.
    const auto plan = Json::parse(run_program(home, {"plan", "--panel", "600 x 600", "--json"}).out);
    const auto& best = plan.at("designs").at(plan.at("cheapest").get<std::size_t>());
    CHECK(holds(flat(talk.out), "takes " + std::to_string(best.at("cuts_a_panel").get<int>()) +
                                    " cuts on one panel (" + std::to_string(best.at("minutes").get<int>()) +
                                    " min): 'plan'."));
  }
}
