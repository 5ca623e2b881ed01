// SPDX-License-Identifier: MIT
// What is looked up in a log without reading all of it. Stations and checks are invented.
#include <doctest/doctest.h>

#include <set>

#include "logbook/logbook.hpp"
#include "support/filled_log.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using files::CheckRecord;
using logbook::Logbook;
using test::fill;
using test::TemporaryFolder;
using test::version_with;

TEST_SUITE("logbook") {
  TEST_CASE("a check is found by its readings of that day, as it counts now") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    constexpr std::int64_t kDay = 1773446400;  // that of version_with
    CHECK(log.versions_with(kDay, "first\nlines\n").empty());
    CHECK_FALSE(log.check_with("nobody", kDay, "first\nlines\n"));
    const auto first = fill(log), second = fill(log, "second\n");
    const std::string station = first.made.station;
    const auto found = log.check_with(station, kDay, "first\nlines\n");
    REQUIRE(found);
    CHECK(log.versions_with(kDay, "first\nlines\n") == std::set<std::string>{first.latest.id});
    CHECK(log.versions_with(kDay + 1, "first\nlines\n").empty());
    CHECK(found->made.id == first.made.id);
    CHECK(found->number == 1);
    CHECK(found->latest.result.eta == 1e-4);
    CHECK_FALSE(log.check_with(station, kDay + 86400, "first\nlines\n"));
    CHECK_FALSE(log.check_with(station, kDay, "first\nlines"));
    CHECK_FALSE(log.check_with("another", kDay, "first\nlines\n"));
    auto amended = version_with("third\n", log.stations().front().latest.id);
    amended.check = first.made.id;
    log.keep(amended);
    CHECK_FALSE(log.check_with(station, kDay, "first\nlines\n"));  // not what it tells any more
    CHECK(log.versions_with(kDay, "first\nlines\n") == std::set<std::string>{first.latest.id});
    CHECK_FALSE(log.versions_with(kDay, "third\n").contains(first.latest.id));
    REQUIRE(log.check_with(station, kDay, "third\n"));
    CHECK(log.check_with(station, kDay, "third\n")->versions == 2);
    log.keep(files::WithdrawalRecord{{}, second.made.id, {}, "another panel", ""});
    CHECK_FALSE(log.check_with(station, kDay, "second\n"));
  }

  TEST_CASE("the newest results are the last of all, those that do not count left out") {
    const TemporaryFolder folder;
    Logbook log(folder.path() + "/log.db");
    CHECK(log.newest_results("nobody", "crosscut", 9).empty());
    std::vector<logbook::KeptCheck> made;
    for (int i = 0; i < 5; ++i) made.push_back(fill(log, "check " + std::to_string(i) + "\n"));
    const std::string station = made[0].made.station, version = made[0].latest.station_version;
    log.keep(CheckRecord{{}, station, "mitre", {}}, version_with("mitre\n", version));
    auto rail = version_with("rail\n", version);
    rail.result.test = files::kRailTest;
    log.keep(CheckRecord{{}, station, "crosscut", {}}, rail);
    auto amended = version_with("amended\n", version);
    amended.check = made[4].made.id;
    amended.result.eta = 3e-4;
    amended.result.unknown = "seating-unseen";
    log.keep(amended);
    log.keep(files::WithdrawalRecord{{}, made[3].made.id, {}, "another panel", ""});
    const auto all = log.results(station, "crosscut");
    REQUIRE(all.size() == 4);
    CHECK(all.back().result.eta == 3e-4);
    for (std::size_t most = 0; most < 7; ++most) {
      CAPTURE(most);
      const auto newest = log.newest_results(station, "crosscut", most);
      REQUIRE(newest.size() == std::min<std::size_t>(most, 4));
      for (std::size_t i = 0; i < newest.size(); ++i) {
        const auto& plain = all[all.size() - newest.size() + i];
        CHECK(newest[i].id == plain.id);
        CHECK(newest[i].number == plain.number);
        CHECK(newest[i].version == plain.version);
        CHECK(newest[i].recorded == plain.recorded);
        CHECK(newest[i].result.eta == plain.result.eta);
        CHECK(newest[i].result.unknown == plain.result.unknown);
      }
    }
    CHECK(log.newest_results(station, "", 9).empty());
  }
}
