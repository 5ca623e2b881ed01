// SPDX-License-Identifier: MIT
/// \file thread.hpp
/// Where a person stands in the work on one setup, and what comes next: plan, check, correct, check until it
/// is within; or check, find, cure, check. It is read off the log each time and stored nowhere.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "correct/outcome.hpp"
#include "logbook/logbook.hpp"
#include "station/station.hpp"

namespace quarterturn::app {

/// One step of the record of a setup.
struct Step {
  enum class What { checked, corrected, searched, cause, happened };
  What what = What::checked;
  std::string date;     ///< 2026-03-14
  std::string verdict;  ///< of a check: within, outside, cannot-tell; empty without a tolerance
  bool provisional = false;
  std::string words{};  ///< kind of what happened, code of a cause
  int answers = 0;      ///< of a search
};

/// What the newest check asks for, as it was told (M42).
enum class Advised { nothing, correct, find, more, check };
Advised advised(const correct::Outcome& outcome);

enum class Journey { new_table, something_wrong, in_use };

struct Thread {
  Journey journey = Journey::new_table;
  std::vector<Step> steps;  ///< of this journey, by date; the check that was good first
  std::string next;         ///< word of the prompt; empty: nothing until the next check is due
};

/// \param record  by date
/// \param advised  of the record's last check; `nothing` where only its verdict is known
Thread thread_of(std::span<const Step> record, Advised advised);

/// A cause that is put right by moving a dog: `correct` comes before the proof.
bool cured_by_a_move(std::string_view cause);

/// The record of a setup out of the log, rail tests left out. \param station  id in the log
std::vector<Step> steps_of(const logbook::Logbook& log, const std::string& station, const std::string& setup);

}  // namespace quarterturn::app
