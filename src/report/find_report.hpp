// SPDX-License-Identifier: MIT
/// \file find_report.hpp
/// A search for a cause, as a person or a program reads it.
#pragma once

#include <string>

#include "history/search.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// What changed, what would explain it, the one next test.
std::string find_text(const history::Search& search, const TextOptions& options);
std::string find_json(const history::Search& search);

/// What changed since the last good check, one sentence or two.
std::string change_text(const history::Search& search, const TextOptions& options);
/// The causes that are still in question, a line each, with letters, under their heading.
std::string suspects_text(const history::Search& search, const TextOptions& options);
/// What to do about the likeliest cause, once settled; empty before.
std::string cure_text(const history::Search& search);
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
