// SPDX-License-Identifier: MIT
/// \file record.hpp
/// The record of a setup: its checks, events and old results with what they tell together. What reports read.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "history/history.hpp"
#include "history/named.hpp"
#include "units/number.hpp"

namespace quarterturn::history {

struct Record {
  std::string station, setup;
  std::vector<Entry> entries;
  std::vector<Event> events;
  EntryNames entry_names;
  std::vector<Named> event_names;
  History history;
  Settings settings;
  double panel_mm = 600;  ///< over which mm are quoted
  units::Unit unit = units::Unit::mm;
  double today = 0;  ///< [day]
  int widened = 0;   ///< checks that could not see seating: theirs is the usual one
  int no_side = 0;   ///< old results that do not say which way they were off
};

}  // namespace quarterturn::history
