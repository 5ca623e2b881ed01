// SPDX-License-Identifier: MIT
// `plan` as it is typed: on the command line and at the prompt. The figures are invented.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "files/station_file.hpp"
#include "report/amounts.hpp"
#include "support/add_dock.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::add_dock;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::near;
using quarterturn::test::Ran;
using quarterturn::test::run_program;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

namespace {

const Words kUsual{"plan", "--tolerance", "0.10 over 600"};

Words with(Words words, const Words& more) {
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

void refused(const Ran& ran, int status, const std::string& words) {
  INFO(ran.err);
  CHECK(ran.status == status);
  CHECK(ran.out.empty());
  CHECK(holds(ran.err, words));
}

const char* const kReadings =
    "# station: dock\n# setup: crosscut\n# test: five-cut\n# caliper: digital\n# panel-size: 600 x 600\n"
    "panel,from_cut,to_cut,position,width\n"
    "1,1,5,20,22.74 22.73 22.75\n1,1,5,545,22.14 22.13 22.15\n";

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("plan: from options alone, the answer first, then the table, then what it rests on") {
    const Home home;
    const auto ran = run_program(home, kUsual);
    CHECK(ran.status == 0);
    CHECK(ran.err.empty());
    CHECK(flat(ran.out).starts_with(
        "One five-cut (5 cuts, 15 min) will tell to about ± 0.07 mm over 600 mm, if panels seat as usual."));
    const std::string text = flat(ran.out);
    CHECK(holds(text, "To settle 0.10 mm in 4 of 5 tests takes 8 cuts on one panel (25 min)."));
    CHECK(holds(text, "the usual size: ASSUMED"));
    CHECK(holds(text, "Fence dogs 384 mm apart, which is taken"));
    CHECK(holds(text, "What it cannot see"));
    CHECK(holds(text, "the saw maker's manual comes first"));
    CHECK(run_program(home, kUsual).out == ran.out);
    const auto json = Json::parse(run_program(home, with(kUsual, {"--json"})).out);
    CHECK(json.at("schema") == "quarterturn/plan/1");
    const auto& best = json.at("designs").at(json.at("cheapest").get<std::size_t>());
    CHECK(best.at("cuts_a_panel") == 8);
    CHECK(best.at("minutes") == 25);
    CHECK(best.at("provisional") == false);
    CHECK(best.at("within_probability") > 0.8);
    CHECK(near(json.at("tolerance_rad").get<double>(), 0.10 / 600, 1e-12, 0));
    CHECK(json.at("planned").at("seating").at("source") == "assumed");
  }

  TEST_CASE("plan: no tolerance, no verdict to foretell; the ± all the same") {
    const Home home;
    const auto ran = run_program(home, {"plan"});
    CHECK(ran.status == 0);
    CHECK(holds(flat(ran.out), "No tolerance was stated, so nothing is said of a verdict."));
    CHECK(!holds(ran.out, "outside"));
    CHECK(!Json::parse(run_program(home, {"plan", "--json"}).out).at("designs").front().contains("settles"));
  }

  TEST_CASE("plan: a station by its file, by its name, as the only one, and at the prompt") {
    const Home home;
    const auto file = home.write("other.json", files::write_station(test::dock()));
    const auto by_file = run_program(home, {"plan", "--station", file});
    CHECK(by_file.out.starts_with("dock, crosscut: One five-cut"));
    CHECK(holds(by_file.out, "Fence dogs 288 mm apart."));
    add_dock(home);
    CHECK(run_program(home, {"plan", "--station", "dock"}).out == by_file.out);
    CHECK(run_program(home, {"plan"}).out == by_file.out);
    const auto prompt = run_program(home, {}, "plan\nplan --spots 3\nplan --spots 1\nquit\n");
    CHECK(holds(flat(prompt.out), flat(by_file.out)));
    CHECK(holds(prompt.out, "3 places a strip"));
    CHECK(holds(prompt.out, "--spots is '1'"));
    CHECK(holds(run_program(home, {}, "help\nquit\n").out, "plan --settle"));
  }

  TEST_CASE("plan: what was kept is used, unless it is not wanted") {
    const Home home;
    add_dock(home);
    std::string seven =
        "# station: dock\n# setup: crosscut\n# test: progressive\n# caliper: digital\n# date: ";
    for (const char* date : {"2026-01-10", "2026-02-10", "2026-03-10", "2026-04-10"}) {
      std::string text = seven + date + "\npanel,from_cut,to_cut,position,width\n";
      const std::string last(1, date[6]);
      text += "1,1,5,20,22.5" + last + " 22.52\n1,1,5,270,22.50 22.51\n1,1,5,520,22.50 22.49\n";
      text += "1,2,6,20,22.54 22.53\n1,2,6,270,22.51 22.5" + last + "\n1,2,6,520,22.49 22.49\n";
      text += "1,3,7,20,22.52 22.51\n1,3,7,270,22.51 22.51\n1,3,7,520,22.50 22.50\n";
      REQUIRE(run_program(home, {"check", "-", "--save"}, text).status == 0);
    }
    const auto ran = run_program(home, {"plan"});
    CHECK(
        holds(flat(ran.out), "from your 4 earlier checks; that assumes that the panel seats as it did then"));
    CHECK(!holds(ran.out, "ASSUMED"));
    CHECK(Json::parse(run_program(home, {"plan", "--json"}).out).at("earlier_checks") == 4);
    CHECK(holds(run_program(home, {"plan", "--no-log"}).out, "ASSUMED"));
    CHECK(holds(run_program(home, {"plan", "--seating", "0.03"}).out, "0.030 mm, as given"));
  }

  TEST_CASE("plan: each option does what it says") {
    const Home home;
    const auto half_width = [&](const Words& more) {
      const auto ran = run_program(home, with(kUsual, with(more, {"--json", "--most-cuts", "8"})));
      REQUIRE(ran.status == 0);
      return Json::parse(ran.out).at("designs").back().at("half_width_rad").get<double>();
    };
    const double usual = half_width({});
    CHECK(half_width({"--seating", "0.01"}) < usual);
    CHECK(half_width({"--seating", "0.04"}) > 1.5 * usual);
    // One strip shows no seating: its ± is that of the usual size, whatever is given.
    const auto first = [&](const Words& more) {
      const auto text = run_program(home, with(kUsual, more)).out;
      return text.substr(0, text.find("600 mm"));
    };
    CHECK(first({"--seating", "0.04"}) == first({}));
    CHECK(half_width({"--saw-marks", "0.05", "--spots", "3"}) > usual);
    CHECK(half_width({"--apart", "150"}) > usual);
    CHECK(half_width({"--caliper", "vernier-0.05", "--readings", "1"}) > usual);
    CHECK(half_width({"--fence-baseline", "768"}) < 0.8 * usual);
    CHECK(half_width({"--confidence", "0.8"}) < usual);
    CHECK(half_width({"--panel", "900 x 900"}) < usual);
    const auto surer = Json::parse(run_program(home, with(kUsual, {"--chance", "0.95", "--json"})).out);
    CHECK(surer.at("designs").at(surer.at("cheapest").get<std::size_t>()).at("minutes") > 25);
    const auto shares =
        Json::parse(run_program(home, with(kUsual, {"--share", "0.1", "--share", "3", "--json"})).out);
    CHECK(shares.at("aim").at("within_at_share") == 0.1);
    CHECK(shares.at("aim").at("outside_at_share") == 3);
    CHECK(holds(flat(run_program(home, with(kUsual, {"--most-cuts", "5", "--no-assumed"})).out),
                "gives no ±: one strip does not show how the panel seats."));
  }

  TEST_CASE("plan --settle: no further cuts on what was moved, withdrawn, or has a plan of its own") {
    const Home home;
    add_dock(home);
    const std::string head =
        "# station: dock\n# caliper: digital\n# date: 2026-03-10\n# test: progressive\n"
        "panel,from_cut,to_cut,position,width\n";
    const std::string strip = "1,1,5,20,22.51 22.52\n1,1,5,520,22.30 22.31\n";
    const auto file = home.write("one.csv", head + strip);
    REQUIRE(run_program(home, {"check", file, "--save"}).status == 0);
    CHECK(run_program(home, {"plan", "--settle", "dock/1"}).status == 0);
    run_program(home, {"log", "event", "dock", "knocked", "--date", "2026-03-12"});
    refused(run_program(home, {"plan", "--settle", "dock/1"}), 3, "'knocked' of 2026-03-12");
    refused(run_program(home, {"plan", "--settle", file}), 3, "'knocked' of 2026-03-12");
    CHECK(run_program(home, {"plan", "--settle", file, "--no-log"}).status == 0);
    run_program(home, {"log", "withdraw", "dock/1", "--reason", "another panel"});
    refused(run_program(home, {"plan", "--settle", "dock/1"}), 3, "it was withdrawn");
    const std::string later =
        "# station: dock\n# caliper: digital\n# date: 2026-03-20\n# test: progressive\n"
        "panel,from_cut,to_cut,position,width\n";
    const auto other = home.write("two.csv", later + "1,1,5,20,23.51 23.52\n1,1,5,520,23.30 23.31\n");
    REQUIRE(run_program(home, {"check", other, "--most-strips", "8", "--save"}).status == 0);
    CHECK(holds(flat(run_program(home, {"log", "show", "dock/2"}).out), "planned for at most 8 strips"));
    refused(run_program(home, {"plan", "--settle", "dock/2"}), 3, "goes by its own plan");
  }

  TEST_CASE("plan: inches are inches") {
    const Home home;
    const auto ran = run_program(home, {"plan", "--unit", "in", "--tolerance", "0.004 over 24", "--panel",
                                        "24 x 24", "--seating", "0.0008"});
    CHECK(ran.status == 0);
    CHECK(ran.out.starts_with("One five-cut (5 cuts, 15 min) will tell to about ± 0.003 in over 24 in"));
    CHECK(holds(ran.out, "0.0008 in, as given"));
    CHECK(!holds(ran.out.substr(0, ran.out.find("Care:")), " mm"));
  }

  TEST_CASE("plan: wrong use and bad input are told, with the value and what it must be") {
    const Home home;
    refused(run_program(home, {"plan", "--spot", "3"}), 2, "did you mean '--spots'?");
    refused(run_program(home, {"plan", "--spots"}), 2, "--spots is without a value");
    refused(run_program(home, {"plan", "dock"}), 2, "one too many");
    refused(run_program(home, {"plan", "--fence-end", "22.7"}), 2, "is not of 'plan'");
    refused(run_program(home, {"plan", "--spots", "1"}), 3, "--spots is '1'");
    refused(run_program(home, {"plan", "--spots", "two"}), 3, "--spots is 'two'");
    refused(run_program(home, {"plan", "--readings", "0"}), 3, "--readings is '0'");
    refused(run_program(home, {"plan", "--readings", "1000000"}), 3, "--readings is '1000000'");
    refused(run_program(home, {"plan", "--seating", "0"}), 3, "a length above 0, at most 1 mm");
    refused(run_program(home, {"plan", "--seating=-0.02"}), 3, "a length above 0, at most 1 mm");
    refused(run_program(home, {"plan", "--saw-marks", "20"}), 3, "a length from 0 to 1 mm");
    refused(run_program(home, {"plan", "--apart", "0"}), 3, "from 100 mm to less than the panel's 600 mm");
    refused(run_program(home, {"plan", "--apart", "1e9"}), 3, "from 100 mm");
    refused(run_program(home, {"plan", "--panel", "350 x 350"}), 3, "at least 384 mm each way for five cuts");
    refused(run_program(home, {"plan", "--panel", "0 x 0"}), 3, "panel");
    refused(run_program(home, {"plan", "--tolerance", "0 over 600"}), 3, "tolerance is '0 over 600'");
    refused(run_program(home, {"plan", "--most-cuts", "4"}), 3, "--most-cuts is '4'");
    refused(run_program(home, with(kUsual, {"--share", "1"})), 2, "below or above 1");
    refused(run_program(home, with(kUsual, {"--share", "-1"})), 2, "--share");
    refused(run_program(home, with(kUsual, {"--share", "0.2", "--share", "0.3"})), 2, "once on either side");
    refused(run_program(home, with(kUsual, {"--chance", "1"})), 2, "0.5 to 0.99");
    refused(run_program(home, {"plan", "--setup", "crosscut"}), 2, "must go with --station");
    refused(run_program(home, {"plan", "--station", "dok"}), 3, "dok");
    refused(run_program(home, {"plan", "--station", "nowhere.json"}), 4, "nowhere.json");
    add_dock(home);
    refused(run_program(home, {"plan", "--station", "dok"}), 3, "did you mean 'dock'?");
    refused(run_program(home, {"plan", "--station", "dock", "--setup", "crosscat"}), 3, "crosscat");
    refused(run_program(home, {"plan", "--station", "dock", "--fence-baseline", "288"}), 2, "leave out");
    refused(run_program(home, {"plan", "--station", "dock", "--panel", "420 x 420"}), 3, "both fence dogs");
  }

  TEST_CASE("plan --settle: a readings file, standard input, a kept check") {
    const Home home;
    add_dock(home);
    const auto file = home.write("readings.csv", kReadings);
    const auto ran = run_program(home, {"plan", "--settle", file});
    CHECK(ran.status == 0);
    CHECK(ran.out.starts_with("It is OUTSIDE so far, but rests on assumed seating."));
    const std::string text = flat(ran.out);
    CHECK(holds(
        text,
        "3 more cuts on this panel (10 min) settle it in 4 of 5 tests, if the corner is off by 0.17 mm"));
    CHECK(holds(text, "about 4"));  // of 600 mm after eight cuts
    CHECK(run_program(home, {"plan", "--settle", "-"}, kReadings).out == ran.out);
    REQUIRE(run_program(home, {"check", file, "--save"}).status == 0);
    const auto kept = run_program(home, {"plan", "--settle", "dock/1"});
    CHECK(kept.status == 0);
    CHECK(kept.out.starts_with("dock/1: It is OUTSIDE so far"));
    CHECK(flat(kept.out) == flat("dock/1: " + ran.out));
    CHECK(holds(run_program(home, {}, "plan --settle dock/1\nquit\n").out, "dock/1: It is OUTSIDE so far"));
    const auto json = Json::parse(run_program(home, {"plan", "--settle", "dock/1", "--json"}).out);
    CHECK(json.at("schema") == "quarterturn/plan/1");
    CHECK(json.at("check") == "dock/1");
    CHECK(json.at("settle").at("verdict_now") == "outside");
    CHECK(json.at("steps").at(json.at("cheapest").get<std::size_t>()).at("cuts") == 3);
  }

  TEST_CASE("plan --settle: at the tolerance, settled, nothing to settle, used up, wrongly used") {
    const Home home;
    const auto file = home.write("readings.csv", kReadings);
    // 0.60 mm over 525 mm and four turns is 0.171 mm over 600 mm.
    const auto edge = run_program(home, {"plan", "--settle", file, "--tolerance", "0.17 over 600"});
    CHECK(holds(flat(edge.out), "No number of cuts will settle it if the corner is off by 0.17 mm"));
    refused(run_program(home, {"plan", "--settle", file}), 3, "tolerance is missing");
    const auto small =
        run_program(home, {"plan", "--settle", file, "--tolerance", "0.10 over 600", "--panel", "385 x 385"});
    CHECK(small.status == 0);
    CHECK(holds(small.out, "fresh panel"));
    // Bare numbers of the command line are mm, whatever the readings are in.
    const auto inches = home.write("inches.csv",
                                   "# test: five-cut\n# unit: in\n# caliper: digital-inch\n"
                                   "panel,from_cut,to_cut,position,width\n"
                                   "1,1,5,0.8,0.8950 0.8955\n1,1,5,21.4,0.8720 0.8715\n");
    const auto told = run_program(
        home, {"plan", "--settle", inches, "--tolerance", "0.10 over 600", "--panel", "600 x 600"});
    CHECK(told.status == 0);
    CHECK(holds(flat(told.out), "allowed 0.004 in over 23.6"));
    refused(run_program(home, {"plan", "--settle", file, "--spots", "3"}), 2, "leave it out with --settle");
    refused(run_program(home, {"plan", "--settle", home.path() + "/none.csv"}), 4, "none.csv");
    refused(run_program(home, {"plan", "--settle", "dock/7"}), 3, "'dock'");
    refused(run_program(home, {"plan", "--settle", "dock/7", "--station", "dock"}), 2, "knows its own");
    refused(run_program(home, {"plan", "--settle"}), 2, "without a value");
  }

  TEST_CASE("plan: narrow screens, screen readers and ASCII lose nothing") {
    const Home home;
    const auto plain = run_program(home, with(kUsual, {"--plain"}));
    CHECK(holds(plain.out, "- 8 cuts, 25 min: ± 0.0"));
    CHECK(holds(plain.out, " mm left\n"));
    const auto ascii = run_program(home, kUsual, "", "", "C");
    CHECK(holds(ascii.out, "+- 0.07 mm"));
    for (const char c : ascii.out) CHECK(static_cast<unsigned char>(c) < 0x80);
    std::size_t widest = 0, at = 0;
    const std::string out = run_program(home, kUsual).out;
    while (at < out.size()) {
      const auto end = out.find('\n', at);
      widest = std::max(widest, report::columns_of(out.substr(at, end - at)));
      at = end + 1;
    }
    CHECK(widest <= 80);
  }
}
