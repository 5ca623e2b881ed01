// SPDX-License-Identifier: MIT
/// \file find_report.hpp
/// A search for a cause, as a person or a program reads it.
#pragma once

#include <string>
#include <vector>

#include "history/search.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// What changed, what would explain it, the one next test.
std::string find_text(const history::Search& search, const TextOptions& options);
std::string find_json(const history::Search& search);

/// What changed since the last good check, one sentence or two.
std::string change_text(const history::Search& search, const TextOptions& options);
/// The causes that are still in question, a line each, with letters, under their heading.
/// \param lettered  codes of causes that have a letter from an earlier step, A first; it keeps it, and those
/// without are given the next ones
std::string suspects_text(const history::Search& search, const TextOptions& options,
                          std::vector<std::string>& lettered);
/// What to do about the likeliest cause, once settled; empty before.
std::string cure_text(const history::Search& search);
/// What was answered in an earlier evening, in the order of the questions.
/// \param told  what happened besides the events of the log
std::string answered_text(const history::Answers& answers, const std::vector<std::string>& order,
                          const std::vector<history::Happened>& told, const TextOptions& options);
/// `yes, 0.20 mm`
std::string answer_words(const history::Answer& answer, units::Unit unit);
/// Why the first suspect leads and others are out.
/// \param stages  the search before any answer, then after each of `asked`
std::string find_why_text(const std::vector<history::Search>& stages, const std::vector<std::string>& asked,
                          const TextOptions& options);
/// A cause that a check has proved: what it explains, and what comes of it for panels cut since.
struct Proved {
  std::string cause;     ///< its code
  std::string good_day;  ///< of the last good check, as it is said; empty: there was none
  double moved_mm = 0;   ///< from the bad check to the one that proved it, over the panel
};
/// `the rail is off the near dog, 0.20 mm; five cuts`: what speaks for the cause.
std::string agreeing_words(const history::Search& search, units::Unit unit);
std::string explained_text(const history::Search& search, const Proved& proved, const TextOptions& options);
std::string after_proof_text(const history::Search& search, const Proved& proved, const TextOptions& options);
/// Tests that were not needed and what they would have cost; what can never be told apart.
std::string spared_text(const history::Search& search);
/// It is within, and has not moved but for a correction that was noted.
bool nothing_to_find(const history::Search& search);
/// `5 min, 2 cuts`
std::string test_cost(const history::TestRow& test);

/// The causes that suspects_text shows.
inline constexpr std::size_t kMostSuspects = 6;
std::size_t shown_suspects(const history::Search& search);

}  // namespace quarterturn::report
