// SPDX-License-Identifier: MIT
// Stations and checks are invented, in the scenery workshop of the examples.
#include "logbook/logbook.hpp"

#include <doctest/doctest.h>

#include <sqlite3.h>
#include <sys/stat.h>

#include <cstdio>
#include <fstream>
#include <limits>

#include "files/station_file.hpp"
#include "logbook/page_sums.hpp"
#include "logbook/schema.hpp"
#include "support/outcomes.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using files::CheckRecord;
using files::CheckVersion;
using logbook::Logbook;
using quarterturn::test::TemporaryFolder;

namespace {

CheckVersion version_with(const std::string& readings, const std::string& station_version) {
  CheckVersion version;
  version.date = "2026-03-14";
  version.utc = 1773446400;
  version.readings = readings;
  version.station_version = station_version;
  version.result.eta = 1e-4;
  version.result.u = 2e-5;
  version.result.half_width = 5e-5;
  version.result.dof = 4.5;
  version.result.verdict = "within";
  version.result.used = {"a", "b"};
  return version;
}

/// One station, one check.
logbook::KeptCheck fill(Logbook& log, const std::string& readings = "first\nlines\n") {
  log.save(test::dock());
  const std::string station = log.station_id("dock");
  return log.keep(CheckRecord{{}, station, "crosscut", {}},
                  version_with(readings, log.stations().front().latest.id));
}

template <typename Work>
std::string trouble_of(Work work) {
  try {
    work();
  } catch (const files::FileTrouble& trouble) {
    return trouble.message;
  } catch (const units::InputError& error) {
    return error.what();
  }
  return {};
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

void raw(const std::string& path, const std::string& sql) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open_v2(path.c_str(), &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE,
                          logbook::page_sums_vfs()) == SQLITE_OK);
  char* message = nullptr;
  const int result = sqlite3_exec(db, sql.c_str(), nullptr, nullptr, &message);
  CAPTURE(std::string(message == nullptr ? "" : message));
  CHECK(result == SQLITE_OK);
  sqlite3_free(message);
  sqlite3_close(db);
}

bool is_there(const std::string& path) {
  struct stat status {};
  return ::stat(path.c_str(), &status) == 0;
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
    const auto table = log.result_table(station, "crosscut");
    REQUIRE(table.rows.size() == results.size());
    for (std::size_t i = 0; i < results.size(); ++i) {
      const auto& row = table.rows[i];
      const auto& plain = results[i];
      CHECK(row.id == plain.id);
      CHECK(row.recorded == plain.recorded);
      CHECK(row.number == plain.number);
      CHECK(row.station_version == plain.station_version);
      CHECK(row.date == plain.date);
      CHECK(row.utc == plain.utc);
      CHECK(row.verdict == plain.result.verdict);
      CHECK(row.eta == plain.result.eta);
      CHECK(row.u == plain.result.u);
      CHECK(row.dof == plain.result.dof.value_or(std::numeric_limits<double>::infinity()));
      CHECK(row.unknown == plain.result.unknown.has_value());
      CHECK(row.provisional == plain.result.provisional);
    }
    log.keep(files::WithdrawalRecord{"", second.made.id, "", "another panel", ""});
    CHECK(log.results(station, "crosscut").size() == 1);
    CHECK(log.result_table(station, "crosscut").rows.size() == 1);
    CHECK(log.result_table(station, "").rows.empty());
    CHECK(log.results(station, "").empty());
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

  TEST_CASE("a new log takes over the stations that were kept as files") {
    const TemporaryFolder folder;
    std::ofstream(folder.path() + "/dock.json") << files::write_station(test::dock());
    const Logbook log(folder.path() + "/log.db", folder.path());
    CHECK(log.list() == std::vector<std::string>{"dock"});
    CHECK(is_there(folder.path() + "/dock.json"));
  }

  TEST_CASE("trouble with the file is told in a sentence, and nothing is lost") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/log.db";
    const auto opened = [&] { return trouble_of([&] { (void)Logbook(path).list(); }); };
    SUBCASE("no log at all") {
      std::ofstream(path) << std::string(2000, 'x');
      CHECK(holds(opened(), "is not a log"));
    }
    SUBCASE("a database of another program") {
      raw(path, "CREATE TABLE other(x)");
      CHECK(holds(opened(), "of another program"));
    }
    SUBCASE("of a newer version") {
      Logbook log(path);
      fill(log);
      raw(path, "PRAGMA user_version = 99");
      CHECK(holds(opened(), "newer version (99"));
    }
    SUBCASE("a directory") {
      ::mkdir(path.c_str(), 0700);
      CHECK(holds(opened(), "is a directory"));
    }
    SUBCASE("truncated") {
      {
        Logbook log(path);
        fill(log);
        for (int i = 0; i < 50; ++i) fill(log, std::string(2000, 'r') + std::to_string(i));
      }
      REQUIRE(::truncate(path.c_str(), 20000) == 0);
      const std::string told = trouble_of([&] {
        const Logbook log(path);
        (void)log.checks();
        for (const auto& fault : log.faults()) throw files::FileTrouble{fault};
      });
      CHECK_FALSE(told.empty());
      CHECK(holds(told, "damaged"));
    }
    SUBCASE("locked by another") {
      {
        Logbook log(path);
        fill(log);
      }
      sqlite3* other = nullptr;
      REQUIRE(sqlite3_open(path.c_str(), &other) == SQLITE_OK);
      REQUIRE(sqlite3_exec(other, "BEGIN EXCLUSIVE", nullptr, nullptr, nullptr) == SQLITE_OK);
      CHECK(holds(opened(), "in use by another program"));
      sqlite3_close(other);
      CHECK(opened().empty());
    }
    SUBCASE("a folder that cannot be made") {
      std::ofstream(folder.path() + "/file") << "x";
      Logbook log(folder.path() + "/file/sub/log.db");
      CHECK(holds(trouble_of([&] { log.save(test::dock()); }), "cannot make the folder"));
    }
    SUBCASE("a record that belongs to none") {
      Logbook log(path);
      fill(log);
      files::EventRecord event;
      event.station = "nobody";
      event.kind = "knocked";
      CHECK(holds(trouble_of([&] { log.keep(event); }), "belongs to one that is not there"));
      CHECK(log.events().empty());
    }
  }

  TEST_CASE("an older log is copied before it is brought up to date") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/log.db";
    {
      Logbook log(path);
      fill(log);
    }
    std::vector<const char*> steps(logbook::schema_steps().begin(), logbook::schema_steps().end());
    steps.push_back("ALTER TABLE notes ADD COLUMN colour TEXT");
    {
      const auto db = logbook::open_log(path, logbook::Access::read, steps);
      CHECK(db->execAndGet("PRAGMA user_version").getInt() == static_cast<int>(steps.size()));
      CHECK(db->execAndGet("SELECT count(*) FROM checks").getInt() == 1);
    }
    const Logbook before(path + ".version-" + std::to_string(logbook::schema_steps().size()));
    CHECK(before.check("dock/1").number == 1);
    CHECK(before.faults().empty());
    // A step that fails leaves the log as it was.
    steps.push_back("CREATE TABLE half(x); nonsense");
    CHECK_FALSE(trouble_of([&] { (void)logbook::open_log(path, logbook::Access::read, steps); }).empty());
    steps.pop_back();
    CHECK(logbook::open_log(path, logbook::Access::read, steps)
              ->execAndGet("SELECT count(*) FROM sqlite_master WHERE name = 'half'")
              .getInt() == 0);
  }

  TEST_CASE("a backup is whole, and overwrites nothing") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    fill(log);
    log.backup(folder.path() + "/copy.db");
    CHECK(files::write_log(Logbook(folder.path() + "/copy.db").document()) ==
          files::write_log(log.document()));
    CHECK(holds(trouble_of([&] { log.backup(folder.path() + "/copy.db"); }), "overwrites nothing"));
    CHECK(holds(trouble_of([&] { log.backup(folder.path() + "/no/copy.db"); }), "cannot be opened"));
  }
}
