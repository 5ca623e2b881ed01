// SPDX-License-Identifier: MIT
// `report` as it is typed: of checks and stations in the log, of readings files; each format; where it goes.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <regex>

#include "files/sha256.hpp"
#include "support/run_program.hpp"
#include "support/strict_markup.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::Ran;
using quarterturn::test::run_program;
using quarterturn::test::StrictMarkup;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

namespace {

const std::string kRoot = QUARTERTURN_ROOT "/examples/";

/// The workshop's year at the dock, kept.
void keep_year(const Home& home) {
  run_program(home, {"station", "add", kRoot + "stations/dock.json"});
  Words words{"log", "import"};
  for (const char* day : {"2025-03-14", "2025-03-14b", "2025-05-30", "2025-08-09", "2025-11-10"})
    words.push_back(kRoot + "logs/dock-year/" + day + ".csv");
  words.push_back(kRoot + "logs/events.csv");
  REQUIRE(run_program(home, words).status == 0);
}

std::string file(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

class In {
 public:
  explicit In(const std::string& folder) : before_(std::filesystem::current_path()) {
    std::filesystem::current_path(folder);
  }
  ~In() { std::filesystem::current_path(before_); }
  In(const In&) = delete;
  In& operator=(const In&) = delete;

 private:
  std::filesystem::path before_;
};

void refused(const Ran& ran, int status, const std::string& words) {
  INFO(ran.err);
  CHECK(ran.status == status);
  CHECK(ran.out.empty());
  CHECK(holds(flat(ran.err), words));
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("report: a kept check tells what the check told, with its log id and checksum") {
    const Home home;
    keep_year(home);
    const In here(home.path());
    const auto ran = run_program(home, {"report", "dock/1"});
    CHECK(ran.status == 0);
    CHECK(ran.out == "report-dock-1.html written.\n");
    const std::string text = StrictMarkup(file("report-dock-1.html")).read();
    CHECK(holds(text, "The corner is over 90° by 0.18 ± 0.06 mm over 600 mm"));
    CHECK(holds(flat(run_program(home, {"log", "list"}).out),
                "over 90° by 0.18 ± 0.06 mm over 600 mm, OUTSIDE"));
    const auto list = Json::parse(run_program(home, {"log", "show", "dock/1", "--json"}).out);
    CHECK(holds(text, list.at("id").get<std::string>()));
    const auto csv = run_program(home, {"report", "dock/1", "--format", "csv", "--output", "-"});
    CHECK(holds(text, files::sha256(csv.out)));
    CHECK(holds(run_program(home, {"log", "show", "dock/1"}).out, csv.out));
    CHECK(holds(text, "corrected: three layers of foil on the far rail dog"));
    // What find_first said when dock/5 was checked is said by its report too.
    CHECK(holds(flat(run_program(home, {"report", "dock/5", "--format", "text", "--output", "-"}).out),
                "Do NOT correct yet"));
  }

  TEST_CASE("report: several checks on one page, the record of a station, at the prompt") {
    const Home home;
    keep_year(home);
    const In here(home.path());
    CHECK(run_program(home, {"report", "dock/2", "dock/3"}).out ==
          "report-dock-2-and-1-more.html written.\n");
    CHECK(StrictMarkup(file("report-dock-2-and-1-more.html")).named("article").size() == 2);
    CHECK(run_program(home, {"report", "dock"}).out == "report-dock.html written.\n");
    const std::string page = file("report-dock.html");
    const StrictMarkup read(page);
    CHECK(holds(read.read(), "The corner has opened by 0.17"));
    CHECK(holds(read.read(), "dock/5"));
    CHECK(read.named("svg").size() == 2);  // one for wide, one for narrow screens
    CHECK(!holds(page, "http:"));
    CHECK(run_program(home, {"report"}).out == "report-dock.html written.\n");
    CHECK(holds(run_program(home, {}, "report dock/3\nquit\n").out, "report-dock-3.html written."));
    const auto csv = run_program(home, {"report", "dock", "--format", "csv", "--output", "-"});
    CHECK(csv.out == run_program(home, {"log", "export", "dock", "--csv", "checks"}).out);
    CHECK(holds(read.read(), files::sha256(csv.out)));
  }

  TEST_CASE("report: a readings file as check takes it, in each format") {
    const Home home;
    const In here(home.path());
    const Words usual{"report", kRoot + "readings/dock-first.csv", "--station", kRoot + "stations/dock.json"};
    const auto with = [&](const Words& more) {
      Words words = usual;
      words.insert(words.end(), more.begin(), more.end());
      return run_program(home, words);
    };
    CHECK(with({}).out == "report-dock-first.html written.\n");
    CHECK(holds(file("report-dock-first.html"), "none: this check is not in the log"));
    const std::string json = with({"--json"}).out;
    CHECK(Json::parse(json).at("schema") == "quarterturn/check/1");
    CHECK(with({"--format", "json", "--output", "-"}).out == json);
    CHECK(holds(with({"--format", "text", "--output", "-"}).out, "Where the ± comes from"));
    CHECK(with({"--format", "svg", "--drawing", "table"}).out == "report-dock-first-table.svg written.\n");
    for (const char* drawing : {"strips", "interval", "table"}) {
      const auto svg = with({"--format", "svg", "--drawing", drawing, "--output", "-"});
      CHECK(StrictMarkup(svg.out).elements()[0].attributes.at("xmlns") == "http://www.w3.org/2000/svg");
    }
    CHECK(holds(with({"--output", "mine.html"}).out, "mine.html written."));
    CHECK(std::filesystem::exists("mine.html"));
    CHECK(holds(file("mine.html"), "0.17 ± "));
    CHECK(holds(with({"--unit", "in", "--format", "html", "--output", "-"}).out, "0.007 ± "));
    const auto rail = run_program(home, {"report", kRoot + "readings/dock-rail.csv", "--station",
                                         kRoot + "stations/dock.json", "--output", "-"});
    CHECK(holds(StrictMarkup(rail.out).read(), "The rail's edge is hollow by 0.11"));
  }

  TEST_CASE("report: a mitre whose corner lies far beside the table is drawn without it, and says so") {
    const Home home;
    const std::string as_it_is = file(kRoot + "stations/tour.json");
    std::string far = as_it_is;
    for (const auto& [hole, other] :
         {std::pair{"\"C1\"", "\"F1\""}, {"\"G5\"", "\"G2\""}, {"\"A7\"", "\"A8\""}, {"\"D7\"", "\"D8\""}}) {
      const auto at = far.rfind(hole);  // of the last setup, which is the mitre
      REQUIRE(at != std::string::npos);
      far.replace(at, 4, other);
    }
    const auto table = [&](const std::string& station) {
      const auto ran = run_program(
          home, {"report", kRoot + "readings/tour-frame.csv", "--station", home.write("tour.json", station),
                 "--setup", "mitre", "--no-log", "--drawing", "table", "--output", "-"});
      REQUIRE(ran.status == 0);
      return ran.out;
    };
    const StrictMarkup whole(table(as_it_is)), without(table(far));
    CHECK(whole.of_class("q-wood").size() == 1);
    CHECK(without.of_class("q-wood").empty());
    CHECK(without.of_class("q-cut").empty());
    CHECK(without.of_class("q-dog").size() == 4);
    CHECK(holds(without.read(), "far beside the table"));
    CHECK(!holds(whole.read(), "far beside the table"));
  }

  TEST_CASE("report: a bench sheet is of a test that can tell the setup") {
    const Home home;
    const In here(home.path());
    for (const char* station : {"dock", "tour"})
      run_program(home, {"station", "add", kRoot + "stations/" + station + ".json"});
    const auto sheet = [&](std::vector<std::string> words) {
      words.insert(words.begin(), {"report", "bench-sheet"});
      return run_program(home, words);
    };
    CHECK(sheet({"tour", "--setup", "mitre"}).out == "bench-sheet-tour-frame.html written.\n");
    const std::string ring = StrictMarkup(file("bench-sheet-tour-frame.html")).read();
    CHECK(holds(ring, "Frame, 4 pieces: 8 cuts"));
    CHECK(holds(ring, "true within"));
    CHECK(sheet({"dock", "--test", "rail"}).out == "bench-sheet-dock-rail.html written.\n");
    CHECK(sheet({"dock", "--test", "turn-over", "--form", "halves", "--unit", "in", "--output", "-"})
              .out.find("All in inches") != std::string::npos);
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{"tour", "--setup", "mitre", "--test", "five-cut"},
          {"tour", "--setup", "mitre", "--test", "rail"},
          {"dock", "--test", "frame"},
          {"dock", "--test", "four-cut"},
          {"dock", "--form", "pair"},
          {"dock", "--test", "turn-over", "--pieces", "4"}}) {
      CAPTURE(words);
      const auto ran = sheet(words);
      const bool of_setup = holds(ran.err, "error: setup is '");
      CHECK(ran.status == (of_setup ? 3 : 2));
      CHECK(holds(ran.err, of_setup ? "but must be" : "error: "));
      CHECK(ran.out.empty());
    }
    CHECK(holds(run_program(home, {"report", "card", "dock", "--test", "rail"}).err, "only 'bench-sheet'"));
    CHECK(holds(run_program(home, {"report", "dock", "--pieces", "4"}).err, "only 'bench-sheet'"));
  }

  TEST_CASE("report: card, bench sheet and client's sheet, with names of their own") {
    const Home home;
    keep_year(home);
    const In here(home.path());
    CHECK(run_program(home, {"report", "card"}).out ==
          "card-dock.html written; next check: as soon as it is put right.\n");
    const std::string card = StrictMarkup(file("card-dock.html")).read();
    CHECK(holds(card, "OUTSIDE (provisional)"));
    CHECK(holds(card, "440 mm apart"));  // as the last strip was measured
    CHECK(run_program(home, {"report", "bench-sheet", "dock"}).out == "bench-sheet-dock.html written.\n");
    CHECK(holds(StrictMarkup(file("bench-sheet-dock.html")).read(), "a quarter to the left"));
    CHECK(run_program(home, {"report", "client-sheet", "dock/2"}).out ==
          "client-sheet-dock-2.html written.\n");
    CHECK(holds(StrictMarkup(file("client-sheet-dock-2.html")).read(), "WITHIN (provisional)"));
    const Home empty;
    const auto bare = run_program(empty, {"report", "bench-sheet", "--output", "-"});
    CHECK(bare.status == 0);
    CHECK(StrictMarkup(bare.out).named("svg").empty());  // without a station turns may go either way
    const auto never =
        run_program(empty, {"report", "card", "--station", kRoot + "stations/loft.json", "--output", "-"});
    CHECK(holds(StrictMarkup(never.out).read(), "Not checked yet."));
  }

  TEST_CASE("report: every example makes a page that is well-formed and asks for nothing") {
    const Home home;
    for (const std::string station : {"dock", "loft", "tour"}) {
      for (const auto& entry : std::filesystem::directory_iterator(kRoot + "readings")) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with(station)) continue;
        CAPTURE(name);
        const auto ran = run_program(
            home, {"report", entry.path().string(), "--station", kRoot + "stations/" + station + ".json",
                   "--setup", name == "tour-frame.csv" ? "mitre" : "crosscut", "--output", "-"});
        REQUIRE(ran.status == 0);
        CHECK(StrictMarkup(ran.out).named("h1").size() == 1);
        CHECK(!holds(ran.out, "http:"));
        CHECK(!holds(ran.out, "https:"));
        CHECK(!holds(ran.out, "<script"));
      }
    }
  }

  TEST_CASE("report: a name becomes one harmless file name") {
    const Home home;
    const In here(home.path());
    std::filesystem::create_directory("in");
    const std::string odd = home.write("in/..;rm -rf ~ <b>.csv", file(kRoot + "readings/dock-first.csv"));
    const auto ran = run_program(home, {"report", odd, "--station", kRoot + "stations/dock.json"});
    CHECK(ran.out == "report-rm-rf-b.html written.\n");
    CHECK(std::filesystem::exists("report-rm-rf-b.html"));
  }

  TEST_CASE("report: what cannot be is refused, and nothing is written") {
    const Home home;
    keep_year(home);
    const In here(home.path());
    const auto report = [&](Words more) {
      more.insert(more.begin(), "report");
      return run_program(home, more);
    };
    refused(report({"dock/9"}), 3, "'log list' shows them");
    refused(report({"cadr"}), 3, "did you mean 'card'?");
    refused(report({"dokc"}), 3, "did you mean 'dock'?");
    refused(report({""}), 3, "what to report is empty");
    refused(report({"card", "dock", "loft"}), 2, "must be written: report card [STATION]");
    refused(report({"client-sheet"}), 2, "must be written: report client-sheet CHECK");
    refused(report({"card", "--format", "svg"}), 2, "a page and nothing else");
    refused(report({"nowhere.csv"}), 4, "there is no file 'nowhere.csv'");
    refused(report({"dock/1", "--format", "htlm"}), 2, "did you mean 'html'?");
    refused(report({"dock/1", "--drawing", "tabel"}), 2, "did you mean 'table'?");
    refused(report({"dock/1", "--format", "html", "--drawing", "table"}), 2, "--drawing is given without");
    refused(report({"dock/1", "dock/2", "--format", "json"}), 2, "must be of one");
    refused(report({"dock/1", "dock"}), 2, "is a station among checks");
    refused(report({"dock/1", "--station", "dock"}), 2, "knows its own");
    refused(report({"dock/1", "--confidence", "0.9"}), 2, "knows its own");
    refused(report({"dock", "--drawing", "table"}), 2, "there is only history");
    refused(report({"dock/1", "--output", home.path() + "/quarterturn/log.db"}), 2,
            "must not be a file that is read");
    refused(report({"dock/1", "--output", "no/such/folder.html"}), 4, "cannot write");
    refused(report({"dock/1", "--json", "--format", "text"}), 2, "--json is given with another --format");
    const std::string readings = home.write("r.csv", file(kRoot + "readings/dock-first.csv"));
    refused(report({readings, "--output", readings}), 2, "must not be a file that is read");
    CHECK(file(readings) == file(kRoot + "readings/dock-first.csv"));
    for (const auto& entry : std::filesystem::directory_iterator(home.path()))
      CHECK(entry.path().extension() != ".html");
  }
}
