// SPDX-License-Identifier: MIT
/// \file filled_log.hpp
/// A log with one station and checks of a few lines, filled record by record. All figures are invented.
#pragma once

#include <doctest/doctest.h>
#include <sqlite3.h>
#include <sys/stat.h>

#include <string>

#include "logbook/logbook.hpp"
#include "logbook/page_sums.hpp"
#include "support/outcomes.hpp"
#include "units/input_error.hpp"

namespace quarterturn::test {

inline files::CheckVersion version_with(const std::string& readings, const std::string& station_version) {
  files::CheckVersion version;
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
inline logbook::KeptCheck fill(logbook::Logbook& log, const std::string& readings = "first\nlines\n") {
  log.save(dock());
  const std::string station = log.station_id("dock");
  return log.keep(files::CheckRecord{{}, station, "crosscut", {}},
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

inline void raw(const std::string& path, const std::string& sql) {
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

inline bool is_there(const std::string& path) {
  struct stat status {};
  return ::stat(path.c_str(), &status) == 0;
}

}  // namespace quarterturn::test
