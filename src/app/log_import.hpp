// SPDX-License-Identifier: MIT
/// \file log_import.hpp
/// Files into the log in bulk: readings, events, summaries, another log's document. A file that cannot be
/// taken is named; the others go in.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "check/finding.hpp"
#include "logbook/logbook.hpp"
#include "units/number.hpp"

namespace quarterturn::app {

/// A check that was taken in, though its result may be a mistake that its readings show.
struct Doubted {
  std::string source;  ///< its file
  check::Finding finding;
  units::Unit unit = units::Unit::mm;  ///< of its readings
};

struct Imported {
  int checks = 0, events = 0, summaries = 0, documents = 0;
  int known = 0;                    ///< in the log already
  std::vector<std::string> faults;  ///< one sentence a file that was not taken
  std::vector<Doubted> doubted;
};

/// \param station   id of the station of readings and rows that name none; may be empty
/// \param progress  called behind each file, with how many are done
Imported import_files(logbook::Logbook& log, const std::vector<std::string>& paths,
                      const std::string& station, std::int64_t now_utc,
                      const std::function<void(std::size_t)>& progress);

}  // namespace quarterturn::app
