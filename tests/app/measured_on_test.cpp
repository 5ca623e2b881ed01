// SPDX-License-Identifier: MIT
// Readings are invented, in the scenery workshop of the examples.
#include "app/measured_on.hpp"

#include <doctest/doctest.h>

#include <array>
#include <fstream>
#include <functional>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "app/log_import.hpp"
#include "files/readings_file.hpp"
#include "support/keeping.hpp"
#include "support/outcomes.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using app::Overlap;
using logbook::Logbook;
using quarterturn::test::error_of;
using quarterturn::test::event;
using quarterturn::test::kNow;
using quarterturn::test::TemporaryFolder;

namespace {

/// Strips 1-5, 2-6, … of one panel. \param first, last  strips that are in the file, from 1 to 6
std::string strips(int first, int last, const std::string& date = "2026-05-01",
                   const std::string& head = "") {
  constexpr std::array<std::array<const char*, 2>, 6> kEnds{{{"22.14 22.13 22.15", "22.16 22.15 22.17"},
                                                             {"23.05 23.05 23.06", "23.04 23.05 23.04"},
                                                             {"21.60 21.61 21.60", "21.64 21.63 21.64"},
                                                             {"22.90 22.91 22.90", "22.91 22.90 22.91"},
                                                             {"21.12 21.13 21.12", "21.10 21.11 21.12"},
                                                             {"24.02 24.01 24.02", "24.03 24.02 24.02"}}};
  std::string text = "# station: dock\n# date: " + date + "\n# test: progressive\n# caliper: digital\n" +
                     head + "panel,from_cut,to_cut,position,width\n";
  for (int k = first; k <= last; ++k) {
    const auto& ends = kEnds.at(static_cast<std::size_t>(k - 1));
    const std::string cuts = "1," + std::to_string(k) + "," + std::to_string(k + 4) + ",";
    text += cuts + "0," + ends[0] + "\n" + cuts + "525," + ends[1] + "\n";
  }
  return text;
}

check::Check parsed(const std::string& text) {
  return files::parse_readings(files::text_of(text, "r.csv"));
}

logbook::KeptCheck keep(Logbook& log, const std::string& text) {
  app::CheckRequest made;
  made.check = parsed(text);
  made.station = test::dock();
  return test::kept_of(log, made);
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string written(const TemporaryFolder& folder, const char* name, const std::string& text) {
  std::ofstream(folder.file(name)) << text;
  return folder.file(name);
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("strips in common: the same, more, fewer, others") {
    const auto kept = parsed(strips(1, 4));
    CHECK(app::overlap(parsed(strips(1, 4)), kept) == Overlap::same);
    CHECK(app::overlap(parsed(strips(1, 4, "2026-05-02")), kept) == Overlap::same);  // a day mistyped
    CHECK(app::overlap(parsed(strips(1, 6, "2026-05-02")), kept) == Overlap::goes_on);
    CHECK(app::overlap(parsed(strips(1, 3)), kept) == Overlap::part);
    CHECK(app::overlap(parsed(strips(3, 6)), kept) == Overlap::none);  // some of each
    CHECK(app::overlap(parsed(strips(5, 6)), kept) == Overlap::none);
    CHECK(app::overlap(parsed(strips(1, 6, "2026-05-01", "# note: measured on\n")), kept) ==
          Overlap::goes_on);
    // Two readings may be alike by chance, on another day.
    const auto two = [](const char* date, const char* more) {
      return parsed(
          std::string("# date: ") + date +
          "\n# test: progressive\npanel,from_cut,to_cut,position,width\n1,1,5,0,22.14\n1,1,5,525,22.16\n" +
          more);
    };
    const char* more = "1,2,6,0,23.05\n1,2,6,525,23.04\n";
    CHECK(app::overlap(two("2026-05-01", more), two("2026-05-01", "")) == Overlap::goes_on);
    CHECK(app::overlap(two("2026-05-09", more), two("2026-05-01", "")) == Overlap::none);
    CHECK(app::overlap(two("2026-05-09", ""), two("2026-05-01", "")) == Overlap::none);
  }

  TEST_CASE("the rows of the first strip, as every file has them that goes on from it") {
    const std::string head = "panel,from_cut,to_cut,position,width";
    const std::string rows = "1,1,5,0,22.14\n1,1,5,0,22.13\n";
    CHECK(app::first_strip("# a: b\n" + head + "\n" + rows + "1,2,6,0,23.05\n") == rows);
    CHECK(app::first_strip(head + ",note\n1,1,5,0,22.14,fuzzy\n1,1,5,0,22.13,\n") == rows);
    CHECK(app::first_strip(head + "\n1,1,5,0,22.14\n1,1,5,0,22.13") == rows);
    CHECK(app::first_strip(head + "\n").empty());
    CHECK(app::first_strip("").empty());
  }

  TEST_CASE("a file that goes on from a kept check is that check, measured on") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    const auto first = keep(log, strips(1, 4));
    const auto on = keep(log, strips(1, 6));
    CHECK(on.made.id == first.made.id);
    CHECK(on.latest.reason == app::kMeasuredOn);
    CHECK(on.latest.result.used.empty());  // it does not inform itself
    CHECK(log.checks().size() == 1);
    CHECK(log.versions(first.made.id).size() == 2);
    CHECK(app::recompute(log).empty());
    // Fewer strips of it, or other words above the same: nothing new, and told where it is.
    CHECK(holds(error_of([&] { keep(log, strips(1, 5)); }), "its readings are in dock/1"));
    CHECK(holds(error_of([&] { keep(log, strips(1, 6, "2026-05-01", "# note: warm\n")); }), "log amend"));
    CHECK(log.checks().size() == 1);
    // It may be looked at all the same.
    app::CheckRequest part;
    part.check = parsed(strips(1, 5));
    part.station = log.find("dock");
    CHECK(app::inform(part, log, kNow).earlier.empty());
  }

  TEST_CASE("strips across a move are refused, whether in a file or in bulk") {
    for (const char* kind : {"corrected", "knocked", "dogs reinserted"}) {
      CAPTURE(kind);
      const TemporaryFolder folder;
      Logbook log(folder.path() + "/log.db");
      keep(log, strips(1, 4));
      event(log, kind, "2026-05-02", 42);
      const std::string said = error_of([&] { keep(log, strips(1, 6, "2026-05-03")); });
      const bool moved = files::ends_validity(kind);
      CHECK(said.empty() == !moved);
      if (!moved) continue;
      CHECK(holds(said, "cuts is 'those of dock/1 and more', but must be all made before or all after"));
      CHECK(holds(said, std::string("'") + kind + "' of 2026-05-02"));
      CHECK(holds(said, "r.csv"));
      // The file may still bear the old day.
      CHECK(holds(error_of([&] { keep(log, strips(1, 6)); }), "begin again at cut 1"));
      CHECK(log.versions(log.check("dock/1").made.id).size() == 1);
      const auto path = written(folder, "on.csv", strips(1, 6, "2026-05-03"));
      const auto done = app::import_files(log, {path}, "", kNow, [](std::size_t) {});
      CHECK(done.checks == 0);
      REQUIRE(done.faults.size() == 1);
      CHECK(holds(done.faults[0], "both sides of a move"));
      CHECK(log.checks().size() == 1);
    }
  }

  TEST_CASE("an event before the check, or of another setup, stands in nobody's way") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    keep(log, strips(1, 4));
    event(log, "corrected", "2026-04-02", 72);
    CHECK(keep(log, strips(1, 5)).latest.reason == app::kMeasuredOn);
    files::EventRecord other;
    other.station = log.station_id("dock");
    other.setup = "mitre";
    other.kind = "corrected";
    other.date = "2026-05-02";
    other.utc = kNow - 86400 * 42;
    log.keep(other);
    CHECK(keep(log, strips(1, 6)).made.id == log.check("dock/1").made.id);
  }

  TEST_CASE("import: what was measured on is one check, in either order") {
    const TemporaryFolder folder;
    const auto four = written(folder, "four.csv", strips(1, 4)),
               six = written(folder, "six.csv", strips(1, 6));
    const auto dock = test::dock();
    for (const bool longer_first : {false, true}) {
      CAPTURE(longer_first);
      Logbook log(folder.path() + (longer_first ? "/a.db" : "/b.db"));
      log.save(dock);
      const auto done = app::import_files(log, longer_first ? std::vector{six, four} : std::vector{four, six},
                                          "", kNow, [](std::size_t) {});
      CHECK(done.faults.empty());
      CHECK(done.checks == (longer_first ? 1 : 2));
      CHECK(done.known == (longer_first ? 1 : 0));
      REQUIRE(log.checks().size() == 1);
      CHECK(parsed(log.checks()[0].latest.readings).strips.size() == 6);
      const auto again = app::import_files(log, {four, six}, "", kNow, [](std::size_t) {});
      CHECK(again.known == 2);
      CHECK(again.checks == 0);
    }
  }
}
