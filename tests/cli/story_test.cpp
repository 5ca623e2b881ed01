// SPDX-License-Identifier: MIT
// The words `history` and `find`, on the command line and at the prompt. A story over a year, its figures
// invented: a table verified, corrected with foil, good for three seasons, knocked, out. Its strips are
// exact, but for a hundredth.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "files/station_file.hpp"
#include "history/find.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::near;
using quarterturn::test::run_program;

namespace {

/// Three strips of three places; `wide_mm`: how much wider the fence end is over 525 mm.
std::string readings(const std::string& date, double wide_mm) {
  std::string text = "# station: dock\n# date: " + date +
                     "\n# test: progressive\n# caliper: digital\npanel,from_cut,to_cut,position,width\n";
  constexpr double kOff[3] = {0.00, 0.03, -0.02};
  const double base = 22.0 + 0.1 * std::stoi(date.substr(5, 2));  // no two strips are as wide
  char line[80];
  for (int strip = 0; strip < 3; ++strip) {
    for (const int place : {0, 262, 525}) {
      const double width = base - (wide_mm + kOff[strip]) * (place / 525.0);
      std::snprintf(line, sizeof line, "1,%d,%d,%d,%.2f %.2f %.2f\n", strip + 1, strip + 5, place, width,
                    width + 0.01, width - 0.01);
      text += line;
    }
  }
  return text;
}

void keep(const Home& home, const std::string& date, double wide_mm) {
  REQUIRE(run_program(home, {"check", "-", "--save"}, readings(date, wide_mm)).status == 0);
}

/// 0.60 mm wider at F over 525 mm is 0.17 mm over 600 mm a corner.
void live_a_year(const Home& home) {
  run_program(home, {"station", "add", home.write("dock.json", files::write_station(test::dock()))});
  keep(home, "2025-03-01", 0.03);
  keep(home, "2025-05-30", 0.02);
  keep(home, "2025-08-09", 0.04);
}

nlohmann::json found(const Home& home, std::vector<std::string> more = {}) {
  std::vector<std::string> words{"find", "--json"};
  words.insert(words.end(), more.begin(), more.end());
  const auto ran = run_program(home, words);
  REQUIRE(ran.status == 0);
  return nlohmann::json::parse(ran.out);
}

double probability(const nlohmann::json& json, const std::string& code) {
  for (const auto& cause : json.at("causes")) {
    if (cause.at("cause") == code) return cause.at("probability");
  }
  return 0;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("find: a table that stands still has nothing wrong with it") {
    const Home home;
    live_a_year(home);
    keep(home, "2025-11-10", 0.03);
    const auto json = found(home);
    CHECK(json.at("schema") == "quarterturn/find/1");
    CHECK(json.at("causes").front().at("cause") == "chance");
    CHECK(json.at("change").at("beyond_chance") == false);
    const auto text = flat(run_program(home, {"find"}).out);
    CHECK(holds(text, "dock/4 of 2025-11-10 is within: nothing has to be found."));
    CHECK(holds(text, "the corner has not moved beyond what"));
    CHECK(holds(text, "Leave it alone."));
    CHECK(holds(run_program(home, {}, "find\nquit\n").out, "Leave it alone."));
    // What happens after it is not in it.
    run_program(home, {"log", "event", "dock", "knocked", "--date", "2025-11-20"});
    CHECK(holds(flat(run_program(home, {"find"}).out), "Since the last check: knocked 2025-11-20."));
    CHECK(holds(flat(run_program(home, {"history"}).out),
                "Since the last check: knocked 2025-11-20. The checks before it tell nothing"));
  }

  TEST_CASE("find: what changed, what would explain it, and the answers that settle it") {
    const Home home;
    live_a_year(home);
    keep(home, "2025-11-10", 0.63);
    run_program(home, {"log", "event", "dock", "knocked", "--date", "2025-10-15"});
    const auto first = run_program(home, {"find"});
    CHECK(first.status == 0);
    CHECK(first.err.empty());
    CHECK(holds(flat(first.out), "Since 2025-08-09 (dock/3) the corner has opened by 0.17 ±"));
    CHECK(holds(first.out, "not chance."));
    CHECK(holds(first.out, "Last good 2025-08-09: panels cut since may be out."));
    CHECK(holds(first.out, "Since then in the log: knocked 2025-10-15."));
    CHECK(holds(first.out, "opens it by "));
    CHECK(holds(first.out, " min, no cut:"));
    CHECK(holds(first.out, "quarterturn find --station dock --answer "));

    const auto before = found(home);
    CHECK(before.at("compared_with") == "dock/3");
    CHECK(before.at("next_test").at("cuts") == 0);
    CHECK(probability(before, "chance") < 0.01);
    // A feeler of 0.22 mm at the near dog, 768 mm from the far one: 0.172 mm over 600 mm.
    const auto after =
        found(home, {"--answer", "same-strip=no", "--answer", "foil=no", "--answer", "paper-near=yes:0.22"});
    CHECK(after.at("causes").front().at("cause") == "rail-off-dog");
    CHECK(probability(after, "rail-off-dog") > probability(before, "rail-off-dog"));
    const double effect = after.at("causes").front().at("effect_rad");
    CHECK(near(effect * 600, 0.172, 0.05, 0));
    CHECK(after.at("answers").at("paper-near").at("mm") == 0.22);

    const auto noted = run_program(home, {"find", "--note", "rail-off-dog", "--by", "Lea"});
    CHECK(noted.status == 0);
    CHECK(holds(noted.out, "Cause noted"));
    CHECK(holds(run_program(home, {"log", "list"}).out, "cause noted"));
  }

  TEST_CASE("history: what one, two, three checks say, and the year with its event") {
    const Home home;
    run_program(home, {"station", "add", home.write("dock.json", files::write_station(test::dock()))});
    const auto none = run_program(home, {"history"});
    CHECK(none.status == 3);
    CHECK(holds(flat(none.err), "kept in the log for setup 'crosscut'"));
    keep(home, "2025-03-01", 0.03);
    CHECK(holds(flat(run_program(home, {"history"}).out),
                "One check tells nothing of how it moves; a second one tells."));
    keep(home, "2025-05-30", 0.02);
    const auto two = flat(run_program(home, {"history"}).out);
    CHECK(holds(two, "since the check before: no more than the two leave open."));
    CHECK(holds(two, "scatter between checks: two checks cannot tell"));
    keep(home, "2025-08-09", 0.04);
    CHECK(holds(flat(run_program(home, {"history"}).out), "It stands still, as far as 3 checks can tell"));
    run_program(home, {"log", "event", "dock", "knocked", "--date", "2025-10-15"});
    keep(home, "2025-11-10", 0.63);
    const auto year = run_program(home, {"history"});
    CHECK(year.status == 0);
    CHECK(year.err.empty());
    CHECK(holds(flat(year.out), "Last good 2025-08-09 (dock/3): panels cut since may be out."));
    CHECK(holds(flat(year.out),
                "After 'knocked' of 2025-10-15, the checks around it taken together: opened by 0.17 ±"));
    CHECK(holds(year.out, "a  2025-10-15 knocked"));
    CHECK(!holds(run_program(home, {"history", "--plain"}).out, "│"));
    const auto json = nlohmann::json::parse(run_program(home, {"history", "--json"}).out);
    CHECK(json.at("schema") == "quarterturn/history/1");
    CHECK(json.at("checks") == 4);
    CHECK(json.at("in_series") == 1);
    CHECK(json.at("last_good") == "dock/3");
    CHECK(json.at("due").at("by") == "outside");  // as soon as it was put right
    CHECK(json.at("due").at("date") == "2025-11-10");
    CHECK(json.at("entries").size() == 4);
    const double change = json.at("events").at(0).at("change").at("estimate_rad");
    CHECK(near(600 * change, 0.171, 0.03, 0));
    CHECK(holds(run_program(home, {}, "history\nquit\n").out, "dock, crosscut: "));
    const auto wrong = run_program(home, {"history", "--setup", "crosscat"});
    CHECK(wrong.status == 3);
    CHECK(holds(wrong.err, "crosscut"));
  }

  TEST_CASE("history: the log exported, taken in elsewhere and verified tells the same") {
    const Home home, other;
    live_a_year(home);
    keep(home, "2025-11-10", 0.63);
    run_program(home, {"log", "event", "dock", "knocked", "--date", "2025-10-15"});
    const auto document = home.write("log.json", run_program(home, {"log", "export"}).out);
    CHECK(run_program(other, {"log", "import", document}).status == 0);
    CHECK(holds(run_program(other, {"log", "verify"}).out,
                "4 checks, each computed again with the same result"));
    CHECK(run_program(other, {"log", "export"}).out == run_program(home, {"log", "export"}).out);
    CHECK(run_program(other, {"history", "--json"}).out == run_program(home, {"history", "--json"}).out);
    CHECK(run_program(other, {"find", "--json"}).out == run_program(home, {"find", "--json"}).out);
  }

  TEST_CASE(
      "find: a table that never was good has nothing to be found; a cause that is noted is to be proved") {
    const Home home;
    run_program(home, {"station", "add", home.write("dock.json", files::write_station(test::dock()))});
    keep(home, "2025-11-10", 0.63);
    const auto text = flat(run_program(home, {"find"}).out);
    CHECK(holds(text, "it may stand so since it was set up"));
    CHECK(holds(text, "nothing has changed: it stands so since it was set up"));
    const auto noted = run_program(home, {"find", "--note", "rail-off-dog"});
    CHECK(holds(flat(noted.out), "Put it right, then prove it with five cuts"));
    CHECK(holds(flat(run_program(home, {"history"}).out), "put it right, then prove it with a check"));
    // Proved, the sick check belongs to another series.
    run_program(home, {"log", "event", "dock", "cause noted", "--date", "2025-11-20", "--note",
                       "rail-off-dog: the rail was off its near dog; paper-near yes 0.2 mm"});
    const auto proof = run_program(home, {"check", "-", "--save"}, readings("2026-01-10", 0.02));
    CHECK(holds(flat(proof.out), "Since dock/1 it moved by 0.17 ±"));
    CHECK(holds(flat(proof.out),
                "Noted as the cause on 2025-11-20: the rail was off its near dog. It is put right."));
    // It is proved once.
    CHECK(!holds(run_program(home, {"check", "-"}, readings("2026-02-10", 0.02)).out, "Noted as the cause"));
    const auto json = nlohmann::json::parse(run_program(home, {"history", "--json"}).out);
    CHECK(json.at("in_series") == 1);
  }

  TEST_CASE("log amend: a key that is also a word of the program") {
    const Home home;
    live_a_year(home);
    CHECK(run_program(home, {"log", "amend", "dock/3", "caliper", "dial-0.02", "--reason", "the other one"})
              .status == 0);
    CHECK(run_program(home, {"log", "note", "dock/3", "history"}).status == 0);
  }

  TEST_CASE("find: wrong use and nothing kept yet") {
    const Home home;
    const auto refused = [&](const std::vector<std::string>& words, int status, const std::string& says) {
      const auto ran = run_program(home, words);
      CHECK(ran.status == status);
      CHECK(ran.out.empty());
      CHECK(holds(flat(ran.err), says));
    };
    refused({"find"}, 2, "no station was added yet");
    live_a_year(home);
    refused({"find", "--answer", "paper-naer=no"}, 3, "did you mean 'paper-near'?");
    refused({"find", "--answer", "paper-near"}, 3, "a test and yes or no");
    refused({"find", "--answer", "paper-near=no:0.2"}, 3, "has no amount");
    refused({"find", "--answer", "paper-near=yes:-1"}, 3, "--answer");
    refused({"find", "--note", "gremlins"}, 3, "rail-off-dog");
    refused({"find", "--setup", "crosscat"}, 3, "crosscut");
    refused({"find", "extra"}, 2, "extra");
    refused({"find", "--answer", "foil=yes", "--answer", "foil=no"}, 3, "was answered before");
    refused({"find", "--by", "Lea"}, 2, "--by is given without --note");
    refused({"find", "--confidence", "2"}, 2, "0.5 to 0.999");
    const auto help = run_program(home, {"find", "--help"}).out;
    for (const auto& row : history::cause_rows()) CHECK(holds(flat(help), std::string(row.code)));
    for (const auto& row : history::test_rows()) {
      if (row.answered) CHECK(holds(flat(help), std::string(row.code)));
    }
  }

  TEST_CASE("prompt: find asks what happened, one test at a time, and notes the cause") {
    const Home home;
    live_a_year(home);
    keep(home, "2025-11-10", 0.63);
    const auto ran = run_program(home, {},
                                 "find\nq?\nkp\n2025-01-15\n2025-10-15\n22.51 22.50\n21.88 21.87\n"
                                 "yes\n0.22\nlater\nquit\n");
    CHECK(holds(ran.out, "Since 2025-08-09? Letters, Enter = nothing"));
    CHECK(holds(flat(ran.out), "must be from 2025-08-09 to 2025-11-10"));
    CHECK(holds(ran.out, "Kept in the log: knocked, 2025-10-15."));
    CHECK(count_of(flat(ran.out), "when, as October, 9 Aug or last week") == 2);  // who checked has no date
    CHECK(holds(ran.out, "Step 1, "));
    CHECK(holds(ran.out, "What would explain it"));
    // The answers are there again; undo goes back a question, and to the test before.
    const auto back =
        run_program(home, {}, "find\nundo\nyes\nundo\nno\nundo\nyes\n0.22\nlater\nfind\nundo\nlater\nquit\n");
    CHECK(count_of(back.out, "Answered before") == 2);
    CHECK(count_of(back.out, "Step 1, ") == 3);
    CHECK(count_of(back.out, "Step 2, ") == 1);
    CHECK(count_of(back.out, "thickest feeler that enters there") == 2);
    CHECK(count_of(back.out, "Note it as the cause?") == 3);
    CHECK(!holds(back.out, "Left; begin it again"));
    CHECK(holds(flat(back.out), "What was answered is kept; 'find' goes on from it."));
    // What happened is in the log now, and is not asked again.
    const auto again = run_program(home, {}, "find\nlater\nquit\n");
    CHECK(!holds(again.out, "Letters, Enter = nothing"));
  }
}
