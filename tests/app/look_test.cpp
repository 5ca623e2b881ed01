// SPDX-License-Identifier: MIT
// Readings are invented, in the scenery workshop of the examples.
#include "app/look.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "app/log_import.hpp"
#include "app/settle_check.hpp"
#include "files/log_document.hpp"
#include "files/readings_file.hpp"
#include "stats/distributions.hpp"
#include "support/keeping.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/simulate.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using test::error_of;
using test::near;

namespace {

/// So many strips of one panel, two places each. \param eta  [rad]
app::CheckRequest request(int strips, double eta, std::optional<int> planned, std::uint64_t seed = 4) {
  std::mt19937_64 random(seed);
  test::Design design;
  design.cuts = 4 + strips;
  design.sigma_r = 3e-5;
  design.eta = eta;
  app::CheckRequest made;
  made.check = design.check(random);
  made.check.test = check::TestKind::progressive;
  made.check.caliper = check::Caliper{"digital", 0.01, 0.012, 0.25, 150};
  made.check.date = "2026-05-01";
  made.station = test::dock();
  made.tolerance = units::parse_tolerance("0.10 over 600", units::Unit::mm);
  made.planned_strips = planned;
  return made;
}

/// Of eight strips with three readings a place: reading as the class's, seating the usual one.
check::StoppingPlan plan_by_hand(double span_mm) {
  check::StoppingPlan plan;
  plan.strips = 8;
  plan.readings = 3;
  plan.sigma_m_mm = 0.012;
  plan.span_mm = span_mm;
  plan.sigma_r_rad = 0.02 * std::sqrt(2.0) / span_mm;
  return plan;
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a look: before the first nothing is read, then the interval of the plan") {
    const auto early = app::run_check(request(2, 0, 8));
    REQUIRE(early.look);
    CHECK(early.look->too_early);
    CHECK(early.look->first == 3);
    CHECK(early.verdict->setup == check::Answer::cannot_tell);
    REQUIRE(early.advice);
    CHECK(early.advice->decision.correct != correct::Correct::yes);
    // By hand: the plan's reading is the class's (finer than its step), its seating the usual one.
    const check::StoppingPlan plan = plan_by_hand(early.fit.span_mm);
    const auto looks = check::planned_looks(plan);
    for (const int strips : {3, 5, 8}) {
      CAPTURE(strips);
      const auto told = app::run_check(request(strips, 0, 8));
      const auto plain = app::run_check(request(strips, 0, std::nullopt));
      REQUIRE(told.look);
      CHECK(!told.look->too_early);
      const auto& look = looks.at(static_cast<std::size_t>(strips - 3));
      CHECK(near(told.look->look.level, look.level, 1e-9, 0));
      CHECK(near(told.fit.eta.half_width,
                 -stats::t_quantile(look.level / 2, plain.fit.eta.dof) * plain.fit.eta.u, 1e-9, 0));
      CHECK(told.fit.eta.half_width > plain.fit.eta.half_width);
      CHECK((told.verdict->setup == check::Answer::within) ==
            (std::fabs(told.fit.eta.x) + told.fit.eta.half_width <= told.tolerance->angle.rad()));
    }
  }

  TEST_CASE("a look: a plan of one look is the plain interval") {
    const auto told = app::run_check(request(3, 0, 3));
    const auto plain = app::run_check(request(3, 0, std::nullopt));
    CHECK(near(told.look->look.level, 0.05, 1e-9, 0));
    CHECK(near(told.fit.eta.half_width, plain.fit.eta.half_width, 1e-6, 0));
  }

  TEST_CASE("a look: what is settled may stop, far out or well within") {
    CHECK(app::run_check(request(8, 1e-3, 8)).look->answer == check::Answer::outside);
    CHECK(app::run_check(request(8, 0, 8)).look->answer == check::Answer::within);
    CHECK(app::run_check(request(4, 1.6e-4, 8)).look->answer == check::Answer::cannot_tell);
  }

  TEST_CASE("a look: refused when there are more strips than planned, or too few planned") {
    const auto told = [](int strips, int planned) {
      return error_of([&] { app::run_check(request(strips, 0, planned)); });
    };
    CHECK(told(5, 4).find("at least the 5 strips that were measured") != std::string::npos);
    CHECK(told(2, 2).find("at least 3") != std::string::npos);
    auto mixed = request(4, 0, 8);
    mixed.check.strips[3].panel = 2;
    CHECK(error_of([&] { app::run_check(mixed); }).find("--most-strips") != std::string::npos);
  }

  TEST_CASE("a look: the plan is kept to when the test goes on") {
    const test::TemporaryFolder folder;
    logbook::Logbook log(folder.file("log.db"));
    test::kept_of(log, request(4, 0, 6));
    // The same panel goes on: the strips so far are the same.
    const auto on = [&](int strips, std::optional<int> planned) {
      auto more = request(8, 0, planned);
      auto kept = files::parse_readings(files::text_of(log.checks().at(0).latest.readings, "log"));
      std::copy(kept.strips.begin(), kept.strips.end(), more.check.strips.begin());
      more.check.strips.resize(static_cast<std::size_t>(strips));
      return more;
    };
    CHECK(error_of([&] { test::kept_of(log, on(6, 20)); }).find("6, as the check was planned") !=
          std::string::npos);
    auto shown = on(5, std::nullopt);
    shown.station = log.find("dock");
    app::inform(shown, log, test::kNow);
    CHECK(shown.planned_strips == 6);
    CHECK(app::run_check(shown).look);
    CHECK(test::kept_of(log, on(5, std::nullopt)).latest.result.planned_strips == 6);
    CHECK(error_of([&] { test::kept_of(log, on(7, std::nullopt)); }).find("at least the 7 strips") !=
          std::string::npos);
    // Begun without a plan it gets none later.
    logbook::Logbook bare(folder.file("bare.db"));
    test::kept_of(bare, request(4, 0, std::nullopt));
    auto late = request(4, 0, 8);
    late.check = files::parse_readings(files::text_of(bare.checks().at(0).latest.readings, "log"));
    late.station = bare.find("dock");
    CHECK(error_of([&] { app::inform(late, bare, test::kNow); }).find("begun without a plan") !=
          std::string::npos);
  }

  TEST_CASE("a look is kept with its plan, computes again the same and goes elsewhere with it") {
    const test::TemporaryFolder folder;
    logbook::Logbook log(folder.file("log.db")), other(folder.file("other.db"));
    const auto kept = test::kept_of(log, request(5, 0, 8));
    CHECK(kept.latest.result.planned_strips == 8);
    CHECK(app::recompute(log).empty());
    const auto document = files::write_log(log.document());
    other.merge(files::parse_log(files::text_of(document, "log.json")));
    CHECK(other.checks().at(0).latest.result.planned_strips == 8);
    CHECK(files::write_log(other.document()) == document);
    CHECK(app::recompute(other).empty());
  }

  TEST_CASE("a look: what two more cuts bring is the interval of the look that comes then") {
    const auto asked = request(4, 1.6e-4, 8);
    const auto now = app::run_check(asked);
    REQUIRE(now.look->answer == check::Answer::cannot_tell);
    const auto brought = app::what_two_more_bring(asked, now);
    REQUIRE(brought);
    // By hand: the level of the look after six strips, as above; a plain interval of the same cuts is
    // narrower.
    const check::StoppingPlan plan = plan_by_hand(now.fit.span_mm);
    const double level = check::planned_looks(plan).at(3).level;
    CHECK(near(app::confidence_at_look(asked, now, 6).value(), 1 - level, 1e-9, 0));
    CHECK_FALSE(app::confidence_at_look(asked, now, 9));
    const auto plain_asked = request(4, 1.6e-4, std::nullopt);
    const auto plain = app::what_two_more_bring(plain_asked, app::run_check(plain_asked));
    REQUIRE(plain);
    CHECK(brought->half_width > plain->half_width);
    CHECK(brought->half_width < now.fit.eta.half_width);
    // Nothing is told before the first look, nor past the last.
    const auto early = request(2, 0, 8), last = request(7, 1.6e-4, 8);
    CHECK_FALSE(app::what_two_more_bring(early, app::run_check(early)));
    CHECK_FALSE(app::what_two_more_bring(last, app::run_check(last)));
  }
}
