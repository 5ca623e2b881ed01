// SPDX-License-Identifier: MIT
// A search that goes on from an earlier evening, and one that a check has closed.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"

namespace quarterturn::report {

std::string answer_words(const history::Answer& answer, units::Unit unit) {
  if (answer.skipped) return "skipped";
  if (!answer.found) return "no";
  return answer.mm ? "yes, " + length_text(*answer.mm, unit) : "yes";
}

std::string answered_text(const history::Answers& answers, const std::vector<std::string>& order,
                          const std::vector<history::Happened>& told, const TextOptions& options) {
  std::string text;
  for (const auto& one : told) text += (text.empty() ? "Told before: " : ", ") + one.kind;
  if (!text.empty()) text += ".\n";
  if (!order.empty()) text += "Answered before ('undo' takes the last one back)\n";
  for (const auto& code : order) {
    const auto* row = history::find_test_row(code);
    const auto answer = answers.find(code);
    if (row == nullptr || answer == answers.end()) continue;
    text += fmt::format("- {} {}\n", row->ask, answer_words(answer->second, options.unit));
  }
  return text;
}

std::string agreeing_words(const history::Search& search, units::Unit unit) {
  std::string text;
  for (const auto& [code, answer] : search.answers) {
    const auto* row = history::find_test_row(code);
    if (row == nullptr || !answer.found || answer.skipped) continue;
    text += std::string(row->positive) + (answer.mm ? ", " + length_text(*answer.mm, unit) : "") + "; ";
  }
  return text + "the cuts agree";
}

std::string explained_text(const history::Search& search, const Proved& proved, const TextOptions& options) {
  const auto suspect = std::ranges::find_if(
      search.found.suspects, [&](const history::Suspect& one) { return one.row->code == proved.cause; });
  if (suspect == search.found.suspects.end()) return "";
  const std::string explains =
      length_text(std::fabs(over_panel(search.panel_mm, suspect->effect)), options.unit);
  if (explains == length_text(0, options.unit)) return "";
  return fmt::format("It moved {}; the cause explains {}.\n",
                     length_text(std::fabs(proved.moved_mm), options.unit), explains);
}

std::string after_proof_text(const history::Search& search, const Proved& proved,
                             const TextOptions& options) {
  std::string text;
  if (!proved.good_day.empty()) {
    text += fmt::format(
        "Panels cut between {} and now may be up to {} over {} out.\n", proved.good_day,
        length_text(std::fabs(over_panel(search.panel_mm, search.scene.checks.back().eps)), options.unit),
        size_text(search.panel_mm, options.unit));
  }
  const auto& row = history::cause_row(proved.cause);
  if (!row.habit.empty()) text += fmt::format("Habit for the card: {}\n", row.habit);
  return text + spared_text(search);
}

}  // namespace quarterturn::report
