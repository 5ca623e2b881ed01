// SPDX-License-Identifier: MIT
/// The surveys of the examples, held against what tests/bench/make_survey.cpp put into an exact table; and
/// what makes a survey refuse.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "app/run_survey.hpp"
#include "files/station_file.hpp"
#include "report/survey_report.hpp"
#include "support/dock_table.hpp"
#include "support/keeping.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/talk.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using quarterturn::test::error_of;
using quarterturn::test::holds;
using quarterturn::test::near;
using station::Hole;

namespace {

constexpr double kShear = 3e-4, kPitchX = 1e-4, kBadX = 0.6, kBadY = -0.45, kMovedX = 0.35;

app::SurveyRequest request_of(const std::string& file) {
  const std::string root = QUARTERTURN_ROOT "/examples/";
  app::SurveyRequest request;
  request.station = files::parse_station(files::read_text(root + "stations/loft.json"));
  request.file = files::parse_observations(files::read_text(root + "surveys/" + file));
  return request;
}

files::ObservationRow row_of(survey::Observation o) {
  files::ObservationRow row;
  row.observation = std::move(o);
  row.at = row.value_at = row.u_at = row.dogs_at = {"s.csv", 7, 1};
  row.value_at.column = 30;
  return row;
}

bool holds_truth(const survey::Answer& answer, double truth) {
  const auto* e = std::get_if<check::Estimate>(&answer);
  return e != nullptr && std::fabs(e->x - truth) <= e->half_width;
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("the surveys of the examples: what was put in is found, what was not is not") {
    auto request = request_of("loft-autumn.csv");
    request.against = request_of("loft.csv").file;
    const auto result = app::run_survey(request, nullptr);
    CHECK(holds_truth(result.whole[0], kPitchX));
    CHECK(holds_truth(result.whole[1], 0));
    CHECK(holds_truth(result.whole[2], kShear));
    CHECK(std::get<check::Estimate>(result.whole[2]).x >
          std::get<check::Estimate>(result.whole[2]).half_width);
    REQUIRE(result.snooping.bad_hole().has_value());
    CHECK(*result.snooping.bad_hole() == Hole{8, 7});
    // the hole's own chance, 0.08 mm each way, comes on top of what was put in
    CHECK(near(result.snooping.holes.front().displacement.x, kBadX, 0, 0.25));
    CHECK(near(result.snooping.holes.front().displacement.y, kBadY, 0, 0.25));
    CHECK(!result.snooping.bad_observation().has_value());
    REQUIRE(result.against.has_value());
    REQUIRE(result.against->comparison.holes.size() == 1);
    CHECK(result.against->comparison.holes[0].hole == Hole{4, 4});
    CHECK(near(result.against->comparison.holes[0].by.x, kMovedX, 0, 0.08));
    CHECK(near(result.against->comparison.holes[0].by.y, 0, 0, 0.08));
    REQUIRE(result.setups.size() == 1);
    CHECK(result.setups[0].q == 1);  // right and beyond
    CHECK(std::holds_alternative<check::Estimate>(result.setups[0].eps));
    CHECK(result.snooping.exchanges.size() == 3);
  }

  TEST_CASE(
      "the dock by 60 chosen distances and three checks: what it tells holds the truth, the rest is said") {
    const std::string root = QUARTERTURN_ROOT "/examples/";
    app::SurveyRequest request;
    request.station = files::parse_station(files::read_text(root + "stations/dock.json"));
    request.file = files::parse_observations(files::read_text(root + "surveys/dock.csv"));
    CHECK(request.station.grid.columns == 9);
    CHECK(request.station.grid.rows == 11);
    std::mt19937_64 random(test::kDockSeed);
    const auto table = test::dock_table(request.station.grid, random);
    const auto result = app::run_survey(request, nullptr);
    const auto& all = result.adjustment->observations();
    CHECK(all.size() == 63);
    CHECK(std::count_if(all.begin(), all.end(), [](const auto& o) {
            return o.kind == survey::Kind::distance && o.value <= 150;
          }) == 60);
    // what it knows: the setup with its dogs, which of them is thicker, whether the table is out of square
    REQUIRE(result.setups.size() == 1);
    const auto& setup = request.station.setup("crosscut");
    CHECK(
        holds_truth(result.setups[0].eps, test::exact_eps(test::dock_setup(request.station, setup, table))));
    CHECK(std::get<check::Estimate>(result.setups[0].eps).half_width < 1e-4);
    for (const auto& dog : result.dogs)
      CHECK(holds_truth(dog.oversize, test::dock_oversize(dog.second) - test::dock_oversize(dog.first)));
    CHECK(holds_truth(result.whole[2], test::kDockShear));
    // neighbours and one setup see little of it, and that is what it says
    CHECK(std::get<check::Estimate>(result.whole[2]).half_width > test::kDockShear);
    // what no observation closes: both pitches against the size of the two dogs that were carried
    for (const std::size_t pitch : {0U, 1U}) {
      const auto* why = std::get_if<survey::Undetermined>(&result.whole[pitch]);
      REQUIRE(why != nullptr);
      CHECK(std::find(why->because.begin(), why->because.end(), "low-1") != why->because.end());
    }
    CHECK(std::holds_alternative<survey::Undetermined>(result.adjustment->oversize_sum("low-1", "low-2")));
    CHECK(near(result.adjustment->components().hole_sd_mm(), test::kDockHoleSd, 0, 0.03));
    // each hole by its ellipse; of 97 at 95 % hardly ever fewer than 88
    int inside = 0;
    for (const auto& hole : result.holes) {
      auto off = hole;
      off.deviation.x -= table.by_chance.at(hole.hole).x;
      off.deviation.y -= table.by_chance.at(hole.hole).y;
      inside += report::is_displaced(result, off) ? 0 : 1;
    }
    CHECK(result.holes.size() >= 96);
    CHECK(inside >= 88);
    CHECK(!result.snooping.bad_observation().has_value());
  }

  TEST_CASE("a survey's pairs keep the fence on its side of the rail, with room for a panel") {
    const auto result = app::run_survey(request_of("loft.csv"), nullptr);
    CHECK(result.pairs_with_dogs);
    REQUIRE(result.pairs.best.size() == 5);
    // the setup has C1 C11 and F2 J2, panel beyond: 8 columns right of the rail, 9 rows beyond the fence
    for (const auto& pair : result.pairs.best) {
      CHECK(pair.left.column > pair.near.column);
      CHECK(11 - pair.near.column >= 7);
      CHECK(11 - pair.left.row >= 8);
      if (pair.far.row > pair.left.row) CHECK(pair.far.row - pair.left.row >= 8);
    }
    auto request = request_of("loft.csv");
    request.columns = {2};
    request.rows = {1, 3};
    for (const auto& pair : app::run_survey(request, nullptr).pairs.best) {
      CHECK(pair.near.column == 2);
      CHECK((pair.left.row == 1 || pair.left.row == 3));
    }
  }

  TEST_CASE("what a survey would measure next is not known before, and known after") {
    auto request = request_of("loft.csv");
    std::erase_if(request.file.rows, [](const auto& row) {
      const auto& o = row.observation;
      return o.kind != survey::Kind::distance || (o.from.column != o.to.column && o.from.row != o.to.row);
    });
    CHECK(request.file.rows.size() == 60);
    const auto result = app::run_survey(request, nullptr);
    CHECK(std::holds_alternative<survey::Undetermined>(result.whole[2]));
    CHECK(!result.slanted);
    CHECK(result.pairs.best.empty());
    CHECK(!result.next_before.has_value());
    REQUIRE(!result.next.empty());
    REQUIRE(result.next[0].u_after.has_value());
    request.file.rows.push_back(row_of(result.next[0].candidate.observation));
    const auto after = app::run_survey(request, nullptr);
    REQUIRE(after.next_before.has_value());
    // the value put in is the nominal one, so that the fitted scatter changes a little
    CHECK(near(*after.next_before, *result.next[0].u_after, 0.1, 0));
  }

  TEST_CASE("a blank uncertainty is the caliper's with the play of the dogs, twice a reading to compare") {
    auto request = request_of("loft.csv");
    request.file.rows = {
        row_of(survey::distance({1, 1}, {2, 1}, survey::Taken::outside, 116, 0, "steel-1", "steel-2")),
        row_of(survey::compare({1, 1}, {2, 2}, {2, 1}, {1, 2}, 0, 0))};
    const auto observed = app::observed_of(request.station, request.file, nullptr);
    const double reading = 0.012 * 0.012 + 0.01 * 0.01 / 12;
    CHECK(near(observed.observations[0].u, std::sqrt(reading + 2 * 0.0125 * 0.0125), 1e-12, 0));
    CHECK(near(observed.observations[1].u, std::sqrt(2 * reading), 1e-12, 0));
    request.file.caliper.reset();  // the loft has two calipers
    CHECK(holds(error_of([&] { (void)app::observed_of(request.station, request.file, nullptr); }),
                "s.csv:7:1). Hint: name the caliper"));
    request.station.calipers.resize(1);
    CHECK(near(app::observed_of(request.station, request.file, nullptr).observations[0].u,
               observed.observations[0].u, 1e-12, 0));
  }

  TEST_CASE("what cannot be on that table is refused at its cell") {
    auto request = request_of("loft.csv");
    const auto refused = [&](survey::Observation o) {
      request.file.rows = {row_of(std::move(o))};
      return error_of([&] { (void)app::run_survey(request, nullptr); });
    };
    const auto outside = survey::Taken::outside;
    CHECK(holds(refused(survey::distance({1, 1}, {2, 1}, outside, 216, 0.02, "steel-1", "steel-2")),
                "(s.csv:7:30). Hint: another hole"));
    CHECK(holds(refused(survey::distance({1, 1}, {12, 1}, outside, 116, 0.02, "steel-1", "steel-2")),
                "a hole of the grid that was drilled"));
    CHECK(holds(refused(survey::distance({1, 1}, {2, 1}, outside, 116, 0.02, "steel-1", "pin-2")),
                "a dog of the station (s.csv:7:1)"));
    request.file.rows = {row_of({})};
    request.file.rows[0].check = "loft/1";
    CHECK(holds(error_of([&] { (void)app::run_survey(request, nullptr); }),
                "check is 'loft/1', but must be in the log"));
  }

  TEST_CASE("a kept check gives its eps, holes and dogs; one after a shim, or withdrawn, is refused") {
    const test::TemporaryFolder folder;
    logbook::Logbook log(folder.file("log.db"));
    log.save(test::dock());
    auto made = test::station_request();
    made.check.date = "2026-05-01";
    made.check.caliper = check::Caliper{"digital", 0.01, 0.012, 0.25, 150};
    const auto kept = test::kept_of(log, made);
    files::ObservationFile file;
    file.rows = {row_of({})};
    file.rows[0].check = "dock/1";
    const auto station = log.find("dock");
    const auto observed = app::observed_of(station, file, &log);
    const auto& o = observed.observations.at(0);
    const auto& setup = station.setup("crosscut");
    CHECK(o.kind == survey::Kind::corner);
    CHECK(o.from == setup.rail.first.hole);
    CHECK(o.dog_via == std::vector<std::string>{setup.fence.first.dog, setup.fence.second.dog});
    const auto& result = kept.latest.result;
    CHECK(near(o.value * result.q, result.eta, 1e-12, 0));
    CHECK(o.u >= 0.99 * result.half_width / 1.96);
    CHECK(observed.origins[0].check == "dock/1");
    file.rows.push_back(file.rows[0]);
    file.rows[1].check = kept.made.id;
    CHECK(holds(error_of([&] { (void)app::observed_of(station, file, &log); }), "named once"));
    file.rows.resize(1);
    test::event(log, "shim on", "2026-01-02", 200);
    CHECK(holds(error_of([&] { (void)app::observed_of(station, file, &log); }), "'shim on' of 2026-01-02"));
    test::event(log, "shim off", "2026-01-03", 199);
    CHECK(app::observed_of(station, file, &log).observations.size() == 1);
    files::WithdrawalRecord withdrawal;
    withdrawal.about = kept.made.id;
    withdrawal.reason = "another panel";
    log.keep(withdrawal);
    CHECK(
        holds(error_of([&] { (void)app::observed_of(station, file, &log); }), "one that was not withdrawn"));
  }
}
