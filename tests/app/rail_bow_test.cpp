// SPDX-License-Identifier: MIT
/// The bow of the rail through the whole program below its texts, on panels sawn along a bowed rail.
#include "app/rail_bow.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "app/find_step.hpp"
#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "stats/distributions.hpp"
#include "support/bowed_bench.hpp"
#include "support/keeping.hpp"
#include "support/near.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using check::CrossVerdict;
using logbook::Logbook;
using test::BowedBench;
using test::kNow;
using test::near;
using test::TemporaryFolder;

namespace {

app::CheckRequest request_of(const BowedBench& bench, const std::string& text) {
  app::CheckRequest made;
  made.check = files::parse_readings(files::text_of(text, "r.csv"));
  made.station = bench.setup.station;
  return made;
}

/// The rail as a rail test would tell it, ready to explain a check.
correct::RailBow rail_of(const BowedBench& bench) {
  return *app::run_check(request_of(bench, bench.rail("2026-05-01"))).bow;
}

/// With a corner to correct besides.
BowedBench crooked_bench(double h_mm) {
  auto bench = test::bowed_bench(test::square_cases()[1], h_mm);
  bench.table.rail_far.shift.x = -0.5;
  return bench;
}

/// Checked with what the log knows, kept or not.
correct::Outcome checked(Logbook& log, const BowedBench& bench, const std::string& text, bool keep = true) {
  auto made = request_of(bench, text);
  if (!log.list().empty()) made.station = log.find("bench");
  app::inform(made, log, kNow);
  auto outcome = app::run_check(made);
  if (keep) app::keep_check(log, made, outcome, kNow, app::ids_of(made.earlier));
  return outcome;
}

void happens(Logbook& log, const std::string& kind, const std::string& date, const std::string& note = "") {
  files::EventRecord record;
  record.station = log.station_id("bench");
  record.kind = kind;
  record.date = date;
  record.note = note;
  record.utc = files::parse_date(date, "date").utc_second;
  log.keep(record);
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a rail test tells the bow of the edge, no corner and no verdict") {
    for (const double h_mm : {0.12, -0.08, 0.0}) {
      const auto bench = test::bowed_bench(test::square_cases()[1], h_mm);
      const auto outcome = app::run_check(request_of(bench, bench.rail("2026-05-01")));
      REQUIRE(outcome.bow);
      // A parabola over 1200 mm, tested over 1160 of it.
      CHECK(near(outcome.bow->rail.h_mm, h_mm * std::pow(1160.0 / 1200, 2), 1e-3, 1e-5));
      CHECK(near(outcome.bow->rail.over_mm, 1160, 1e-12, 0));
      CHECK(!outcome.verdict);
      CHECK(!outcome.advice);
      CHECK(!outcome.eps);
    }
  }

  TEST_CASE("strips less the bow are the corner beside a straight edge, every quadrant, both faces") {
    for (const auto& c : test::square_cases()) {
      for (const double h_mm : {0.2, -0.2}) {
        CAPTURE(c.name);
        CAPTURE(h_mm);
        const auto bench = test::bowed_bench(c, h_mm);
        auto made = request_of(bench, bench.strips("2026-05-02"));
        made.rail = rail_of(bench);
        const auto outcome = app::run_check(made);
        REQUIRE(outcome.bow->effects);
        const double b = bench.strips_rad() - bench.corner_rad();
        REQUIRE(std::fabs(b) > 2e-5);
        CHECK(near(outcome.fit.eta.x, bench.strips_rad(), 2e-3, 0));
        CHECK(near(outcome.bow->effects->b->rad, b, 0.02, 0));
        CHECK(near(outcome.fit.eta.x - outcome.bow->effects->b->rad, bench.corner_rad(), 0,
                   0.02 * std::fabs(b)));
      }
    }
  }

  TEST_CASE("a bow beyond half of the tolerance holds a move back; a smaller one answers the question") {
    const auto bench = crooked_bench(-0.3);
    auto made = request_of(bench, bench.strips("2026-05-02", 1));
    const auto without = app::run_check(made);
    REQUIRE(without.advice->decision.correct == correct::Correct::yes);
    CHECK(without.advice->ask_rail_straight);
    made.rail = rail_of(bench);
    const auto plain = app::run_check(made);
    const double b = std::fabs(plain.bow->effects->b->rad);
    const double limit = 0.5 * plain.tolerance->angle.rad();
    const auto with = [&](double share, double u_share, double confidence = 0.95) {
      auto scaled = made;
      auto& rail = scaled.rail->rail;
      rail.h_mm *= share * limit / b;
      rail.u_mm = std::fabs(u_share * rail.h_mm);
      rail.dof = 8;
      rail.confidence = confidence;
      rail.half_width_mm = stats::t_quantile(0.5 * (1 + confidence), 8) * rail.u_mm;
      return app::run_check(scaled);
    };
    {
      const auto outcome = with(1.01, 0.01);
      CHECK(outcome.rail_bowed);
      CHECK(outcome.advice->decision.correct == correct::Correct::unclear);
      CHECK(std::ranges::none_of(outcome.advice->moves, &correct::Move::advised));
      CHECK(!outcome.advice->ask_rail_straight);
    }
    {  // nearly half, and its ± goes beyond: neither yes nor no
      const auto outcome = with(0.99, 0.01);
      CHECK(!outcome.rail_bowed);
      CHECK(outcome.advice->decision.correct == correct::Correct::yes);
      CHECK(outcome.advice->ask_rail_straight);
    }
    {  // t of 8 degrees of freedom is 2.306: 0.9 (1 + 0.023) stays below 1
      const auto outcome = with(0.9, 0.01);
      CHECK(!outcome.rail_bowed);
      CHECK(!outcome.advice->ask_rail_straight);
      CHECK(std::ranges::any_of(outcome.advice->moves, &correct::Move::advised));
    }
    {  // large, but its ± holds a straight rail: no ground to leave the dogs, nor to trust the rail
      const auto outcome = with(1.5, 0.5);
      CHECK(!outcome.rail_bowed);
      CHECK(outcome.advice->decision.correct == correct::Correct::yes);
      CHECK(outcome.advice->ask_rail_straight);
    }
    {  // a kinked rail is no parabola: its b is no answer
      made.rail->rail.kinked = true;
      const auto outcome = with(1.5, 0.01);
      CHECK(!outcome.rail_bowed);
      CHECK(outcome.advice->ask_rail_straight);
      made.rail->rail.kinked = false;
    }
    {
      made.rail->rail.unknown = check::kReadingUnseen;
      const auto outcome = with(3, 0.01);
      CHECK(!outcome.rail_bowed);
      CHECK(outcome.advice->ask_rail_straight);
    }
  }

  TEST_CASE("a turn-over pair is not held back by the bow, nor asked about it once the rail was tried") {
    const auto bench = crooked_bench(-0.3);
    auto made = request_of(bench, bench.pair("2026-05-02", 0, 2));
    const auto without = app::run_check(made);
    REQUIRE(without.advice->decision.correct == correct::Correct::yes);
    REQUIRE(without.advice->ask_rail_straight);
    made.rail = rail_of(bench);
    const auto outcome = app::run_check(made);
    CHECK(!outcome.rail_bowed);
    CHECK(outcome.advice->decision.correct == correct::Correct::yes);
    CHECK(!outcome.advice->ask_rail_straight);
  }

  TEST_CASE("strips and turn-over are held against each other, whichever was kept first") {
    struct Want {
      double h_mm, displaced_rad;
      bool rail;
      CrossVerdict verdict;
    };
    for (const auto& want :
         {Want{2.0, 0, true, CrossVerdict::bow_explains}, Want{0, 0, true, CrossVerdict::agree},
          Want{0, 1.5e-3, true, CrossVerdict::differ_unexplained},
          Want{0, 1.5e-3, false, CrossVerdict::differ_unexplained}}) {
      for (const bool strips_first : {true, false}) {
        CAPTURE(want.h_mm);
        CAPTURE(strips_first);
        const TemporaryFolder folder;
        Logbook log(folder.path() + "/log.db");
        const auto bench = test::bowed_bench(test::square_cases()[2], want.h_mm);
        if (want.rail) checked(log, bench, bench.rail("2026-05-01"));
        const auto strips = bench.strips(strips_first ? "2026-05-02" : "2026-05-03");
        const auto pair = bench.pair(strips_first ? "2026-05-03" : "2026-05-02", want.displaced_rad, 2);
        const auto first = checked(log, bench, strips_first ? strips : pair);
        CHECK(!first.held);
        const auto second = checked(log, bench, strips_first ? pair : strips);
        REQUIRE(second.held);
        CHECK(second.held->cross.verdict == want.verdict);
        CHECK(second.held->other.name == (want.rail ? "bench/2" : "bench/1"));
        CHECK(second.held->other.test == (strips_first ? "five-cut" : "turn-over"));
        // What the bow parts did not move.
        CHECK(second.advice->decision.find_first == (want.verdict == CrossVerdict::differ_unexplained));
        const auto& straight = second.held->cross.comparisons.front();
        CHECK(near(straight.found, bench.strips_rad() - bench.pairs_corner_rad() - want.displaced_rad / 2,
                   0.01, 1e-6));
      }
    }
  }

  TEST_CASE("nothing is held against a test from before an event, on other dogs or without a station") {
    const auto bench = test::bowed_bench(test::square_cases()[3], 0);
    const auto held = [&](const std::function<void(Logbook&)>& between) {
      const TemporaryFolder folder;
      Logbook log(folder.path() + "/log.db");
      checked(log, bench, bench.strips("2026-05-02"));
      between(log);
      return checked(log, bench, bench.pair("2026-05-04"), false).held.has_value();
    };
    CHECK(held([](Logbook&) {}));
    CHECK(!held([](Logbook& log) { happens(log, "knocked", "2026-05-03"); }));
    CHECK(held([](Logbook& log) { happens(log, "knocked", "2026-05-01"); }));
    CHECK(held([](Logbook& log) { happens(log, "new blade", "2026-05-03"); }));
    CHECK(!held([](Logbook& log) {
      auto anew = log.find("bench");
      anew.setups.at("crosscut").rail.second.hole.row += 1;
      log.save(anew);
    }));
    CHECK(held([](Logbook& log) {  // the tolerance may change freely
      auto anew = log.find("bench");
      anew.setups.at("crosscut").tolerance = units::parse_tolerance("0.2 over 600");
      log.save(anew);
    }));
    auto bare = request_of(bench, bench.pair("2026-05-04"));
    bare.station.reset();
    CHECK(!app::run_check(bare).held);
  }

  TEST_CASE("the newest rail test of the rail as it is now counts") {
    const auto bench = test::bowed_bench(test::square_cases()[3], 0.3);
    const auto straight = test::bowed_bench(test::square_cases()[3], 0);
    const auto name = [&](const std::function<void(Logbook&)>& between,
                          const std::string& day = "2026-05-09") {
      const TemporaryFolder folder;
      Logbook log(folder.path() + "/log.db");
      checked(log, bench, bench.rail("2026-05-01"));
      checked(log, straight, straight.rail("2026-05-03"));
      between(log);
      const auto outcome = checked(log, bench, bench.strips(day), false);
      return outcome.bow ? outcome.bow->name : std::string("none");
    };
    const auto nothing = [](Logbook&) {};
    const auto withdraw = [](Logbook& log, const char* check) {
      files::WithdrawalRecord record;
      record.about = log.check(check).made.id;
      record.reason = "another rail";
      log.keep(record);
    };
    CHECK(name(nothing) == "bench/2");
    CHECK(name(nothing, "2026-05-02") == "bench/1");  // of a check its own day counts
    CHECK(name(nothing, "2026-04-30") == "none");
    CHECK(name([&](Logbook& log) { withdraw(log, "bench/2"); }) == "bench/1");
    CHECK(name([](Logbook& log) { happens(log, "other rail", "2026-05-05"); }) == "none");
    CHECK(name([](Logbook& log) { happens(log, "other rail", "2026-05-02"); }) == "bench/2");
    CHECK(name([](Logbook& log) { happens(log, "knocked", "2026-05-05"); }) == "none");
    CHECK(name([](Logbook& log) { happens(log, "dogs reinserted", "2026-05-05"); }) == "bench/2");
    CHECK(name([](Logbook& log) {
            happens(log, "cause noted", "2026-05-05", "bowed-rail: a bent or another rail; rail-turned yes");
          }) == "none");
    CHECK(name([](Logbook& log) {
            happens(log, "cause noted", "2026-05-05", "loose-dog: a dog is loose; rail-turned no");
          }) == "bench/2");
    CHECK(name([](Logbook& log) {
            auto anew = log.find("bench");
            anew.rails["short"] = {"short", units::Length::from_mm(1300), units::Length::from_mm(1), false};
            anew.setups.at("crosscut").rail_name = "short";
            log.save(anew);
          }) == "none");
    CHECK(name([](Logbook& log) {  // amended: what counts is its latest version
            app::amend_check(log, log.check("bench/1"), "date", "2026-05-04", "typed wrong", kNow);
          }) == "bench/1");
  }

  TEST_CASE("a move to another rail ends a rail test") {
    const auto bench = test::bowed_bench(test::square_cases()[3], 0.3);
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    checked(log, bench, bench.rail("2026-05-01"));
    files::EventRecord event;
    event.station = log.station_id("bench");
    event.setup = "crosscut";
    event.kind = "corrected";
    event.date = "2026-05-03";
    event.utc = files::parse_date(event.date, "date").utc_second;
    files::MoveRecord move;
    move.check = log.check("bench/1").made.id;
    move.means = "shim";
    log.keep(event, move);
    CHECK(checked(log, bench, bench.strips("2026-05-04"), false).bow);
    move.means = "other-rail";
    log.keep(event, move);
    CHECK(!checked(log, bench, bench.strips("2026-05-04"), false).bow);
  }

  TEST_CASE("the search for a cause counts a joint's corners, not a strip's") {
    const auto bench = test::bowed_bench(test::square_cases()[3], 0);
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    checked(log, bench, bench.strips("2026-05-02"));
    checked(log, bench, bench.pair("2026-05-04", 0, 2));
    app::FindRequest ask;
    ask.station = log.find("bench");
    const auto found = app::find_step(log, ask);
    REQUIRE(found.scene.checks.size() == 2);
    // One of three readings at an end, off by 1 mm: a third of a taper of 1/500 or 1/560, of four corners or
    // two.
    CHECK(near(found.scene.checks[0].per_reading, 1 / (3 * 4 * 500.0), 1e-12, 0));
    CHECK(near(found.scene.checks[1].per_reading, 1 / (3 * 2 * 560.0), 1e-12, 0));
  }

  TEST_CASE("a kept rail test moves nothing that is told of corners") {
    const auto bench = test::bowed_bench(test::square_cases()[3], 0.3);
    const TemporaryFolder folder;
    Logbook with(folder.path() + "/with.db"), without(folder.path() + "/without.db");
    for (Logbook* log : {&with, &without}) {
      checked(*log, bench, bench.strips("2026-05-02"));
      if (log == &with) checked(*log, bench, bench.rail("2026-05-02"));
      checked(*log, bench, bench.pair("2026-05-04", 1e-4));
      if (log == &with) checked(*log, bench, bench.rail("2026-05-04"));
    }
    const auto known = [&](Logbook& log) {
      auto made = request_of(bench, bench.pair("2026-05-09", 2e-4));
      made.station = log.find("bench");
      return app::inform(made, log, kNow);
    };
    const auto a = known(with), b = known(without);
    REQUIRE(!b.earlier.empty());
    CHECK(a.earlier.size() == b.earlier.size());
    REQUIRE(a.last);
    REQUIRE(b.last);
    CHECK(a.last->eps_rad == b.last->eps_rad);
    CHECK(a.believed.eps == b.believed.eps);
    CHECK(a.rail);
    CHECK(!b.rail);
    CHECK(app::recompute(with).empty());
  }
}
