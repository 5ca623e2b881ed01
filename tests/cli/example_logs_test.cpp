// SPDX-License-Identifier: MIT
// The two logs of examples/logs, taken in and read as a person would. Their true errors stand in
// tests/bench/make_examples.cpp.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "support/csv_table.hpp"
#include "support/near.hpp"
#include "support/run_program.hpp"
#include "support/source_tree.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::near;
using quarterturn::test::run_program;

namespace {

const std::string kExamples = std::string(QUARTERTURN_ROOT) + "/examples/";

void take_in(const Home& home) {
  for (const char* station : {"dock", "loft"})
    REQUIRE(run_program(home, {"station", "add", kExamples + "stations/" + station + ".json"}).status == 0);
  std::vector<std::string> words{"log", "import"};
  for (const char* log : {"dock-year", "loft-seasons"}) {
    for (const auto& file : std::filesystem::directory_iterator(kExamples + "logs/" + log))
      words.push_back(file.path().string());
  }
  std::ranges::sort(words.begin() + 2, words.end());  // numbered as they come
  words.push_back(kExamples + "logs/events.csv");
  const auto ran = run_program(home, words);
  REQUIRE(ran.status == 0);
  CHECK(holds(ran.out, "14 checks, 2 events"));
}

nlohmann::json json_of(const Home& home, const std::string& word, const std::string& station) {
  return nlohmann::json::parse(run_program(home, {word, "--station", station, "--json"}).out);
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("the example logs: a knocked table and a drifting one") {
    const Home home;
    take_in(home);
    const auto dock = json_of(home, "history", "dock");
    CHECK(dock.at("last_good") == "dock/4");
    CHECK(dock.at("last_answer") == "outside");
    const double after_foil = dock.at("events").at(0).at("change").at("estimate_rad");
    CHECK(near(after_foil, -0.21 / 768, 0, 5e-5));
    const double after_knock = dock.at("events").at(1).at("change").at("estimate_rad");
    CHECK(near(after_knock, 0.22 / 768, 0, 5e-5));
    const auto found = json_of(home, "find", "dock");
    CHECK(found.at("change").at("beyond_chance") == true);
    CHECK((found.at("causes").at(0).at("cause") == "rail-off-dog" ||
           found.at("causes").at(1).at("cause") == "rail-off-dog"));
    CHECK(found.at("settled") == false);  // these checks alone cannot tell a gap from a dog that moved

    // 2.5e-5 rad from check to check, nine of them in 742 days: 0.059 mm over 600 mm a year, of kept corners
    // to the right beyond the fence q is +1.
    const auto loft = json_of(home, "history", "loft");
    CHECK(loft.at("change") == "trend");
    const double slope = loft.at("trend").at("estimate_rad_per_day");
    CHECK(near(slope, -8 * 2.5e-5 / 742, 0.15, 0));
    CHECK(holds(flat(run_program(home, {"history", "--station", "loft"}).out),
                "It drifts: the corner closes by"));
  }

  TEST_CASE("the example logs as the peers had them: eta in 1e-4 rad, its variance, days") {
    const Home home;
    take_in(home);
    for (const auto& [station, name] :
         {std::pair<std::string, std::string>{"dock", "dock-year"}, {"loft", "loft-seasons"}}) {
      const test::CsvTable kept("tests/peers/example_logs/" + name + ".csv");
      const auto entries = json_of(home, "history", station).at("entries");
      REQUIRE(entries.size() == kept.rows());
      for (std::size_t i = 0; i < kept.rows(); ++i) {
        const double eta = entries.at(i).at("estimate_rad"), u = entries.at(i).at("standard_uncertainty_rad");
        CHECK(near(1e4 * eta, static_cast<double>(kept.number(i, "y")), 1e-7, 1e-9));
        CHECK(near(1e8 * u * u, static_cast<double>(kept.number(i, "v")), 1e-6, 0));
      }
    }
  }
}
