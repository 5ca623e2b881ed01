// SPDX-License-Identifier: MIT
#include "cli/dialogue.hpp"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <utility>

#include "cli/help_topics.hpp"
#include "cli/question_help.hpp"
#include "cli/said.hpp"
#include "cli/terminal.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kMarkColumns = 3;  ///< ` ▸ ` behind a question
constexpr int kRoomToType = 8;   ///< kept free behind it, so that the answer stands on its line

/// Words that the prompt obeys, but not while a question is open.
constexpr std::array<std::string_view, 12> kElsewhere{
    "check", "more", "correct", "ways", "why", "station", "shims", "caliper", "done", "redo", "keep", "skip"};

/// In small letters.
std::string first_word(const std::string& typed) {
  return units::lowered(typed.substr(0, typed.find_first_of(" \t")));
}

/// Whether the question holds that word: `keep 3 or redo 3` speaks of keep.
bool speaks_of(const std::string& question, const std::string& word) {
  const auto letter = [&](std::size_t at) {
    return at < question.size() && ((question[at] | 0x20) >= 'a' && (question[at] | 0x20) <= 'z');
  };
  for (auto at = question.find(word); at != std::string::npos; at = question.find(word, at + 1)) {
    if ((at == 0 || !letter(at - 1)) && !letter(at + word.size())) return true;
  }
  return false;
}

}  // namespace

bool Dialogue::is_with_person() const {
  return bells_ && ::isatty(STDIN_FILENO) == 1;
}

void Dialogue::show(const std::string& text) {
  shown_last_ = text;
  say(text);
}

void Dialogue::live() {
  const auto before = transcript.go_live();
  if (!before) return;
  if (on_live) on_live(*before);
  if (!shown_last_.empty()) say(shown_last_);
}

void Dialogue::say(const std::string& text) {
  if (transcript.is_past()) return;
  const std::string shown = report::finished(text, options);
  if (!write_all(STDOUT_FILENO, shown)) throw OutputGone{};
}

void Dialogue::bell(int times) {
  if (bells_ && !quiet && !transcript.is_past())
    write_all(STDOUT_FILENO, std::string(static_cast<std::size_t>(times), '\a'));
}

std::string Dialogue::shown(const std::string& question) const {
  std::string mark = options.unicode ? "▸ " : "> ";
  if (question.empty()) return mark;
  const auto needed = static_cast<int>(report::columns_of(question)) + kMarkColumns + kRoomToType;
  const bool fits = options.plain || needed <= options.width;
  return (fits ? question : report::wrapped(question, options.width - kMarkColumns - kRoomToType)) + " " +
         mark;
}

std::optional<std::string> Dialogue::read(const std::string& question, bool command,
                                          const std::vector<std::string>& offered) {
  const CompletionContext context{command, offered, known};
  // The window may have been drawn wider, before the question and while it stood.
  const auto look = [this] {
    if (!bells_) return;
    const Terminal now = look_at_terminal();
    options.width = now.width;
    options.window = now.window;
  };
  for (;;) {
    look();
    const std::string text = shown(question);
    lines_.expect({command, [&context](std::string_view typed, std::size_t cursor) {
                     return completed(typed, cursor, context);
                   }});
    try {
      auto typed = lines_.next(options.unicode ? text : report::ascii(text));
      look();
      if (!typed) return std::nullopt;
      return std::string(units::trimmed(*typed));
    } catch (const LineDropped& dropped) {
      bool& told = command ? told_at_command_ : told_at_question_;
      if (dropped.was_empty && !std::exchange(told, true)) {
        say(command ? "  'quit' or Ctrl-D ends the program.\n"
                    : "  'later' leaves this question, 'quit' or Ctrl-D the program.\n");
      }
    }
  }
}

std::optional<std::string> Dialogue::line(const std::string& question,
                                          const std::vector<std::string>& offered) {
  transcript.hand_on();
  if (auto given = transcript.next(question)) return given;
  live();
  auto answer = read(question, false, offered);
  if (answer) transcript.typed(question, *answer);
  return answer;
}

std::optional<std::string> Dialogue::command(const std::string& question) {
  return read(question, true, {});
}

bool Dialogue::handled_everywhere(const std::string& typed) {
  if (typed == "?" || typed == "help" || typed.starts_with("help ")) {
    transcript.forget_last();
    say(prompt_help(std::string(units::trimmed(typed.substr(typed == "?" ? 1 : 4))), options));
  } else if (typed == "quiet") {
    transcript.forget_last();
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

void Dialogue::leave(Leave::Why why) {
  transcript.forget_last();
  if (at_stake == 0 || nothing_lost) throw Leave{why};
  // None while this is asked: the same word again leaves.
  const std::size_t stake = std::exchange(at_stake, 0);
  const bool asked_before = std::exchange(leaving_, true);
  const auto done = [&] { leaving_ = asked_before; };
  const bool quits = why == Leave::Why::quit;
  try {
    if (yes("That loses " + (stake == 1 ? "the reading" : "the " + std::to_string(stake) + " readings") +
                " of this " + at_stake_of + ". " + (quits ? "Quit" : "Leave it") + " all the same?",
            false))
      throw Leave{why};
  } catch (const Back&) {
    // Taken back: as if it had not been typed.
  } catch (const Leave& other) {
    done();
    transcript.forget_last();
    throw Leave{other.why == Leave::Why::end_of_input && quits ? why : other.why};
  }
  transcript.forget_last();
  done();
  at_stake = stake;
}

void Dialogue::leave_by_key() {
  say("\n");
  if (leaving_) throw Leave{Leave::Why::quit};
  if (at_stake > 0 && !nothing_lost) {
    leave(Leave::Why::quit);
    return;
  }
  leaving_ = true;
  bool leaves = false;
  try {
    leaves = yes(nothing_lost ? "What was typed is kept. Quit all the same?"
                              : "This question is still open. Quit all the same?",
                 false);

  } catch (const Back&) {
    // Taken back: as if the key had not been pressed.
  } catch (const Leave&) {
    leaving_ = false;
    transcript.forget_last();
    throw;
  }
  leaving_ = false;
  transcript.forget_last();  // it is no answer of the conversation
  if (leaves) throw Leave{Leave::Why::quit};
}

/// What it wants, and the words that are understood at every question.
void Dialogue::explain(const std::string& question) {
  transcript.forget_last();
  const std::string wants = question_help(question, options.unit);
  const char* enter = question.ends_with(']') ? " Enter takes what stands in brackets." : "";
  say((wants.empty() ? "" : "  " + wants + enter + "\n") +
      "  undo goes back, later leaves, quit ends. More: " + help_words() + ".\n");
}

bool Dialogue::handled_at_question(const std::optional<std::string>& typed, const std::string& question) {
  if (!typed) {
    if (!lines_.end_was_typed()) throw Leave{Leave::Why::end_of_input};
    leave_by_key();
    return true;
  }
  const std::string small = units::lowered(*typed);
  if (small == "quit" || small == "later") {
    leave(small == "quit" ? Leave::Why::quit : Leave::Why::later);
    return true;
  }
  if (small == "?" || small == "help") {
    explain(question);
    return true;
  }
  return handled_everywhere(small);
}

void Dialogue::refuse(const std::string& typed, const std::string& question) {
  transcript.forget_last();
  const std::string word = first_word(typed);
  if (std::find(kElsewhere.begin(), kElsewhere.end(), word) != kElsewhere.end() &&
      !speaks_of(question, word)) {
    say("'" + word +
        "' has to wait: this question wants an answer first. 'undo' goes back one question, 'later' leaves, "
        "'quit' ends the program.\n");
  } else {
    say(said_of_current_exception().err);
  }
  bell(2);
}

void Dialogue::ask(const std::string& question, const std::optional<std::string>& fallback,
                   const std::function<void(const std::string&)>& take,
                   const std::vector<std::string>& offered) {
  const std::string text = question + (fallback && !fallback->empty() ? " [" + *fallback + "]" : "");
  for (;;) {
    const auto typed = line(text, offered);
    try {
      if (handled_at_question(typed, text)) continue;
      if (units::lowered(*typed) == "undo") throw Back{};
      take(typed->empty() ? fallback.value_or("") : *typed);
      return;
    } catch (const units::InputError&) {
      refuse(*typed, question);
    } catch (const UsageError&) {
      refuse(*typed, question);
    }
  }
}

std::size_t Dialogue::choose(const std::string& question, const std::optional<std::string>& fallback,
                             const std::vector<std::string>& words) {
  std::size_t chosen = 0;
  const auto take = [&](const std::string& typed) {
    const std::string small = units::lowered(typed);
    auto found = std::find(words.begin(), words.end(), small);
    if (found == words.end()) {
      // 'no' is no beginning of 'now'.
      const bool beginning = !small.empty() && small != "no";
      const auto begins = [&](const auto& word) { return beginning && word.starts_with(small); };
      found = std::find_if(words.begin(), words.end(), begins);
      if (found == words.end() || std::count_if(words.begin(), words.end(), begins) > 1) {
        throw units::InputError("answer", typed.empty() ? std::string(units::kMissing) : typed,
                                units::one_of(words));
      }
    }
    chosen = static_cast<std::size_t>(found - words.begin());
  };
  ask(question, fallback, take, words);
  return chosen;
}

bool Dialogue::yes(const std::string& question, bool fallback) {
  return choose(question, fallback ? "yes" : "no", {"yes", "no"}) == 0;
}

}  // namespace quarterturn::cli
