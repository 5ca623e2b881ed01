// SPDX-License-Identifier: MIT
// Readings are invented, in the scenery workshop of the examples.
#include "app/keep_check.hpp"

#include <doctest/doctest.h>

#include "app/known_checks.hpp"
#include "app/log_import.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "support/keeping.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using logbook::Logbook;
using quarterturn::test::error_of;
using quarterturn::test::event;
using quarterturn::test::kept_of;
using quarterturn::test::kNow;
using quarterturn::test::near;
using quarterturn::test::TemporaryFolder;

namespace {

/// A progressive test of four strips: it tells how the panel seats.
/// \param middle  a third place, half way: two a strip tell no seating to a later check
std::string readings(const std::string& date, const std::string& wide, const std::string& head = "",
                     bool middle = false) {
  std::string text = "# station: dock\n# date: " + date + "\n# test: progressive\n# caliper: digital\n" +
                     head + "panel,from_cut,to_cut,position,width\n";
  const char* ends[4][2] = {{"22.14 22.13 22.15", "22.16 22.15 22.17"},
                            {"23.05 23.05 23.06", "23.04 23.05 23.04"},
                            {"21.60 21.61 21.60", "21.64 21.63 21.64"},
                            {"22.90 22.91 22.90", "22.91 22.90 22.91"}};
  for (int strip = 0; strip < 4; ++strip) {
    const std::string cuts = "1," + std::to_string(strip + 1) + "," + std::to_string(strip + 5) + ",";
    text += cuts + "0," + ends[strip][0] + "\n" + cuts + "525," +
            (strip == 0 && !wide.empty() ? wide : ends[strip][1]) + "\n";
    const char* half_way[4] = {"22.15 22.15 22.14", "23.05 23.04 23.05", "21.62 21.62 21.63",
                               "22.90 22.90 22.91"};
    if (middle) text += cuts + "262," + half_way[strip] + "\n";
  }
  return text;
}

app::CheckRequest request(const std::string& text) {
  app::CheckRequest made;
  made.check = files::parse_readings(files::text_of(text, "r.csv"));
  made.station = test::dock();
  return made;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a check is kept whole, and computed again it is the same") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    const auto first =
        kept_of(log, request(readings("2026-05-01", "", "# note: after building\n# by: Lea\n")));
    CHECK(app::name_of(log, first) == "dock/1");
    CHECK(first.latest.person == "Lea");
    CHECK(holds(first.latest.readings, "# note: after building"));
    CHECK(holds(first.latest.readings, "22.14"));
    CHECK(first.latest.result.verdict == "within");
    CHECK(first.latest.result.used.empty());
    const auto second = kept_of(log, request(readings("2026-06-01", "22.15 22.16 22.15")));
    CHECK(second.latest.result.used == std::vector<std::string>{first.made.id});
    CHECK(app::recompute(log).empty());
    // A result that was tampered with is found.
    auto wrong = second.latest;
    wrong.id.clear();
    wrong.recorded.clear();
    wrong.reason = "tampered";
    wrong.result.eta *= 1.001;
    log.keep(wrong);
    const auto found = app::recompute(log);
    REQUIRE(found.size() == 1);
    CHECK(found[0].check == "dock/2");
    CHECK(found[0].what == "the angle comes out otherwise");
  }

  TEST_CASE("what is refused leaves nothing behind") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    CHECK(holds(error_of([&] { kept_of(log, request(readings("2026-09-01", ""))); }),
                "not in the future; today is 2026-06-13"));
    CHECK(log.list().empty());
    kept_of(log, request(readings("2026-05-01", "")));
    CHECK(holds(error_of([&] { kept_of(log, request(readings("2026-05-01", ""))); }), "are kept as dock/1"));
    auto nowhere = test::ends_request();
    nowhere.check.caliper = check::Caliper{"x", 0.01, 0.012, 0.25, 150};
    CHECK(holds(error_of([&] { app::keep_check(log, nowhere, app::run_check(nowhere), kNow); }),
                "kept with its station"));
    CHECK(log.checks().size() == 1);
    // Without a date it is of today.
    auto today = request(readings("2026-05-01", "22.15 22.16 22.15"));
    today.check.date.clear();
    CHECK(kept_of(log, today).latest.date == "2026-06-13");
  }

  TEST_CASE("what the log knows: since the last change, of the same dogs, without what was withdrawn") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    const auto first = kept_of(log, request(readings("2026-03-01", "")));
    const auto second = kept_of(log, request(readings("2026-04-01", "22.15 22.16 22.15")));
    const auto known = [&](const std::string& date) {
      auto made = request(readings(date, "22.17 22.16 22.15"));
      made.station = log.find("dock");
      return app::inform(made, log, kNow);
    };
    CHECK(known("2026-05-01").earlier.size() == 2);
    CHECK(known("2026-03-15").earlier.size() == 1);  // only what came before
    CHECK(known("2026-02-15").earlier.empty());
    REQUIRE(known("2026-05-01").last);
    CHECK_FALSE(known("2026-05-01").last->explained);
    CHECK(
        near(known("2026-05-01").last->eps_rad, second.latest.result.q * second.latest.result.eta, 1e-12, 0));
    // A kept check does not inform itself.
    auto again = request(readings("2026-04-01", "22.15 22.16 22.15"));
    again.station = log.find("dock");
    CHECK(app::inform(again, log, kNow).earlier.size() == 1);
    SUBCASE("cleaning changes nothing of the dogs, and explains no change") {
      event(log, "cleaned", "2026-06-03");
      CHECK(known("2026-06-10").earlier.size() == 2);
      CHECK_FALSE(known("2026-06-10").last->explained);
    }
    SUBCASE("a knock ends what was known; what it did is to be found first") {
      event(log, "knocked", "2026-06-03");
      CHECK(known("2026-06-10").earlier.empty());
      CHECK_FALSE(known("2026-06-10").last->explained);
      // The cause noted, it is.
      event(log, "cause noted", "2026-06-04");
      CHECK(known("2026-06-10").last->explained);
      CHECK(known("2026-05-01").earlier.size() == 2);
    }
    SUBCASE("what was done on purpose needs no cause") {
      for (const char* kind : {"corrected", "shim on", "re-bored", "other rail"}) {
        CAPTURE(kind);
        event(log, kind, "2026-06-03");
        CHECK(known("2026-06-10").last->explained);
        log.keep(files::WithdrawalRecord{{}, log.events().back().event.id, {}, "again", ""});
      }
    }
    SUBCASE("it is held against the last check that was within") {
      auto out = request(readings("2026-05-20", "22.64 22.63 22.65"));
      out.station = log.find("dock");
      CHECK(kept_of(log, out).latest.result.verdict != "within");
      CHECK(near(known("2026-06-10").last->eps_rad, second.latest.result.q * second.latest.result.eta, 1e-12,
                 0));
    }
    SUBCASE("a withdrawn event or check is as if it had not been") {
      event(log, "knocked", "2026-06-03");
      log.keep(files::WithdrawalRecord{{}, log.events().front().event.id, {}, "another station", ""});
      CHECK(known("2026-06-10").earlier.size() == 2);
      log.keep(files::WithdrawalRecord{{}, second.made.id, {}, "another panel", ""});
      CHECK(known("2026-06-10").earlier.size() == 1);
      CHECK(
          near(known("2026-06-10").last->eps_rad, first.latest.result.q * first.latest.result.eta, 1e-12, 0));
    }
    SUBCASE("another hole is another table") {
      auto moved = log.find("dock");
      moved.setups.at("crosscut").fence.second.hole = station::parse_hole("C9");
      log.save(moved);
      CHECK(known("2026-06-10").earlier.empty());
      REQUIRE(known("2026-06-10").last);
      CHECK(known("2026-06-10").last->explained);
    }
    SUBCASE("another tolerance is the same table") {
      auto stricter = log.find("dock");
      stricter.setups.at("crosscut").tolerance = units::parse_tolerance("0.05 over 600");
      log.save(stricter);
      CHECK(known("2026-06-10").earlier.size() == 2);
    }
  }

  TEST_CASE("earlier checks narrow the interval of a single strip, and the result says so") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    kept_of(log, request(readings("2026-03-01", "", "", true)));
    kept_of(log, request(readings("2026-04-01", "22.15 22.16 22.15", "", true)));
    auto today = test::station_request();
    today.station = log.find("dock");
    const auto alone = app::run_check(today);
    CHECK_FALSE(alone.fit.log);
    app::inform(today, log, kNow);
    const auto informed = app::run_check(today);
    REQUIRE(informed.fit.log);
    CHECK(informed.fit.log->checks == 2);
    CHECK(informed.fit.log->used());
    CHECK(near(*informed.fit.log->half_width_without, alone.fit.eta.half_width, 1e-9, 0));
    CHECK(informed.fit.eta.half_width < 0.7 * alone.fit.eta.half_width);
    CHECK_FALSE(informed.verdict->provisional);
    CHECK(informed.advice->decision.find_first);  // it moved by 0.17 mm over 600, and nothing says why
  }

  TEST_CASE("a check that mirrors the last one, with nothing in between, asks for the strip's ends first") {
    auto request = test::station_request();
    const auto plain = app::run_check(request);
    const double eps = plain.eps->x;
    request.last = correct::LastCheck{-eps, 3e-5, false};
    const auto mirrored = app::run_check(request);
    REQUIRE_FALSE(mirrored.fit.findings.empty());
    const auto& finding = mirrored.fit.findings.back();
    CHECK(finding.code == "ends-swapped");
    CHECK(near(finding.numbers.at("taper_mm"), 0.60, 1e-9, 1e-9));
    CHECK(near(finding.numbers.at("expected_mm"), -0.60, 1e-9, 1e-9));
    CHECK(mirrored.settle_first);
    const auto none = [&](double last_eps, double u, bool explained) {
      request.last = correct::LastCheck{last_eps, u, explained};
      for (const auto& one : app::run_check(request).fit.findings) CHECK(one.code != "ends-swapped");
    };
    none(-eps, 3e-5, true);   // something explains it
    none(eps, 3e-5, false);   // it is as it was
    none(0, 3e-5, false);     // it was square
    none(-eps, 3e-4, false);  // nobody knew what to expect
  }

  TEST_CASE("the last move and the checks since are believed before the next decision") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    const auto first = kept_of(log, request(readings("2026-03-01", "")));
    kept_of(log, request(readings("2026-04-01", "22.15 22.16 22.15")));
    auto today = test::station_request();
    today.station = log.find("dock");
    app::inform(today, log, kNow);
    CHECK(today.believed.eps.size() == 2);
    CHECK(near(today.believed.eps[0], first.latest.result.q * first.latest.result.eta, 1e-12, 0));
    CHECK_FALSE(today.believed.after_move);
    files::EventRecord event;
    event.station = first.made.station;
    event.setup = "crosscut";
    event.date = "2026-05-01";
    event.utc = files::parse_date("2026-05-01", "date").utc_second;
    event.kind = "corrected";
    files::MoveRecord move;
    move.check = first.made.id;
    move.means = "shim";
    move.moved = -2e-4;
    move.u_action = 1e-5;
    move.mu = 2.1e-4;
    move.v = 4e-10;
    log.keep(event, move);
    app::inform(today, log, kNow);
    CHECK(today.believed.eps.empty());
    REQUIRE(today.believed.after_move);
    CHECK(near(today.believed.after_move->m0, 1e-5, 1e-9, 0));
    CHECK(near(today.believed.after_move->tau2, 5e-10, 1e-9, 0));
  }

  TEST_CASE(
      "where only the log tells how readings scatter, there is an interval that the check alone has not") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    kept_of(log, request(readings("2026-03-01", "")));
    auto bare = log.find("dock");
    bare.calipers.clear();
    log.save(bare);
    app::CheckRequest today;
    today.check = files::parse_readings(files::text_of(
        "# station: dock\npanel,from_cut,to_cut,position,width\n1,1,5,0,22.74\n1,1,5,525,22.70\n", "r.csv"));
    today.station = bare;
    CHECK_THROWS_AS(app::run_check(today), check::NoInterval);
    app::inform(today, log, kNow);
    const auto outcome = app::run_check(today);
    CHECK(outcome.fit.eta.half_width > 0);
    REQUIRE(outcome.fit.log);
    CHECK_FALSE(outcome.fit.log->half_width_without);
  }

  TEST_CASE("an amendment is a further version with its reason, computed anew") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    const auto kept = kept_of(log, request(readings("2026-05-01", "")));
    const auto amended = app::amend_check(log, kept, "by", "Lea", "forgot the name", kNow);
    CHECK(amended.latest.person == "Lea");
    CHECK(amended.versions == 2);
    CHECK(amended.latest.result.eta == kept.latest.result.eta);
    const auto later = app::amend_check(log, amended, "date", "2026-05-02", "it was the day after", kNow);
    CHECK(later.latest.date == "2026-05-02");
    CHECK(later.latest.person == "Lea");
    const std::string file = folder.path() + "/r.csv";
    files::write_text(file, readings("2026-05-02", "22.20 22.20 22.21"));
    const auto read = app::amend_check(log, later, "readings", file, "misread", kNow);
    CHECK(read.latest.result.eta != kept.latest.result.eta);
    CHECK(read.versions == 4);
    CHECK(app::recompute(log).empty());
    CHECK(holds(error_of([&] { app::amend_check(log, kept, "by", "x", " ", kNow); }), "reason is empty"));
    CHECK(holds(error_of([&] { app::amend_check(log, kept, "station", "loft", "r", kNow); }),
                "does not move the check"));
    CHECK(
        holds(error_of([&] { app::amend_check(log, kept, "colour", "red", "r", kNow); }), "key is 'colour'"));
    CHECK(holds(error_of([&] { app::amend_check(log, kept, "blade", "", "r", kNow); }),
                "one that the header has"));
    CHECK(log.check("dock/1").versions == 4);
  }

  TEST_CASE("files in bulk: the good go in, the bad are named, and twice is the same as once") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    log.save(test::dock());
    std::vector<std::string> paths;
    const auto write = [&](const std::string& name, const std::string& text) {
      paths.push_back(folder.path() + "/" + name);
      files::write_text(paths.back(), text);
    };
    for (int day = 10; day < 20; ++day)
      write(std::to_string(day) + ".csv",
            readings("2026-05-" + std::to_string(day), "22.1" + std::to_string(day % 10) + " 22.16"));
    write("bad.csv", "panel,from_cut,to_cut,position,width\n1,1,5,0,x\n");
    write("undated.csv",
          "# station: dock\n# caliper: "
          "digital\npanel,from_cut,to_cut,position,width\n1,1,5,0,22\n1,1,5,500,22\n");
    write("future.csv", readings("2027-05-01", ""));
    write("events.csv",
          "station,setup,date,event,note\ndock,,2026-05-12,cleaned,\nlofft,,2026-05-13,cleaned,\n");
    write("good_events.csv", "station,setup,date,event,note\ndock,,2026-05-12,cleaned,\n");
    write("old.csv",
          "station,setup,when,test,error,over,side,plus_minus,already_divided,by,source\n"
          ",,2024-05-02,five-cut,0.2,500,over-90,,no,,\n");
    paths.push_back(folder.path() + "/none.csv");
    std::size_t steps = 0;
    const auto import = [&] {
      return app::import_files(log, paths, log.station_id("dock"), kNow, [&](std::size_t) { ++steps; });
    };
    const auto first = import();
    CHECK(first.checks == 10);
    CHECK(first.events == 1);
    CHECK(first.summaries == 1);
    REQUIRE(first.faults.size() == 5);
    CHECK(steps == paths.size());
    CHECK(holds(first.faults[0], "bad.csv:2:9"));
    CHECK(holds(first.faults[1], "date is missing"));
    CHECK(holds(first.faults[2], "not in the future"));
    CHECK(holds(first.faults[3], "station is 'lofft', but must be dock ("));
    CHECK(holds(first.faults[3], "/events.csv). Hint: "));
    CHECK(holds(first.faults[4], "none.csv"));
    const auto second = import();
    CHECK(second.checks == 0);
    CHECK(second.known == 12);
    CHECK(log.checks().size() == 10);
    CHECK(log.events().size() == 1);  // of the file with a fault none went in
    CHECK(app::recompute(log).empty());
  }
}
