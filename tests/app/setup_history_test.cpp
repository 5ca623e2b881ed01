// SPDX-License-Identifier: MIT
// The record of a setup out of a log: what belongs together, what is left out. Figures are invented.
#include "app/setup_history.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "app/keep_check.hpp"
#include "app/station_state.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using test::near;
using test::TemporaryFolder;

namespace {

constexpr std::int64_t kNow = 1781308800;  // 2026-06-13

void keep(logbook::Logbook& log, const std::string& date, const std::string& wide) {
  app::CheckRequest request = test::station_request();
  request.check = files::parse_readings(
      files::text_of("# station: dock\n# date: " + date +
                         "\n# caliper: digital\npanel,from_cut,to_cut,position,width\n1,1,5,0,22.14 22.13 "
                         "22.15\n1,1,5,525," +
                         wide + "\n",
                     "r.csv"));
  app::keep_check(log, request, app::run_check(request), kNow);
}

void happens(logbook::Logbook& log, const std::string& kind, const std::string& date) {
  files::EventRecord event;
  event.station = log.station_id("dock");
  event.kind = kind;
  const auto moment = files::parse_date(date, "date");
  event.date = moment.as_typed;
  event.utc = moment.utc_second;
  log.keep(event);
}

history::Record record_of(const logbook::Logbook& log) {
  return app::setup_history(log, log.find("dock"), "", 0.95, kNow);
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("checks by date, events between them, and what came before one stands apart") {
    const TemporaryFolder folder;
    logbook::Logbook log(folder.path() + "/log.db");
    keep(log, "2026-04-01", "22.13 22.14 22.15");
    keep(log, "2026-02-01", "22.16 22.15 22.17");  // kept later, made before
    keep(log, "2026-05-01", "22.12 22.13 22.12");
    happens(log, "knocked", "2026-03-01");
    const auto record = record_of(log);
    REQUIRE(record.entries.size() == 3);
    CHECK(record.setup == "crosscut");
    CHECK(record.entry_names[0].name == "dock/2");
    CHECK(record.entry_names[2].date == "2026-05-01");
    REQUIRE(record.entries[0].valid_until.has_value());
    CHECK(near(*record.entries[0].valid_until, record.events.front().date, 0, 1e-9));
    CHECK_FALSE(record.entries[1].valid_until.has_value());
    CHECK(record.history.checks == 3);
    CHECK(record.history.series.size() == 2);  // since it was knocked
    REQUIRE(record.history.at_events.size() == 1);
    CHECK(record.history.at_events[0].before == 1);
    CHECK(record.history.at_events[0].after == 2);
    // 90 days after the first of May
    REQUIRE(record.history.due);
    CHECK(files::day_text(static_cast<std::int64_t>(record.history.due->date * 86400)) == "2026-07-30");
    CHECK(record.settings.panel_u_rad > 0);
  }

  TEST_CASE("withdrawn checks are left out; old results are hollow, those without a side only counted") {
    const TemporaryFolder folder;
    logbook::Logbook log(folder.path() + "/log.db");
    keep(log, "2026-02-01", "22.13 22.14 22.15");
    keep(log, "2026-04-01", "22.16 22.15 22.17");
    log.keep(files::WithdrawalRecord{"", log.check("dock/2").made.id, "", "another panel", ""});
    files::SummaryRecord old;
    old.station = log.station_id("dock");
    old.date = "2024-05-02";
    old.utc = files::parse_date(old.date, "date").utc_second;
    old.test = "five-cut";
    old.side = "under-90";
    old.error = 2e-4;
    old.plus_minus = 1.96e-4;
    log.keep(old);
    old.id.clear();
    old.side = "unknown";
    log.keep(old);
    const auto record = record_of(log);
    REQUIRE(record.entries.size() == 2);
    CHECK(record.entries[0].hollow);
    CHECK(record.entries[0].eta == -2e-4);
    CHECK(near(record.entries[0].u, 1e-4, 1e-3, 0));
    CHECK(record.no_side == 1);
    CHECK(record.history.hollow == 1);
    CHECK(record.history.checks == 1);
  }

  TEST_CASE("a noted cause brings the next check nearer, and is no event that asks for one at once") {
    const TemporaryFolder folder;
    logbook::Logbook log(folder.path() + "/log.db");
    keep(log, "2026-06-01", "22.13 22.14 22.15");
    happens(log, "cause noted", "2026-06-02");
    const auto states = app::station_states(log, log.find("dock"), kNow);
    REQUIRE(states.size() == 1);
    CHECK(states[0].due == "2026-07-02");
    CHECK(states[0].since.empty());
    CHECK_FALSE(states[0].overdue);
  }

  TEST_CASE("a setup described anew begins a new series, though nobody noted an event") {
    const TemporaryFolder folder;
    logbook::Logbook log(folder.path() + "/log.db");
    keep(log, "2026-02-01", "22.13 22.14 22.15");
    auto station = log.find("dock");
    station.setups.at("crosscut").rail.second.hole.row = 11;
    log.save(station);
    app::CheckRequest request = test::station_request();
    request.station = log.find("dock");
    request.check.date = "2026-03-01";
    app::keep_check(log, request, app::run_check(request), kNow);
    const auto record = record_of(log);
    CHECK(record.entries.size() == 2);
    CHECK(record.history.series.size() == 1);
    REQUIRE(record.events.size() == 1);
    CHECK(record.events[0].ends_validity);
  }

  TEST_CASE("no checks: a clear sentence") {
    const TemporaryFolder folder;
    logbook::Logbook log(folder.path() + "/log.db");
    CHECK_THROWS_AS(app::setup_history(log, test::dock(), "", 0.95, kNow), units::InputError);
    log.save(test::dock());
    CHECK_THROWS_AS(record_of(log), units::InputError);
  }
}
