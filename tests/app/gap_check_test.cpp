// SPDX-License-Identifier: MIT
// Readings are invented, in the scenery workshop of the examples.
/// Tests that read a gap, on a station and in its log.
#include <doctest/doctest.h>

#include <sqlite3.h>

#include <algorithm>
#include <string>
#include <vector>

#include "app/keep_check.hpp"
#include "app/kept_move.hpp"
#include "app/known_checks.hpp"
#include "app/log_import.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "logbook/page_sums.hpp"
#include "support/keeping.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/tables.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using logbook::Logbook;
using quarterturn::test::error_of;
using quarterturn::test::kept_of;
using quarterturn::test::kNow;
using quarterturn::test::near;
using quarterturn::test::TemporaryFolder;

namespace {

check::Check parsed(const std::string& text) {
  return files::parse_readings(files::text_of(text, "r.csv"));
}

app::CheckRequest on_dock(const std::string& text) {
  app::CheckRequest request;
  request.check = parsed(text);
  request.station = test::dock();
  return request;
}

app::CheckRequest on(const test::Case& c, const std::string& text) {
  app::CheckRequest request;
  request.check = parsed(text);
  request.check.station.clear();
  request.station = c.station;
  request.setup = c.setup.name;
  request.tolerance = units::parse_tolerance("0.10 over 600");
  return request;
}

/// Pairs that open by about `taper_mm` at the fence end over 520 mm, three places each.
std::string pairs(const std::string& date, int count, double taper_mm, const std::string& form = "pair") {
  std::string text = "# station: dock\n# date: " + date + "\n# form: " + form + "\npanel,position,gap\n";
  for (int pair = 1; pair <= count; ++pair) {
    const auto gap = [&](double share, int repeat) {
      const int odd = (pair * 7 + static_cast<int>(share * 4) + repeat * 3) % 3 - 1;
      return std::to_string(0.30 + taper_mm * (1 - share) + 0.02 * odd).substr(0, 4);
    };
    for (const double share : {0.0, 0.5, 1.0}) {
      text += std::to_string(pair) + "," + std::to_string(20 + static_cast<int>(520 * share)) + "," +
              gap(share, 0) + " " + gap(share, 1) + "\n";
    }
  }
  return text;
}

std::string strips(const std::string& date, const std::string& first = "22.14 22.13 22.15") {
  return "# station: dock\n# date: " + date +
         "\n# caliper: digital\npanel,from_cut,to_cut,position,width\n"
         "1,1,5,0," +
         first +
         "\n1,1,5,262,22.15 22.15 22.14\n1,1,5,525,22.16 22.15 22.17\n"
         "2,1,5,0,23.05 23.05 23.06\n2,1,5,262,23.05 23.04 23.05\n2,1,5,525,23.04 23.05 23.04\n";
}

std::string rings(int pieces, const std::string& form = "separate") {
  return "# pieces: " + std::to_string(pieces) + "\n# form: " + form +
         "\nring,position,gap\n1,10,0.20\n1,55,0.10 0.12\n1,100,0\n";
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

const test::Case& mitre_with(bool outer_on_fence) {
  static const auto all = test::mitre_cases();
  return *std::ranges::find_if(
      all, [&](const auto& c) { return (test::nominal_corner_rad(c) < 1.0) == outer_on_fence; });
}

void raw(const std::string& path, const std::string& sql) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open_v2(path.c_str(), &db, SQLITE_OPEN_READWRITE, quarterturn::logbook::page_sums_vfs()) ==
          SQLITE_OK);
  CHECK(sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("each test on the setup that it can tell") {
    const auto& mitre = mitre_with(true);
    const auto square = test::square_cases().front();
    const auto told = [](const app::CheckRequest& request) {
      return error_of([&] { (void)app::run_check(request); });
    };
    CHECK(holds(
        told(on(mitre, pairs("2026-05-01", 1, 0.1))),
        "setup is 'mitre', but must be one of 90 degrees for a turn-over test (r.csv). Hint: strips and "
        "turned pieces tell square setups only; measure a mitre on a closed frame"));
    CHECK(holds(
        told(on(square, rings(4))),
        "setup is 'crosscut', but must be a mitre for a frame test (r.csv). Hint: a square setup is told by "
        "strips or by turned pieces"));
    CHECK(holds(
        told(on(mitre, rings(6))),
        "pieces is '6', but must be as many as close with the mitre of setup 'mitre', 45 degrees (r.csv). "
        "Hint: four pieces close at 45 degrees, six at 60, eight at 67.5"));
    CHECK(told(on(mitre, rings(4))).empty());
    CHECK(told(on(square, pairs("2026-05-01", 1, 0.1))).empty());
  }

  TEST_CASE("a rail's own test tells no corner, and is not taken for one") {
    const auto outcome = app::run_check(on_dock("position,gap\n30,0.1\n480,0\n930,0.1\n"));
    CHECK_FALSE(outcome.eps);
    CHECK_FALSE(outcome.advice);
    CHECK_FALSE(outcome.verdict);
    CHECK(outcome.fit.tapers.empty());
  }

  TEST_CASE("the outer edge away from the fence: the gap tells the corner the other way round") {
    const double theta = 0.2 / 90;  // open outside by 0.2 mm over 90
    for (const bool outer_on_fence : {true, false}) {
      const auto outcome = app::run_check(on(mitre_with(outer_on_fence), rings(4)));
      const double sign = outer_on_fence ? 1 : -1;
      CHECK(outcome.check.outer_sign == sign);
      CHECK(near(outcome.fit.eta.x, sign * theta / 8, 0.02, 0));
      CHECK(near(outcome.fit.tapers[0].taper_rad, theta, 0.02, 0));
      CHECK(outcome.fit.tapers[0].turns == 8 * sign);
      REQUIRE(outcome.eps);
      CHECK(near(outcome.eps->x, outcome.geometry->q * outcome.fit.eta.x, 1e-12, 0));
      CHECK(near(outcome.fit.tapers[0].corner_rad(), outcome.fit.eta.x, 0.02, 0));
    }
  }

  TEST_CASE("without a station nobody knows which edge of a ring lay at the fence: no side, no move") {
    app::CheckRequest request;
    request.check = parsed(rings(4));
    request.bare = test::ends_request().bare;  // sides as of a square setup
    request.tolerance = units::parse_tolerance("0.10 over 600");
    const auto outcome = app::run_check(request);
    CHECK_FALSE(outcome.eps);
    CHECK_FALSE(outcome.advice);
    CHECK(outcome.verdict);
    request.check = parsed(pairs("2026-05-01", 1, 0.1));
    CHECK(app::run_check(request).eps);
  }

  TEST_CASE("gaps are read by a feeler, whatever calipers the station's owner has") {
    auto request = on_dock(pairs("2026-05-01", 2, 0.1));
    REQUIRE(request.station->calipers.size() == 1);
    const auto outcome = app::run_check(request);
    REQUIRE(outcome.check.caliper);
    CHECK(outcome.check.caliper->name == "feeler");
    CHECK(outcome.check.caliper->repeatability_mm == 0.02);
    request.check.caliper_id = "digital";
    CHECK(app::run_check(request).check.caliper->name == "feeler");
    request.check.caliper = check::Caliper{"stated", 0.01, 0.015, 0.25, 150};
    CHECK(app::run_check(request).check.caliper->repeatability_mm == 0.015);
    // One reading a place, two places: only the feeler tells how they scatter.
    CHECK(
        app::run_check(on_dock("# form: pair\npanel,position,gap\n1,20,0.2\n1,540,0\n")).fit.eta.half_width >
        0);
  }

  TEST_CASE("scatter is learnt from tests of one kind and form alone; what is believed of eps, from all") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    kept_of(log, on_dock(strips("2026-03-01")));
    const auto pair = kept_of(log, on_dock(pairs("2026-03-02", 3, 0.1)));
    const auto halves = kept_of(log, on_dock(pairs("2026-03-03", 4, 0.14, "halves")));
    const auto strip = kept_of(log, on_dock(strips("2026-03-04", "22.15 22.15")));
    const auto used = [&](const std::string& text) {
      auto request = on_dock(text);
      request.station = log.find("dock");
      app::inform(request, log, kNow);
      CHECK(request.believed.eps.size() == log.checks().size());
      (void)app::run_check(request);
      return app::ids_of(request.earlier);
    };
    using Ids = std::vector<std::string>;
    CHECK(used(pairs("2026-06-01", 2, 0.08)) == Ids{pair.made.id});
    CHECK(used(pairs("2026-06-01", 2, 0.08, "halves")) == Ids{halves.made.id});
    CHECK(used(strips("2026-06-01", "22.16 22.15")) == Ids{log.check("dock/1").made.id, strip.made.id});
    CHECK(pair.latest.result.used.empty());
    CHECK(strip.latest.result.used == Ids{log.check("dock/1").made.id});
    // Handed in all the same, those of another kind count for nothing.
    auto request = on_dock(pairs("2026-06-01", 2, 0.08));
    const auto alone = app::run_check(request);
    request.earlier.push_back({parsed(strips("2026-03-01")), 288, "x", ""});
    const auto with = app::run_check(request);
    CHECK_FALSE(with.fit.log);
    CHECK(with.fit.eta.half_width == alone.fit.eta.half_width);
  }

  TEST_CASE("a form that is amended learns from its own kind") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    kept_of(log, on_dock(pairs("2026-03-01", 3, 0.1)));
    const auto second = kept_of(log, on_dock(pairs("2026-03-02", 2, 0.08)));
    CHECK(second.latest.result.used.size() == 1);
    const auto amended = app::amend_check(log, second, "form", "halves", "of one board", kNow);
    CHECK(holds(amended.latest.readings, "# form: halves"));
    CHECK(app::recompute(log).empty());
  }

  TEST_CASE("gap checks are kept, verified, exported and merged like any other") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db"), other(folder.path() + "/other.db");
    const auto kept = kept_of(log, on_dock(pairs("2026-05-01", 3, 0.1)));
    kept_of(log, on_dock(pairs("2026-05-02", 2, 0.12, "halves")));
    kept_of(log, on_dock(strips("2026-05-03")));
    CHECK(kept.latest.result.test == "turn-over");
    CHECK_FALSE(log.check("dock/3").latest.result.test);
    CHECK(holds(kept.latest.readings, "# form: pair"));
    CHECK(app::recompute(log).empty());
    const auto text = files::write_log(log.document());
    const auto document = files::parse_log(files::text_of(text, "log.json"));
    other.merge(document);
    CHECK(other.merge(document).added == 0);
    CHECK(files::write_log(other.document()) == text);
    CHECK(app::recompute(other).empty());
    CHECK(other.check("dock/1").latest.result.test == "turn-over");
    CHECK(other.results(other.station_id("dock"), "crosscut").front().result.test == "turn-over");
    CHECK(holds(error_of([&] { kept_of(log, on_dock(pairs("2026-05-01", 3, 0.1))); }), "are kept as dock/1"));
    // A fourth pair of the same day goes on with the three.
    const auto more = kept_of(log, on_dock(pairs("2026-05-01", 4, 0.1)));
    CHECK(more.made.id == kept.made.id);
    CHECK(more.versions == 2);
    CHECK(app::recompute(log).empty());
  }

  TEST_CASE("files of gaps in bulk") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    log.save(test::dock());
    const std::vector<std::string> paths{folder.path() + "/a.csv", folder.path() + "/b.csv",
                                         folder.path() + "/c.csv"};
    files::write_text(paths[0], pairs("2026-05-01", 3, 0.1));
    files::write_text(paths[1], "# station: dock\n# date: 2026-05-02\n" + rings(4));
    files::write_text(paths[2],
                      "# station: dock\n# date: 2026-05-03\npanel,position,gap\n1,20,0.1\n1,540,0\n");
    const auto import = [&] {
      return app::import_files(log, paths, log.station_id("dock"), kNow, [](std::size_t) {});
    };
    const auto first = import();
    CHECK(first.checks == 1);
    REQUIRE(first.faults.size() == 2);
    CHECK(holds(first.faults[0], "a square setup is told by strips or by turned pieces"));
    CHECK(holds(first.faults[1], "form is missing"));
    CHECK(import().known == 1);
  }

  TEST_CASE("a log and an exchange file from before there were gap tests") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/log.db";
    std::string text;
    {
      Logbook log(path);
      kept_of(log, on_dock(strips("2026-05-01")));
      text = files::write_log(log.document());
    }
    raw(path,
        "DROP INDEX check_versions_told; DROP TABLE draft_lines; DROP TABLE drafts; ALTER TABLE "
        "check_versions "
        "DROP COLUMN test; PRAGMA user_version = 2");
    {
      Logbook log(path);
      CHECK(app::recompute(log).empty());
      CHECK(files::write_log(log.document()) == text);
      CHECK(kept_of(log, on_dock(pairs("2026-05-02", 3, 0.1))).latest.result.test == "turn-over");
      CHECK(log.faults().empty());
    }
    CHECK(Logbook(path).check("dock/2").latest.result.test == "turn-over");
    sqlite3* copy = nullptr;
    CHECK(sqlite3_open_v2((path + ".version-2").c_str(), &copy, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK);
    sqlite3_close(copy);
    // Without the key, as it was written then.
    for (std::size_t at = text.find("\"test\""); at != std::string::npos; at = text.find("\"test\"")) {
      const std::size_t before = text.rfind(',', at), end = text.find_first_of(",}\n", at);
      text.erase(before, end - before);
    }
    Logbook other(folder.path() + "/other.db");
    other.merge(files::parse_log(files::text_of(text, "log.json")));
    CHECK_FALSE(other.check("dock/1").latest.result.test);
    CHECK(app::recompute(other).empty());
  }

  TEST_CASE("a move answered by another test is not held against what a strip should read") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    auto off = on_dock(
        "# station: dock\n# date: 2026-05-01\n# caliper: digital\n"
        "panel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73 22.75\n1,1,5,525,22.14 22.13 "
        "22.15\n");
    const auto outcome = app::run_check(off);
    const auto kept = kept_of(log, off);
    app::keep_move(log, kept, outcome, 0, files::parse_date("2026-05-02", "date"));
    const auto answered = [&](const std::string& text) {
      auto request = on_dock(text);
      request.station = log.find("dock");
      app::find_pending(request, log, kNow);
      return request;
    };
    const auto strip = answered(
        "# station: dock\n# date: 2026-05-03\n# caliper: digital\n"
        "panel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73\n1,1,5,525,22.14\n");
    REQUIRE(strip.pending);
    bool amiss = false;
    for (const auto& f : app::run_check(strip).fit.findings) amiss = amiss || f.code == "correction-amiss";
    CHECK(amiss);  // it reads as before
    for (const char* form : {"pair", "halves"}) {
      const auto pair = answered(pairs("2026-05-03", 1, 0.6, form));
      CHECK_FALSE(pair.pending);
      for (const auto& f : app::run_check(pair).fit.findings) CHECK(f.code != "correction-amiss");
    }
  }

  TEST_CASE(
      "a move after pairs is held against the next pair; after halves a board's own taper is in the way") {
    for (const char* form : {"pair", "halves"}) {
      CAPTURE(form);
      const TemporaryFolder folder;
      Logbook log(folder.path() + "/log.db");
      const auto off = on_dock(pairs("2026-05-01", 2, 0.4, form));
      const auto outcome = app::run_check(off);
      const auto kept = kept_of(log, off);
      REQUIRE(outcome.advice);
      app::keep_move(log, kept, outcome, 0, files::parse_date("2026-05-02", "date"));
      auto next = on_dock(pairs("2026-05-03", 1, 0.41, form));
      next.station = log.find("dock");
      app::find_pending(next, log, kNow);
      bool amiss = false;
      for (const auto& f : app::run_check(next).fit.findings) amiss = amiss || f.code == "correction-amiss";
      CHECK(next.pending.has_value() == (std::string(form) == "pair"));
      CHECK(amiss == (std::string(form) == "pair"));
      CHECK(app::recompute(log).empty());
    }
  }

  TEST_CASE("a closed joint held against chance: drawn gaps are never less than closed") {
    auto request = on_dock(
        "# form: pair\npanel,position,gap\n1,20,0.2 0.25\n1,280,0.1\n1,540,0 0\n2,20,0.2\n2,"
        "280,0.1 0.1\n2,540,0\n");
    const auto outcome = app::run_check(request);
    check::SimulationOptions options;
    options.refits = 50;
    options.most_trials = 200'000;
    const auto simulation = app::simulate_check(request, outcome, options);
    CHECK(simulation.refits == 50);
    CHECK(simulation.covered > 30);
  }
}
