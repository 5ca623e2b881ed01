// SPDX-License-Identifier: MIT
/// \file find_memory.hpp
/// What was answered in a search for a cause: it outlives the program, as notes about the check that is to be
/// explained. Another check begins another search.
#pragma once

#include <string>
#include <vector>

#include "app/find_step.hpp"
#include "files/find_note.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

struct Remembered {
  history::Answers answers;
  std::vector<std::string> order;       ///< codes of the answers, as they were given
  std::vector<history::Happened> told;  ///< what happened without a date, or of no event
  bool what_happened = false;           ///< that was asked
  std::string proved;                   ///< code of the cause that a check proved; empty: none yet
  std::string last_recorded;            ///< when the last answer was
};
/// \param check  id of the check that is to be explained
Remembered remembered_of(const logbook::Logbook& log, const std::string& check);

/// Keeps one. \param check  as above
void remember(logbook::Logbook& log, const std::string& check, const files::FindNote& note);

/// A cause that was noted behind a check and not withdrawn.
struct NotedBehind {
  std::string event, code, words, date;  ///< id of the event; code of the cause
};
std::optional<NotedBehind> cause_behind(const logbook::Logbook& log, const logbook::KeptCheck& check);

}  // namespace quarterturn::app
