// SPDX-License-Identifier: MIT
#include "app/log_import.hpp"

#include <doctest/doctest.h>

#include "support/outcomes.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;

TEST_SUITE("app") {
  TEST_CASE("a document whose records hang in the air is named, and the other files go in") {
    const test::Home home;
    logbook::Logbook log(home.path() + "/log.db");
    log.save(test::dock());
    auto cut_short = log.document();
    cut_short.notes.push_back({"n", "x", "2026-03-14T10:20:00.000Z", "about nothing that is there", ""});
    files::EventRecord event;
    event.id = "e";
    event.station = "no-such-station";
    event.recorded = "2026-03-14T10:20:00.000Z";
    event.date = "2026-03-14";
    event.utc = 1773446400;
    event.kind = "knocked";
    cut_short.events.push_back(event);
    const auto document = home.write("short.json", files::write_log(cut_short));
    const auto table = home.write("events.csv", "station,setup,date,event,note\ndock,,2026-03-01,knocked,\n");
    const auto done = app::import_files(log, {document, table}, "", 1773484800, [](std::size_t) {});
    REQUIRE(done.faults.size() == 1);
    CHECK(test::holds(done.faults[0], "station is 'no-such-station'"));
    CHECK(test::holds(done.faults[0], "short.json"));
    CHECK(done.events == 1);
    CHECK(done.documents == 0);
    CHECK(log.events().size() == 1);
    CHECK(log.faults().empty());
  }
}
