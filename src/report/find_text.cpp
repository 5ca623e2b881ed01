// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using history::Search;
using history::Standing;
using history::Suspect;

/// `opens it by 0.17 mm`: how far the kept corner would move.
std::string effect_words(const Search& search, const Suspect& suspect, units::Unit unit) {
  const double eta = search.q * suspect.effect;
  const std::string amount = length_text(std::fabs(over_panel(search.panel_mm, eta)), unit);
  if (amount == length_text(0, unit)) return "moves it by about nothing";
  return (eta > 0 ? "opens it by " : "closes it by ") + amount;
}

/// `E2 and E10, or A9 and D9`
std::string target_words(const Suspect& suspect) {
  std::string words = suspect.target;
  for (const auto& other : suspect.also) words += ", or " + other;
  return words.empty() ? "" : " (" + units::inert(words, 80) + ")";
}

/// What the log says happened since the last good check.
std::string happened_text(const Search& search) {
  std::string text;
  const auto& good = search.found.good;
  for (const auto& event : search.scene.events) {
    if (event.kind == history::kOtherHand || (good && event.before <= *good)) continue;
    text += (text.empty() ? "" : ", ") + event.kind + " " +
            files::day_text(static_cast<std::int64_t>(std::floor(event.date)) * 86400);
  }
  return text.empty() ? "" : "Since then in the log: " + text + ".\n";
}

const char* standing_words(Standing standing) {
  switch (standing) {
    case Standing::best:
      return "fits best";
    case Standing::fits:
      return "fits";
    case Standing::possible:
      return "possible";
    case Standing::unlikely:
      return "unlikely";
    case Standing::out:
      break;
  }
  return "out";
}

std::string size_words(const Suspect& suspect, units::Unit unit) {
  if (suspect.row->size_words.empty()) return "";
  std::string words(suspect.row->size_words);
  const auto at = words.find("{size}");
  words.replace(at, 6, length_text(std::fabs(suspect.size), unit));
  return words;
}

}  // namespace

std::size_t shown_suspects(const Search& search) {
  const auto& suspects = search.found.suspects;
  std::size_t shown = 0;
  while (shown < std::min(kMostSuspects, suspects.size()) &&
         (shown < 2 || suspects[shown].probability >= 0.02))
    ++shown;
  return shown;
}

std::string change_text(const Search& search, const TextOptions& options) {
  const auto& found = search.found;
  const auto& now = search.names.back();
  const double eta = search.q * found.change;
  const double half = std::fabs(over_panel(search.panel_mm, stats::kTwoSided95 * found.change_u));
  const std::string size = plus_minus_text(std::fabs(over_panel(search.panel_mm, eta)), half, options.unit) +
                           " over " + size_text(search.panel_mm, options.unit);
  if (!found.good) {
    return fmt::format("{} is the only check of {} {}: the corner is {} 90° by {}.\n", units::inert(now.name),
                       units::inert(search.station), units::inert(search.setup), side_word(eta), size);
  }
  const auto& then = search.names[*found.good];
  const bool was_good = search.scene.checks[*found.good].within;
  std::string text =
      found.changed
          ? fmt::format("Since {} ({}) the corner has {} by {}: not chance.\n", then.date,
                        units::inert(then.name), eta > 0 ? "opened" : "closed", size)
          : fmt::format("Since {} ({}) the corner has not moved beyond what the two checks leave open: {}.\n",
                        then.date, units::inert(then.name), size);
  if (!was_good) text += "No earlier check was within: it may never have been good.\n";
  if (was_good && !search.now_within && found.changed)
    text += fmt::format("Last good {}: panels cut since may be out.\n", then.date);
  return text + happened_text(search);
}

std::string test_cost(const history::TestRow& test) {
  return minutes_text(test.minutes) + (test.cuts > 0 ? fmt::format(", {} cuts", test.cuts) : ", no cut");
}

std::string suspects_text(const Search& search, const TextOptions& options) {
  std::string text = "What would explain it, and how far each would move the corner over " +
                     size_text(search.panel_mm, options.unit) + "\n";
  for (std::size_t k = 0; k < shown_suspects(search); ++k) {
    const auto& suspect = search.found.suspects[k];
    text += fmt::format("- {}  {}", static_cast<char>('A' + k), suspect.row->words);
    text += target_words(suspect) + ": ";
    if (suspect.row->code != "chance") {
      const std::string size = size_words(suspect, options.unit);
      text += effect_words(search, suspect, options.unit) + (size.empty() ? "" : ", " + size) + "; ";
    }
    text += std::string(standing_words(history::standing(suspect))) + "\n";
  }
  return text;
}

std::string cure_text(const Search& search) {
  if (!search.found.settled()) return "";
  const auto& best = search.found.suspects.front();
  const std::string cure(best.row->cure);
  if (best.row->code == "chance") return "Nothing went wrong that these checks show. " + cure + "\n";
  return fmt::format("Found, with {} of 100: {}.\nSaw unplugged. {}\n",
                     std::min(99, static_cast<int>(std::floor(100 * best.probability))), best.row->words,
                     cure);
}

std::string spared_text(const Search& search) {
  std::string text, spared;
  for (const auto why : search.found.inseparable) text += "- " + std::string(why) + "\n";
  if (!text.empty()) text = "What no test of this setup can tell apart\n" + text;
  if (!search.found.settled()) return text;
  for (const auto* test : search.found.not_needed) {
    if (test->cuts == 0 && test->minutes < 10) continue;
    spared += fmt::format("- {} ({})\n", test->ask, test_cost(*test));
  }
  return spared.empty() ? text : text + "Not needed, and what they would have cost\n" + spared;
}

std::string find_text(const Search& search, const TextOptions& options) {
  const std::string cure = cure_text(search);
  const auto* next = search.found.next;
  std::string text = change_text(search, options) + cure;
  if (cure.empty() && next != nullptr) {
    const std::string station = units::inert(search.station);
    const std::string named = station.find(' ') == std::string::npos ? station : "\"" + station + "\"";
    text += fmt::format("Next, {}: {}\n", test_cost(*next), next->ask);
    text += next->answered
                ? fmt::format("  Then: quarterturn find --station {} --answer {}=yes{} or {}=no\n", named,
                              next->code, next->amount.empty() ? "" : ":MM", next->code)
                : fmt::format("  Then: quarterturn check FILE --save, and quarterturn find --station {}\n",
                              named);
  } else if (cure.empty()) {
    text += "No test tells what is left apart; a further check may.\n";
  }
  text += "\n" + suspects_text(search, options);
  const std::string spared = spared_text(search);
  if (!spared.empty()) text += "\n" + spared;
  text += "\nOnly causes of a table are weighed; one at a time.\n";
  return finished(text, options) + "\n";
}

}  // namespace quarterturn::report
