// SPDX-License-Identifier: MIT
#include "cli/dialogue.hpp"

#include <unistd.h>

#include "cli/said.hpp"
#include "cli/terminal.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {

void Dialogue::say(const std::string& text) {
  const std::string shown = report::finished(text, options);
  if (!write_all(STDOUT_FILENO, shown)) throw OutputGone{};
}

void Dialogue::bell(int times) {
  if (bells_ && !quiet) write_all(STDOUT_FILENO, std::string(static_cast<std::size_t>(times), '\a'));
}

std::optional<std::string> Dialogue::line(const std::string& question) {
  const std::string shown = question + (question.empty() ? "" : " ") + (options.unicode ? "▸ " : "> ");
  auto typed = lines_.next(options.unicode ? shown : report::ascii(shown));
  if (!typed) return std::nullopt;
  return std::string(units::trimmed(*typed));
}

bool Dialogue::handled_everywhere(const std::string& typed) {
  if (typed == "help" || typed.starts_with("help ")) {
    say(prompt_help(std::string(units::trimmed(typed.substr(4)))));
  } else if (typed == "quiet") {
    quiet = !quiet;
    say(quiet ? "  Bells off.\n" : "  Bells on.\n");
  } else if (typed == "units" || typed.starts_with("units ")) {
    const std::string unit(units::trimmed(typed.substr(5)));
    if (!unit.empty()) options.unit = units::parse_unit(unit);
    say(options.unit == units::Unit::inch ? "  Inches: bare numbers are inches.\n"
                                          : "  Millimetres: bare numbers are millimetres.\n");
  } else {
    return false;
  }
  return true;
}

void Dialogue::ask(const std::string& question, const std::optional<std::string>& fallback,
                   const std::function<void(const std::string&)>& take) {
  const std::string shown = question + (fallback && !fallback->empty() ? " [" + *fallback + "]" : "");
  for (;;) {
    const auto typed = line(shown);
    if (!typed) throw Leave{Leave::Why::end_of_input};
    if (*typed == "quit") throw Leave{Leave::Why::quit};
    if (*typed == "later") throw Leave{Leave::Why::later};
    if (*typed == "undo") throw Back{};
    try {
      if (handled_everywhere(*typed)) continue;
      if (typed->empty() && !fallback) continue;
      take(typed->empty() ? *fallback : *typed);
      return;
    } catch (const units::InputError&) {
      say(said_of_current_exception().err);
    } catch (const UsageError&) {
      say(said_of_current_exception().err);
    }
    bell(2);
  }
}

bool Dialogue::yes(const std::string& question, bool fallback) {
  bool answer = fallback;
  ask(question, fallback ? "yes" : "no", [&](const std::string& typed) {
    const std::string word = units::lowered(typed);
    if (word != "y" && word != "yes" && word != "n" && word != "no")
      throw UsageError("the answer is '" + units::inert(typed) + "', but must be yes or no.");
    answer = word.front() == 'y';
  });
  return answer;
}

}  // namespace quarterturn::cli
