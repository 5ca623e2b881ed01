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
#include "units/text.hpp"

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

/// `E2 and E10, or A9 and D9 by 0.07 mm`
std::string target_words(const Suspect& suspect, units::Unit unit) {
  std::string words = units::inert(suspect.target, 60);
  for (const auto& other : suspect.also) {
    words += ", or " + units::inert(other.target, 60);
    // The same angle takes another size on another line.
    if (!suspect.row->size_words.empty() && std::fabs(other.size - suspect.size) > 0.005)
      words += " by " + length_text(std::fabs(other.size), unit);
  }
  return words.empty() ? "" : " (" + words + ")";
}

std::string day_words(double day) {
  return files::day_text(static_cast<std::int64_t>(std::floor(day)) * 86400);
}

/// What the log says happened since the last good check.
std::string happened_text(const Search& search) {
  std::string text;
  const auto& good = search.found.good;
  for (const auto& event : search.scene.events) {
    if (event.kind == history::kOtherHand || (good && event.before <= *good)) continue;
    text += (text.empty() ? "" : ", ") + event.kind + " " + day_words(event.date);
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

namespace {

/// Nothing says that it ever was good: what there is may be how it was set up.
bool never_good(const Search& search) {
  const auto& good = search.found.good;
  return !search.now_within && (!good || !search.scene.checks[*good].within);
}

/// Corrections of known size between the good check and the newest: what is told is told beside them.
std::string apart_from(const Search& search) {
  std::string text;
  for (const auto& event : search.scene.events) {
    if (!event.moved || event.before <= *search.found.good) continue;
    text += (text.empty() ? "" : ", ") + day_words(event.date);
  }
  return text.empty() ? "" : ", apart from the correction noted on " + text + ",";
}

/// \param half  of the ± that is told [rad]: what lies inside it is not called a move
std::string moved_text(const Search& search, const std::string& size, double half) {
  const auto& then = search.names[*search.found.good];
  const std::string name = units::inert(then.name);
  const bool opened = search.q * search.found.change > 0;
  if (std::fabs(search.found.change) <= half) {
    return fmt::format(
        "Since {} ({}){} the corner has not moved beyond what the two checks leave open: {}.\n", then.date,
        name, apart_from(search), size);
  }
  const auto& suspects = search.found.suspects;
  const auto chance =
      std::ranges::find_if(suspects, [](const Suspect& suspect) { return suspect.row->code == "chance"; });
  const bool ruled_out = chance == suspects.end() || chance->probability < 0.15;
  return fmt::format(
      "Since {} ({}){} the corner has {} by {}: {}.\n", then.date, name, apart_from(search),
      opened ? "opened" : "closed", size,
      ruled_out ? "not chance" : "more than the two leave open, yet what scatters between checks may do it");
}

std::string since_last_text(const Search& search) {
  std::string text;
  for (const auto& event : search.since_last)
    text += (text.empty() ? "" : ", ") + event.name + " " + event.date;
  return text.empty()
             ? ""
             : "Since the last check: " + text + ". What it did shows in the next check: 'check' first.\n";
}

}  // namespace

std::string change_text(const Search& search, const TextOptions& options) {
  const auto& found = search.found;
  const auto& now = search.names.back();
  const double eta = search.q * found.change;
  const double times = stats::t_quantile(0.5 * (1 + search.confidence), found.change_dof);
  const double half = times * found.change_u;
  const std::string size = plus_minus_text(std::fabs(over_panel(search.panel_mm, eta)),
                                           over_panel(search.panel_mm, half), options.unit) +
                           " over " + size_text(search.panel_mm, options.unit);
  std::string text = since_last_text(search);
  if (search.now_within)
    text += fmt::format("{} of {} is within{}.\n", units::inert(now.name), now.date,
                        nothing_to_find(search) ? ": nothing has to be found" : "; yet it moved");
  if (!found.good) {
    text +=
        fmt::format("{} is the only check of {} {}: the corner is {} 90° by {}.\n", units::inert(now.name),
                    units::inert(search.station), units::inert(search.setup), side_word(eta), size);
  } else {
    text += moved_text(search, size, half);
  }
  if (never_good(search)) {
    text +=
        "No earlier check was within: it may stand so since it was set up. Then nothing is to be found, and "
        "'correct' says what to move.\n";
  } else if (found.good && search.scene.checks[*found.good].within && !search.now_within && found.changed) {
    text += fmt::format("Last good {}: panels cut since may be out.\n", search.names[*found.good].date);
  }
  text += found.good ? happened_text(search) : "";
  for (const auto* test : found.found_aside) {
    text += fmt::format(
        "Found: {}. By its size or place it explains little of what the checks show: put it right "
        "all the same, and check again.\n",
        test->positive);
  }
  return text;
}

bool nothing_to_find(const Search& search) {
  return search.now_within && (!search.found.changed || (search.found.good && !apart_from(search).empty()));
}

std::string test_cost(const history::TestRow& test) {
  return minutes_text(test.minutes) + (test.cuts > 0 ? fmt::format(", {} cuts", test.cuts) : ", no cut");
}

namespace {

char letter_of(std::string_view code, std::vector<std::string>& lettered) {
  auto found = std::ranges::find(lettered, code);
  if (found == lettered.end()) found = lettered.insert(lettered.end(), std::string(code));
  return static_cast<char>('A' + (found - lettered.begin()));
}

}  // namespace

std::string suspects_text(const Search& search, const TextOptions& options,
                          std::vector<std::string>& lettered) {
  std::string text = "What would explain it, and how far each would move the corner over " +
                     size_text(search.panel_mm, options.unit) + "\n";
  for (std::size_t k = 0; k < shown_suspects(search); ++k) {
    const auto& suspect = search.found.suspects[k];
    const bool chance = suspect.row->code == "chance";
    text += fmt::format("- {}  {}", letter_of(suspect.row->code, lettered),
                        chance && never_good(search) ? "nothing has changed: it stands so since it was set up"
                                                     : suspect.row->words);
    text += target_words(suspect, options.unit) + ": ";
    if (!chance) {
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
  if (best.row->code == "chance") {
    return "Nothing went wrong that these checks show. " +
           (never_good(search) ? std::string("'correct' says what to move.") : cure) + "\n";
  }
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

namespace {

/// ` --answer paper-near=yes:0.20`: the line that is shown carries what was answered before.
std::string answers_so_far(const Search& search, units::Unit unit) {
  std::string text;
  for (const auto& [code, answer] : search.answers) {
    if (answer.skipped) continue;
    text += " --answer " + code + (answer.found ? "=yes" : "=no");
    if (answer.mm)
      text += ":" + units::shortest(unit == units::Unit::inch ? *answer.mm / units::kMmPerInch : *answer.mm);
  }
  return text;
}

}  // namespace

std::string find_text(const Search& search, const TextOptions& options) {
  const std::string cure = cure_text(search);
  const auto* next = search.found.next;
  std::string text = change_text(search, options) + cure;
  if (cure.empty() && nothing_to_find(search)) {
    text += "Leave it alone.\n";
  } else if (cure.empty() && next != nullptr) {
    const std::string station = units::inert(search.station);
    const std::string named = station.find(' ') == std::string::npos ? station : "\"" + station + "\"";
    text += fmt::format("Next, {}: {}\n", test_cost(*next), next->ask);
    text += next->answered
                ? fmt::format("  Then: quarterturn find --station {}{} --answer {}=yes{} or {}=no\n", named,
                              answers_so_far(search, options.unit), next->code,
                              next->amount.empty()                ? ""
                              : options.unit == units::Unit::inch ? ":INCHES"
                                                                  : ":MM",
                              next->code)
                : fmt::format("  Then: quarterturn check FILE --save, and quarterturn find --station {}\n",
                              named);
  } else if (cure.empty()) {
    text += "No test tells what is left apart; a further check may.\n";
  }
  std::vector<std::string> lettered;
  text += "\n" + suspects_text(search, options, lettered);
  const std::string spared = spared_text(search);
  if (!spared.empty()) text += "\n" + spared;
  text += "\nOnly causes of a table are weighed; one at a time.\n";
  return finished(text, options) + "\n";
}

}  // namespace quarterturn::report
