// SPDX-License-Identifier: MIT
// The power fails while records are kept, amended and merged and while an older log is brought up to date, on
// a disk that drops, tears and reorders what was not synced. `tests/run.sh --deep power` cuts it 1,000 times.
// Stations and checks are invented.
#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <random>
#include <set>

#include "files/log_document.hpp"
#include "logbook/logbook.hpp"
#include "support/older_log.hpp"
#include "support/outcomes.hpp"
#include "support/power_cut.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using logbook::Logbook;
using quarterturn::test::TemporaryFolder;

namespace {

files::CheckVersion version_of(const Logbook& log, int i) {
  files::CheckVersion made;
  made.date = "2026-03-14";
  made.readings = "reading " + std::to_string(i) + std::string(static_cast<std::size_t>(i % 7) * 900, 'r');
  made.station_version = log.stations().front().latest.id;
  made.result.verdict = "within";
  return made;
}

/// Keeps, amends and merges until the power fails. \returns the notes of what was said to be kept
std::vector<std::string> work_until_dark(Logbook& log, const files::LogDocument& other,
                                         std::vector<std::string>& begun) {
  std::vector<std::string> kept;
  try {
    const std::string station = log.station_id("dock");
    for (int i = 0; i < 1000; ++i) {
      const std::string id = "check-" + std::to_string(i);
      begun.push_back(id);
      if (i % 3 == 1) {
        auto amended = version_of(log, i);
        amended.id = id;
        amended.check = log.check("dock/1").made.id;
        amended.reason = "a slip";
        log.keep(amended);
      } else if (i % 7 == 5) {
        log.merge(other);
        log.keep(files::NoteRecord{id, station, {}, "merged", ""});
      } else {
        auto version = version_of(log, i);
        version.id = id;
        log.keep(files::CheckRecord{{}, station, "crosscut", {}}, version);
      }
      kept.push_back(id);
    }
  } catch (const files::FileTrouble&) {
    // It is dark.
  }
  return kept;
}

int cuts_wanted() {
  const char* wanted = std::getenv("QUARTERTURN_CUTS");
  return wanted == nullptr ? 40 : std::atoi(wanted);
}

/// Opened, and so brought up to date. \returns whether it was said to be done
bool comes_up(const std::string& path) {
  try {
    (void)Logbook(path).checks();
    return true;
  } catch (const files::FileTrouble&) {
    return false;
  }
}

}  // namespace

TEST_SUITE("logbook") {
  TEST_CASE("what is said to be kept is kept when the power fails, and nothing is half there") {
    const int cuts = cuts_wanted();
    std::size_t acknowledged = 0;
    std::mt19937_64 draw(20260315);
    for (int n = 0; n < cuts; ++n) {
      CAPTURE(n);
      const TemporaryFolder folder;
      const std::string path = folder.file("log.db");
      files::LogDocument other;
      {
        Logbook log(path);
        log.save(test::dock());
        log.keep(files::CheckRecord{{}, log.station_id("dock"), "crosscut", {}}, version_of(log, 3));
        Logbook second(folder.file("other.db"));
        second.merge(log.document());
        for (int i = 0; i < 5; ++i)
          second.keep(files::CheckRecord{{}, log.station_id("dock"), "crosscut", {}}, version_of(second, i));
        other = second.document();
      }
      std::vector<std::string> kept, begun;
      {
        test::PowerCut power(draw(), 2 + static_cast<int>(draw() % 150));
        {
          Logbook log(path);
          kept = work_until_dark(log, other, begun);
        }
        REQUIRE(power.is_cut());
        power.settle();
      }
      const Logbook log(path);
      REQUIRE(log.faults().empty());
      std::set<std::string> found;
      for (const auto& version : log.document().check_versions) found.insert(version.id);
      for (const auto& note : log.notes()) found.insert(note.id);
      for (const auto& id : kept) CHECK(found.contains(id));
      for (const auto& check : log.document().checks) CHECK_FALSE(log.versions(check.id).empty());
      acknowledged += kept.size();
    }
    MESSAGE("power cuts: " << cuts << ", records said to be kept and found: " << acknowledged);
    CHECK(acknowledged > static_cast<std::size_t>(cuts));
  }

  TEST_CASE("an older log that is brought up to date when the power fails is the old one or the new one") {
    const TemporaryFolder folder;
    const std::string now = folder.file("now.db"), older = folder.file("older.db");
    std::string all;
    {
      Logbook log(now);
      log.save(test::dock());
      for (int i = 0; i < 12; ++i)
        log.keep(files::CheckRecord{{}, log.station_id("dock"), "crosscut", {}}, version_of(log, i));
      log.keep(files::NoteRecord{{}, log.check("dock/1").made.id, {}, "a note", "Lea"});
      all = files::write_log(log.document());
    }
    test::make_older(now, older);
    const int cuts = cuts_wanted();
    int dark = 0, copies = 0;
    std::mt19937_64 draw(20260317);
    for (int n = 0; dark < cuts && n < 20 * cuts; ++n) {
      CAPTURE(n);
      const TemporaryFolder place;
      const std::string path = place.file("log.db"), copy = path + ".version-4";
      std::filesystem::copy_file(older, path);
      {
        test::PowerCut power(draw(), 1 + static_cast<int>(draw() % 120));
        const bool said = comes_up(path);
        if (power.is_cut())
          ++dark;
        else
          CHECK(said);
        power.settle();
      }
      // Whichever it is, whoever opens it next finds every record; so does whoever goes back to the copy.
      for (const std::string& each : {path, copy}) {
        CAPTURE(each);
        if (each == copy && !std::filesystem::exists(copy)) continue;
        copies += each == copy ? 1 : 0;
        const Logbook log(each);
        CHECK(files::write_log(log.document()) == all);
        CHECK(log.faults().empty());
      }
    }
    CHECK(dark == cuts);
    CHECK(copies > 0);
    MESSAGE("power cuts while a log was brought up to date: " << dark
                                                              << ", copies of the older one: " << copies);
  }
}
