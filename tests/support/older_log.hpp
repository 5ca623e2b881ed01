// SPDX-License-Identifier: MIT
/// \file older_log.hpp
/// A log as an older version of the program left it.
#pragma once

#include <doctest/doctest.h>
#include <sqlite3.h>

#include <string>

#include "logbook/schema.hpp"

namespace quarterturn::test {

/// The records of the log `from`, as a program of version 4 kept them. \param to  a file that is not there
inline void make_older(const std::string& from, const std::string& to) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(to.c_str(), &db) == SQLITE_OK);
  std::string all;
  for (const char* step : logbook::schema_steps().first(4)) all += std::string(step) + ";";
  all += "ATTACH '" + from + "' AS now;";
  for (const char* table : {"stations", "station_versions", "checks", "check_versions", "events", "moves",
                            "summaries", "notes", "withdrawals"})
    all += std::string("INSERT INTO main.") + table + " SELECT * FROM now." + table + ";";
  all += "PRAGMA user_version = 4; PRAGMA application_id = " + std::to_string(logbook::kApplicationId);
  char* fault = nullptr;
  const int result = sqlite3_exec(db, all.c_str(), nullptr, nullptr, &fault);
  CAPTURE(std::string(fault == nullptr ? "" : fault));
  REQUIRE(result == SQLITE_OK);
  sqlite3_close(db);
}

}  // namespace quarterturn::test
