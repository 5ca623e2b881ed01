// SPDX-License-Identifier: MIT
/// A ring whose ends two setups cut, drawn in exact geometry: it tells the mean of both mitres.
#include <doctest/doctest.h>

#include <numbers>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "app/run_check.hpp"
#include "files/readings_file.hpp"
#include "report/check_report.hpp"
#include "support/keeping.hpp"
#include "support/near.hpp"
#include "support/oracle_gap.hpp"
#include "support/tables.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using test::near;

namespace {

constexpr double kEighth = std::numbers::pi / 4;

station::Station two_mitres() {
  auto table = test::bare_table();
  auto one = test::mitre_setup(station::Side::left, station::PanelSide::before, station::Side::right);
  auto other =
      test::counter_mitre_setup(station::Side::right, station::PanelSide::before, station::Side::left);
  one.name = "mitre-left";
  other.name = "mitre-right";
  for (auto* setup : {&one, &other})
    setup->tolerance = units::parse_tolerance("0.10 over 600", units::Unit::mm);
  table.setups[one.name] = one;
  table.setups[other.name] = other;
  return table;
}

/// Four pieces with one end cut on each setup, and the gap of their last joint.
app::CheckRequest ring(double first_rad, double second_rad) {
  std::vector<test::FramePiece> pieces;
  for (int i = 0; i < 4; ++i)
    pieces.push_back(test::drawn_piece(400, 80, kEighth + first_rad, kEighth + second_rad));
  const auto gap = test::frame_gap(pieces);
  app::CheckRequest request;
  request.station = two_mitres();
  auto& check = request.check;
  check.test = check::TestKind::frame;
  check.form = check::Form::separate;
  check.pieces = 4;
  check.setup = "mitre-left";
  check.second_setup = "mitre-right";
  check::Strip joint{1, 0, 0, {}};
  for (const double at : {5.0, 50.0, 95.0})
    joint.spots.push_back({at, {check::Reading{gap.at(at), 0.01, "0.1", 0, 0, ""}}});
  check.strips.push_back(joint);
  return request;
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a ring of two setups tells the mean of the two acute mitres, and no dog of either") {
    for (const double first : {4e-4, -3e-4}) {
      for (const double second : {0.0, 5e-4}) {
        const auto outcome = app::run_check(ring(first, second));
        CHECK(near(outcome.fit.eta.x, (first + second) / 2, 1e-4, 1e-9));
        CHECK_FALSE(outcome.eps);
        CHECK_FALSE(outcome.advice);
        CHECK(outcome.verdict);
        CHECK(report::check_text(outcome, {}).find("the mean of both") != std::string::npos);
      }
    }
  }

  TEST_CASE("both setups must close with the pieces, and a second one belongs to a frame") {
    auto request = ring(1e-4, 0);
    request.check.second_setup = "mitre-up";
    CHECK(test::error_of([&] { (void)app::run_check(request); }).find("mitre-up") != std::string::npos);
    request = ring(1e-4, 0);
    request.check.pieces = 6;
    CHECK(test::error_of([&] { (void)app::run_check(request); }).find("as many as close") !=
          std::string::npos);
    request = ring(1e-4, 0);
    request.check.form = check::Form::shared;
    CHECK(test::error_of([&] { (void)app::run_check(request); }).find("where two setups cut the ends") !=
          std::string::npos);
  }

  TEST_CASE("it is kept, and the record of either setup does not count it") {
    const test::TemporaryFolder folder;
    logbook::Logbook log(folder.path() + "/log.db");
    auto request = ring(4e-4, 0);
    request.check.date = "2026-06-01";
    const auto kept = app::keep_check(log, request, app::run_check(request), test::kNow);
    CHECK(log.results(kept.made.station, "mitre-left").empty());
    CHECK(log.checks().size() == 1);
    CHECK(app::recompute(log).empty());
    const auto again = files::parse_readings(files::text_of(kept.latest.readings, "the log"));
    CHECK(again.second_setup == "mitre-right");
    CHECK(files::write_readings(again) == kept.latest.readings);
  }
}
