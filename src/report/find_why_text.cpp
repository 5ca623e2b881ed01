// SPDX-License-Identifier: MIT
// Why the first suspect leads and others are out: what each answer made of their chances.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr std::size_t kTold = 5;

double chance_of(const history::Search& search, const history::CauseRow* row) {
  const auto found = std::ranges::find(search.found.suspects, row, &history::Suspect::row);
  return found == search.found.suspects.end() ? 0 : found->probability;
}

std::string of_hundred(double chance) {
  return chance < 0.01 ? "under 1" : fmt::format("{:.0f}", 100 * std::min(chance, 0.99));
}

/// `after 'Does a slip of paper … ?' no`
std::string after_words(const history::Search& search, const std::string& code, units::Unit unit) {
  const auto* row = history::find_test_row(code);
  const auto answer = search.answers.find(code);
  if (row == nullptr || answer == search.answers.end()) return "";
  return fmt::format("after '{}' {}", row->ask, answer_words(answer->second, unit));
}

/// Leader and the likeliest, at first and now.
std::vector<const history::CauseRow*> told_rows(const history::Search& first, const history::Search& now) {
  std::vector<const history::CauseRow*> rows;
  const auto add = [&](const history::Search& search, std::size_t most) {
    for (std::size_t k = 0; k < std::min(most, search.found.suspects.size()); ++k) {
      const auto* row = search.found.suspects[k].row;
      if (rows.size() < kTold && std::ranges::find(rows, row) == rows.end()) rows.push_back(row);
    }
  };
  add(now, 2);
  add(first, 4);
  return rows;
}

std::string course_words(const std::vector<history::Search>& stages, const std::vector<std::string>& asked,
                         const history::CauseRow* row, units::Unit unit) {
  const double at_first = chance_of(stages.front(), row), now = chance_of(stages.back(), row);
  std::string text = fmt::format("- {}: {}", row->words, of_hundred(at_first));
  if (stages.size() < 2) return text + ".\n";
  text += fmt::format(" before the answers, {} now", of_hundred(now));
  // The answer that did most to it, as a factor.
  std::size_t most = 0;
  double factor = 1.25;  // less is no news
  for (std::size_t k = 1; k < stages.size(); ++k) {
    const double before = std::max(chance_of(stages[k - 1], row), 1e-6),
                 after = std::max(chance_of(stages[k], row), 1e-6);
    const double change = now >= at_first ? after / before : before / after;
    if (change > factor) {
      factor = change;
      most = k;
    }
  }
  if (most > 0)
    text += fmt::format("; most {} {}", now >= at_first ? "gained" : "lost",
                        after_words(stages.back(), asked[most - 1], unit));
  return text + ".\n";
}

}  // namespace

std::string find_why_text(const std::vector<history::Search>& stages, const std::vector<std::string>& asked,
                          const TextOptions& options) {
  const auto& now = stages.back();
  const auto& found = now.found;
  const auto mm = [&](double rad) {
    return length_text(std::fabs(over_panel(now.panel_mm, rad)), options.unit);
  };
  std::string text;
  if (found.good) {
    const auto& then = now.names[*found.good];
    const double times = stats::t_quantile(0.5 * (1 + now.confidence), found.change_dof);
    text = fmt::format(
        "{} and {} ({}) differ by {} over {}; chance alone makes that differ by up to {} in {:.0f} of 100.\n",
        units::inert(now.names.back().name), units::inert(then.name), then.date, mm(found.change),
        size_text(now.panel_mm, options.unit), mm(times * found.change_u), 100 * now.confidence);
  }
  text += fmt::format(
      "Each cause was held, with every size it may have, against {} check{} of this station, what happened "
      "between them and each answer. Chances of 100\n",
      now.scene.checks.size(), now.scene.checks.size() == 1 ? "" : "s");
  for (const auto* row : told_rows(stages.front(), now))
    text += course_words(stages, asked, row, options.unit);
  const auto& best = found.suspects.front();
  const std::string effect = mm(best.effect);
  if (best.row->code != "chance" && effect != length_text(0, options.unit))
    text += fmt::format("The first would make {} of the {} that the corner is off.\n", effect,
                        mm(now.scene.checks.back().eps));
  return finished(text + "Only causes of a table are weighed; one at a time.\n", options);
}

}  // namespace quarterturn::report
