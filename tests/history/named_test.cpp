// SPDX-License-Identifier: MIT
#include "history/named.hpp"

#include <doctest/doctest.h>

#include <memory>
#include <string>
#include <utility>

using namespace quarterturn;
using history::EntryNames;

TEST_SUITE("history") {
  TEST_CASE("names of checks are put together, others kept; ids stand where they were read") {
    EntryNames copy;
    {
      const auto text = std::make_shared<const std::string>("id of the secondid of the first");
      EntryNames names;
      names.begin("dock", text, 2);
      names.add_check(12, "2026-03-14", std::string_view(*text).substr(16));
      names.add_check(7, "2026-03-15T10:00", std::string_view(*text).substr(0, 16));
      names.push_back({"old result", "2024-05-02"});
      names.push_back({"loft/1", "day 30"}, "a longer id than fits into a string itself");
      copy = names;
    }
    REQUIRE(copy.size() == 4);
    CHECK(copy[0].name == "dock/12");
    CHECK(copy[0].date == "2026-03-14");
    CHECK(copy.id(0) == "id of the first");
    CHECK(copy[1].date == "2026-03-15");
    copy.put_in({3, 1, 2, 0});
    CHECK(copy.front().name == "loft/1");
    CHECK(copy.front().date == "day 30");
    CHECK(copy.id(0) == "a longer id than fits into a string itself");
    CHECK(copy[1].name == "dock/7");
    CHECK(copy.id(1) == "id of the second");
    CHECK(copy[2].name == "old result");
    CHECK(copy.id(2).empty());
    CHECK(copy.back().name == "dock/12");
    copy.pop_back();
    CHECK(copy.back().name == "old result");
    CHECK(EntryNames().size() == 0);
  }
}
