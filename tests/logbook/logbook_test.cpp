// SPDX-License-Identifier: MIT
// What is kept, and comes back. Stations and checks are invented, in the scenery workshop of the examples.
#include "logbook/logbook.hpp"

#include <doctest/doctest.h>

#include <limits>

#include "files/station_file.hpp"
#include "logbook/schema.hpp"
#include "support/filled_log.hpp"
#include "support/talk.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using files::CheckRecord;
using logbook::Logbook;
using quarterturn::test::TemporaryFolder;
using test::fill;
using test::holds;
using test::is_there;
using test::trouble_of;
using test::version_with;

namespace {

/// The quick way to results reads an index of its own: it has to tell what the plain one does.
void hold_table_to_results(const Logbook& log, const std::string& station) {
  const auto results = log.results(station, "crosscut");
  const auto table = log.result_table(station, "crosscut");
  REQUIRE(table.rows.size() == results.size());
  for (std::size_t i = 0; i < results.size(); ++i) {
    const auto& row = table.rows[i];
    const auto& plain = results[i];
    CHECK(row.id == plain.id);
    CHECK(row.recorded == plain.recorded);
    CHECK(row.number == plain.number);
    CHECK(row.day() == plain.date.substr(0, 10));
    CHECK(row.order_utc == files::order_utc(plain.date, plain.utc, plain.recorded));
    CHECK(row.eta == plain.result.eta);
    CHECK(row.u == plain.result.u);
    CHECK(row.dof == plain.result.dof.value_or(std::numeric_limits<double>::infinity()));
    CHECK(row.common->station_version == plain.station_version);
    CHECK(row.common->verdict == plain.result.verdict);
    CHECK(row.common->test == plain.result.test.value_or(""));
    CHECK(row.common->unknown == plain.result.unknown.has_value());
    CHECK(row.common->provisional == plain.result.provisional);
  }
}

}  // namespace

TEST_SUITE("logbook") {
  TEST_CASE("a log that is not there reads as an empty one, and is not made by looking") {
    const TemporaryFolder folder;
    const Logbook log(folder.path() + "/sub/log.db");
    CHECK(log.list().empty());
    CHECK(log.checks().empty());
    CHECK(log.events().empty());
    CHECK(log.document().checks.empty());
    CHECK(log.faults().empty());
    CHECK_FALSE(is_there(log.path()));
    CHECK(holds(trouble_of([&] { (void)log.find("dock"); }), "described first"));
  }

  TEST_CASE("what is kept comes back the same, from another opening too") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/log.db";
    logbook::KeptCheck kept;
    {
      Logbook log(path);
      kept = fill(log);
      CHECK(kept.number == 1);
      files::EventRecord event;
      event.station = kept.made.station;
      event.kind = "knocked";
      event.date = "2026-03-15";
      event.utc = 1773532800;
      event.note = "by the fork lift";
      const std::string id =
          log.keep(event, files::MoveRecord{"", kept.made.id, "shim", "foil", 1e-4, {}, 2e-4, 1e-10});
      log.keep(files::NoteRecord{{}, kept.made.id, {}, "a note", "Lea"});
      files::SummaryRecord summary;
      summary.station = kept.made.station;
      summary.date = "2024-05-02";
      summary.side = "over-90";
      summary.error = 1e-4;
      log.keep(summary);
      CHECK_FALSE(id.empty());
    }
    const Logbook log(path);
    REQUIRE(log.checks().size() == 1);
    const auto again = log.check("dock/1");
    CHECK(again.latest.readings == "first\nlines\n");
    CHECK(again.latest.result.eta == 1e-4);
    CHECK(again.latest.result.dof == 4.5);
    CHECK_FALSE(again.latest.result.tolerance);
    CHECK(again.latest.result.used == std::vector<std::string>{"a", "b"});
    CHECK(again.made.id == kept.made.id);
    CHECK(log.check(kept.made.id.substr(0, 8)).number == 1);
    CHECK(log.readings(again.latest.id) == again.latest.readings);
    CHECK(log.checks({}, Logbook::Fetch::results).front().latest.readings.empty());
    CHECK(log.checks({}, Logbook::Fetch::results).front().latest.result.eta == 1e-4);
    REQUIRE(log.events().size() == 1);
    CHECK(log.events().front().event.note == "by the fork lift");
    REQUIRE(log.events().front().move);
    CHECK(log.events().front().move->moved == 1e-4);
    CHECK_FALSE(log.events().front().move->u_action);
    CHECK(log.notes(kept.made.id).front().text == "a note");
    CHECK_FALSE(log.summaries().front().summary.plus_minus);
    CHECK(log.faults().empty());
    // The marks that tell the file from another program's.
    SQLite::Database db(path, SQLite::OPEN_READONLY);
    CHECK(db.execAndGet("PRAGMA application_id").getInt() == logbook::kApplicationId);
    CHECK(db.execAndGet("PRAGMA user_version").getInt() == static_cast<int>(logbook::schema_steps().size()));
    CHECK(db.execAndGet(
                "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite%' "
                "AND strict = 0")
              .getInt() == 0);
  }

  TEST_CASE("nothing is overwritten: amendments and withdrawals are further records") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    const auto kept = fill(log);
    auto second = version_with("second\n", kept.latest.station_version);
    second.check = kept.made.id;
    second.reason = "misread";
    log.keep(second);
    CHECK(log.check("dock/1").latest.readings == "second\n");
    CHECK(log.check("dock/1").versions == 2);
    REQUIRE(log.versions(kept.made.id).size() == 2);
    CHECK(log.versions(kept.made.id).front().readings == "first\nlines\n");
    log.keep(files::WithdrawalRecord{{}, kept.made.id, {}, "another panel", ""});
    CHECK(log.check("dock/1").withdrawn);
    auto changed = log.find("dock");
    changed.grid.rows = 12;
    log.save(changed);
    CHECK(log.find("dock").grid.rows == 12);
    CHECK(log.station_version(kept.latest.station_version).grid.rows == 11);
    log.save(changed);  // nothing new, no further version
    CHECK(log.document().station_versions.size() == 2);
    log.rename("dock", "harbour");
    CHECK(log.check("harbour/1").made.id == kept.made.id);
  }

  TEST_CASE("results are those of one setup that count, each by its latest version") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    CHECK(log.results("nobody", "crosscut").empty());
    CHECK(log.last_setup("nobody").empty());
    const auto first = fill(log);
    const auto second = fill(log, "second\n");
    const std::string version = log.stations().front().latest.id, station = first.made.station;
    log.keep(CheckRecord{{}, station, "mitre", {}}, version_with("third\n", version));
    auto amended = version_with("first\namended\n", version);
    amended.check = first.made.id;
    amended.reason = "a slip";
    amended.result.eta = 3e-4;
    amended.result.dof.reset();
    amended.result.unknown = "seating-unseen";
    log.keep(amended);
    const auto results = log.results(station, "crosscut");
    REQUIRE(results.size() == 2);
    CHECK(results[0].id == first.made.id);
    CHECK(results[0].number == 1);
    CHECK(results[0].result.eta == 3e-4);
    CHECK_FALSE(results[0].result.dof.has_value());
    CHECK(results[0].result.unknown == "seating-unseen");
    CHECK(log.readings(results[0].version) == "first\namended\n");
    CHECK(results[1].id == second.made.id);
    CHECK(results[1].result.dof == 4.5);
    CHECK(results[1].result.u == 2e-5);
    CHECK(results[1].result.half_width == 5e-5);
    CHECK_FALSE(results[1].result.unknown.has_value());
    CHECK(results[1].result.verdict == "within");
    CHECK(results[1].date == "2026-03-14");
    CHECK(results[1].station_version == version);
    CHECK(log.last_setup(station) == "mitre");
    hold_table_to_results(log, station);
    log.keep(files::WithdrawalRecord{"", second.made.id, "", "another panel", ""});
    CHECK(log.results(station, "crosscut").size() == 1);
    CHECK(log.result_table(station, "crosscut").rows.size() == 1);
    CHECK(log.result_table(station, "").rows.empty());
    CHECK(log.results(station, "").empty());
  }

  TEST_CASE("a table of results has the latest version, whatever day versions say they are of") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    std::vector<logbook::KeptCheck> made;
    for (int i = 0; i < 4; ++i) made.push_back(fill(log, "check " + std::to_string(i) + "\n"));
    const std::string station = made[0].made.station;
    // The index of versions has them by day: before, after and between those of other checks.
    const std::int64_t days[] = {-3, 5, -1, 4, 0};
    for (std::size_t i = 0; i < 5; ++i) {
      const auto& of = made[i % 2 == 0 ? 2 : 1];
      auto amended = version_with("amended\n", of.latest.station_version);
      amended.check = of.made.id;
      amended.reason = "another day";
      amended.utc += 86400 * days[i];
      amended.result.eta = 1e-5 * static_cast<double>(i + 1);
      log.keep(amended);
      hold_table_to_results(log, station);
    }
    CHECK(log.result_table(station, "crosscut").rows[2].eta == 5e-5);
    CHECK(log.result_table(station, "crosscut").rows[1].eta == 4e-5);
  }

  TEST_CASE("of two versions recorded at one moment the one that came in last counts") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    const auto made = fill(log);
    files::LogDocument other;
    for (const std::int64_t days : {2, -2, 1}) {
      auto version = version_with("of another log\n", made.latest.station_version);
      version.id = "version " + std::to_string(days);
      version.check = made.made.id;
      version.recorded = "2030-01-01T00:00:00.000Z";
      version.utc += 86400 * days;
      version.result.eta = 1e-5 * static_cast<double>(days);
      other.check_versions.push_back(version);
    }
    log.merge(other);
    hold_table_to_results(log, made.made.station);
    CHECK(log.result_table(made.made.station, "crosscut").rows[0].eta == 1e-5);
  }

  TEST_CASE("a table of results keeps its texts, empty ones before there is room for any") {
    logbook::ResultTable table;
    CHECK(table.keep("", "within").empty());
    const std::string typed(100'000, 'a');
    const auto kept = table.keep(typed), again = table.keep("outside");
    CHECK(kept == typed);
    CHECK(kept.data() != typed.data());
    CHECK(again == "outside");
    CHECK(table.keep("outside", again).data() == again.data());
    const logbook::Common within{"v", "within", "", false, true}, outside{"v", "outside", "", false, true};
    const logbook::Common* const first = table.keep(within);
    CHECK(table.keep(outside)->verdict == "outside");
    CHECK(table.keep(within) == first);
    for (int i = 0; i < 20; ++i)
      CHECK(table.keep({std::to_string(i), "", "", i % 2 == 0, false})->unknown == (i % 2 == 0));
    CHECK(*table.keep(within) == within);
    CHECK(*first == within);
  }

  TEST_CASE("numbers count for each station, in the order of recording") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    fill(log);
    auto loft = test::dock();
    loft.name = "loft";
    log.save(loft);
    const std::string id = log.station_id("loft");
    CHECK(log.keep(CheckRecord{{}, id, "crosscut", {}}, version_with("x", log.stations()[1].latest.id))
              .number == 1);
    CHECK(fill(log, "y").number == 2);
    CHECK(holds(trouble_of([&] { (void)log.check("dock/3"); }), "must be one that is in the log"));
    CHECK(holds(trouble_of([&] { (void)log.check("dock/x"); }), "a station and a number"));
    CHECK(holds(trouble_of([&] { (void)log.check("dokc/1"); }), "did you mean 'dock'?"));
    CHECK(holds(trouble_of([&] { (void)log.check(""); }), "in the log"));
  }

  TEST_CASE("what belongs together goes in whole or not at all, each part by itself inside") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    fill(log);
    struct Stop {};
    CHECK_THROWS_AS(log.together([&] {
      fill(log, "lost");
      throw Stop{};
    }),
                    Stop);
    CHECK(log.checks().size() == 1);
    log.together([&] {
      fill(log, "kept");
      try {
        log.together([&] {
          fill(log, "lost");
          throw Stop{};
        });
      } catch (const Stop&) {
      }
    });
    CHECK(log.checks().size() == 2);
    CHECK(log.check("dock/2").latest.readings == "kept");
  }

  TEST_CASE("a document reads back the same, and merging twice changes nothing") {
    const TemporaryFolder folder;
    Logbook one(folder.path() + "/one.db"), two(folder.path() + "/two.db");
    fill(one);
    one.keep(files::NoteRecord{{}, one.check("dock/1").made.id, {}, "ä \"note\"\n", ""});
    const std::string text = files::write_log(one.document());
    const auto document = files::parse_log(files::text_of(text, "log.json"));
    CHECK(files::write_log(document) == text);
    const auto first = two.merge(document);
    CHECK(first.added == 5);
    CHECK(first.known == 0);
    CHECK(files::write_log(two.document()) == text);
    CHECK(two.merge(document).added == 0);
    CHECK(files::write_log(two.document()) == text);
    // Each goes on by itself; then both have all, and neither lost a number.
    fill(one, "one goes on");
    fill(two, "two goes on");
    CHECK(two.merge(one.document()).added == 2);
    CHECK(one.merge(two.document()).added == 2);
    CHECK(one.checks().size() == 3);
    CHECK(two.checks().size() == 3);
    CHECK(one.check("dock/2").latest.readings == "one goes on");
    CHECK(two.check("dock/2").latest.readings == "two goes on");
    CHECK(one.faults().empty());
  }

  TEST_CASE("two stations of one name stay apart") {
    const TemporaryFolder folder;
    Logbook one(folder.path() + "/one.db"), two(folder.path() + "/two.db");
    fill(one);
    fill(two, "of the other shop");
    one.merge(two.document());
    CHECK(one.list() == std::vector<std::string>{"dock", "dock (2)"});
    CHECK(one.check("dock (2)/1").latest.readings == "of the other shop");
    CHECK(one.find("dock (2)").name == "dock (2)");
    // Saved again, it keeps its own name and stays one station.
    auto second = one.find("dock (2)");
    second.grid.rows = 12;
    one.save(second);
    CHECK(one.list() == std::vector<std::string>{"dock", "dock (2)"});
    CHECK(one.find("dock (2)").grid.rows == 12);
    CHECK(one.find("dock").grid.rows == 11);
    one.rename("dock (2)", "annexe");
    CHECK(one.list() == std::vector<std::string>{"annexe", "dock"});
    const auto alone = one.document(one.station_id("annexe"));
    CHECK(alone.checks.size() == 1);
    CHECK(alone.stations.size() == 1);
  }
}
