// SPDX-License-Identifier: MIT
// The log as a file: taken over, troubled, brought up to date, copied. Stations and checks are invented.
#include "logbook/logbook.hpp"

#include <doctest/doctest.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>

#include "files/station_file.hpp"
#include "logbook/schema.hpp"
#include "support/filled_log.hpp"
#include "support/talk.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using logbook::Logbook;
using quarterturn::test::TemporaryFolder;
using test::fill;
using test::holds;
using test::is_there;
using test::raw;
using test::trouble_of;

TEST_SUITE("logbook") {
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

  TEST_CASE("a log from before versions had an index by day is brought up to date, and tells the same") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/log.db";
    const auto before = logbook::schema_steps().first(5);
    {
      const auto db = logbook::open_log(path, logbook::Access::write, before);
      CHECK(
          db->execAndGet("SELECT count(*) FROM sqlite_master WHERE name = 'check_versions_told'").getInt() ==
          0);
      db->exec(
          "INSERT INTO stations VALUES('s', '2026-03-14T10:00:00.000Z');"
          "INSERT INTO station_versions VALUES('v', 's', '2026-03-14T10:00:00.000Z', 'dock', '{}');"
          "INSERT INTO checks VALUES('c', 's', 'crosscut', '2026-03-14T10:00:01.000Z', 1);"
          "INSERT INTO check_versions VALUES('w', 'c', '2026-03-14T10:00:01.000Z', '', '2026-03-14', "
          "1773446400, 'Lea', 'v', 'readings', '0.1.0', 0.95, 1e-4, 2e-5, 5e-5, 4.5, NULL, 1, NULL, "
          "'within', 0, 0, 1, '', NULL, NULL)");
    }
    const Logbook log(path);
    const auto table = log.result_table("s", "crosscut");
    REQUIRE(table.rows.size() == 1);
    CHECK(table.rows[0].eta == 1e-4);
    CHECK(table.rows[0].day() == "2026-03-14");
    CHECK(log.check("c").latest.readings == "readings");
    CHECK(log.faults().empty());
    // The older program's log stands beside it, and the older program refuses the newer one.
    CHECK(logbook::open_log(path + ".version-5", logbook::Access::read, before)
              ->execAndGet("SELECT count(*) FROM check_versions")
              .getInt() == 1);
    CHECK(holds(trouble_of([&] { (void)logbook::open_log(path, logbook::Access::read, before); }),
                "was written by a newer version (6; this one knows up to 5)"));
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
