// SPDX-License-Identifier: MIT
#include "cli/prompt.hpp"

#include <unistd.h>

#include <algorithm>

#include "cli/clock_note.hpp"
#include "cli/completion_sources.hpp"
#include "cli/dialogue.hpp"
#include "cli/folders.hpp"
#include "cli/line_source.hpp"
#include "cli/options.hpp"
#include "cli/prompt_session.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

/// Words that only the prompt knows, for 'did you mean'.
const std::vector<std::string>& prompt_words() {
  static const std::vector<std::string> words{
      "check", "more",    "correct", "ways",   "why",   "plan",   "station", "shims", "caliper",
      "log",   "history", "find",    "survey", "quiet", "units",  "help",    "quit",  "done",
      "later", "undo",    "redo",    "keep",   "skip",  "drafts", "report"};
  return words;
}

/// After which one may stand elsewhere on the way.
bool takes_a_step(const std::string& word) {
  static const std::vector<std::string> words{"check", "more", "correct", "find", "log"};
  return std::find(words.begin(), words.end(), word) != words.end();
}

/// Words besides checks whose answer `why` explains.
bool is_explained(const std::string& word) {
  return word == "history" || word == "plan" || word == "survey";
}

[[noreturn]] void not_now(const std::string& word) {
  static const std::vector<std::string> elsewhere{"done", "later", "undo", "redo", "keep", "skip"};
  if (std::find(elsewhere.begin(), elsewhere.end(), word) != elsewhere.end()) {
    throw UsageError("'" + word + "' answers a question, and none is open. Hint: check, or correct");
  }
  const std::string hint = units::did_you_mean(word, prompt_words());
  throw UsageError("'" + units::inert(word) +
                   "' is not known here, but must be one of the words that 'help' lists." +
                   (hint.empty() ? "" : " Hint: " + hint));
}

std::string joined(const std::vector<std::string>& words, std::size_t from) {
  std::string text;
  for (std::size_t i = from; i < words.size(); ++i) text += (text.empty() ? "" : " ") + words[i];
  return text;
}

}  // namespace

Context Session::in_use() const {
  Context context = context_;
  context.terminal.unicode = talk_.options.unicode;
  context.station = station_ ? station_->name : "";
  return context;
}

void Session::take_station(const std::string& name) {
  station_ = context_.store->find(name);
  last_.reset();
  kept_.reset();
  taken_up_.clear();
  moved_.reset();
  panel_.reset();  // the panel in hand, too, is another one
  apart_mm_ = strip_mm_ = 0;
  cuts_ = 0;
  search_.reset();
  surveyed_.reset();
  talk_.say("  Station " + units::inert(station_->name) + ".\n");
  say_state();
  thread_told_.clear();
  say_thread(true);
}

void Session::greet() {
  const auto names = context_.store->list();
  talk_.say(clock_note(context_));
  if (names.empty()) {
    offer_draft();
    if (station_) return;
    talk_.say("No station yet. A first table: describe it, 'check' it, 'correct' it, check again.\n");
    line_ = "station add";
    describe_station();
  } else if (names.size() == 1) {
    take_station(names.front());
  } else {
    talk_.say("Stations:\n" + stations_text(context_, talk_.options));
    talk_.ask(
        "which", names.front(), [&](const std::string& typed) { take_station(typed); }, names);
  }
}

void Session::station_word(const std::vector<std::string>& words) {
  if (words.size() == 2 && words[1] == "add") {
    describe_station();
    return;
  }
  const auto names = context_.store->list();
  if (words.size() == 2 && std::find(names.begin(), names.end(), words[1]) != names.end()) {
    take_station(words[1]);
    offer_draft();
    return;
  }
  const Said said =
      run_word(in_use(), parse(words.size() == 1 ? std::vector<std::string>{"station", "list"} : words));
  talk_.say(said.out + said.err);
  // What was changed is in use at once; a new name too.
  if (words.size() == 4 && words[1] == "rename" && station_ && station_->name == words[2])
    station_ = context_.store->find(words[3]);
  else if (station_ && words.size() > 1 && words[1] == "set")
    station_ = context_.store->find(station_->name);
}

void Session::obey_word(const std::vector<std::string>& words) {
  const auto& word = words.front();
  correcting_ = word == "correct";
  if (word != "why" && (is_explained(word) || takes_a_step(word) || word == "station")) asked_ = words;
  if (word == "check") {
    if (words.size() == 1)
      guided_check(std::nullopt);
    else
      check_of_words(words);
  } else if (word == "more") {
    more_cuts();
  } else if (word == "correct" && words.size() == 1) {
    correct_now();
  } else if (word == "correct" && words.size() == 3 && words[1] == "--survey") {
    const auto& request = last().request;
    if (!request.station)
      throw UsageError("the last check has no station, whose holes a survey could tell of.");
    surveyed_ = survey_of_file(in_use(), words[2], *request.station);
    correct_now();
  } else if (word == "ways") {
    ask_survey();
    talk_.say(report::ways_text(last().outcome, talk_.options));
  } else if (word == "why") {
    why();
  } else if (word == "find" && words.size() == 1) {
    find_now();
  } else if (word == "survey" && words.size() == 1) {
    guided_survey();
  } else if (word == "log") {
    const Said said = run_word(in_use(), parse(words));
    talk_.say(said.out + said.err);
    if (kept_) {  // what was amended or withdrawn is taken up anew
      const auto now = context_.log->check(kept_->made.id);
      if (now.withdrawn || now.latest.id != kept_->latest.id) last_.reset();
      if (!last_) kept_.reset();
    }
  } else if (word == "drafts") {
    drafts_word(words);
  } else if (word == "station") {
    station_word(words);
  } else if ((word == "shims" || word == "caliper") && words.size() > 2 && words[1] == "add" &&
             word == "shims") {
    const Said said = run_word(in_use(), parse({word, "add", joined(words, 2)}));
    talk_.say(said.out + said.err);
    if (station_) station_ = context_.store->find(station_->name);
  } else if (find_word(word) != nullptr) {
    const Parsed parsed = parse(words);
    if (std::ranges::find(parsed.arguments, "-") != parsed.arguments.end())
      throw UsageError("'-' is standard input, which the questions use: give a FILE.");
    const Said said = run_word(in_use(), parsed);
    talk_.say(said.out + said.err);
    if (word == "survey" && !parsed.has("--help") && !parsed.has("--plan"))
      surveyed_ = survey_of_words(in_use(), parsed);
    if (station_) station_ = context_.store->find(station_->name);
  } else {
    not_now(word);
  }
}

/// False: the person leaves.
bool Session::obey(const std::string& typed) {
  if (typed.empty()) return true;
  const std::string small = units::lowered(typed);
  if (small == "quit") return false;
  try {
    if (talk_.handled_everywhere(small)) return true;
    told_ = 0;
    taken_up_told_ = false;
    rail_kept_ = false;
    context_.now_utc = context_.clock();  // an evening at the prompt may run past midnight
    auto words = words_of_line(typed);
    if (words.empty()) return true;
    words.front() = units::lowered(words.front());
    line_ = typed;
    obey_word(words);
    finish_draft();
    if (takes_a_step(words.front())) say_thread();
  } catch (const Leave& leave) {
    const bool stays = leave_draft();
    if (leave.why != Leave::Why::later) throw;
    checking_ = false;
    talk_.say(stays && told_ > 0      ? "  Left for later: 'more' goes on with it.\n"
              : stays && !correcting_ ? "  Left for later: 'drafts' goes on with it.\n"
              : rail_kept_            ? "  Left for later; the rail test is kept.\n"
              : correcting_           ? "  Left for later; 'correct' comes back to it.\n"
              : told_ == 0            ? "  Left for later; nothing of it is kept.\n"
                           : "  Left for later. What was told so far stands; 'more' goes on from it.\n");
  } catch (const Back&) {
    checking_ = false;
    finish_draft();  // all of it was taken back
    talk_.say("  Left; begin it again when you like.\n");
  } catch (const OutputGone&) {
    throw;
  } catch (...) {
    checking_ = false;
    const std::string fault = said_of_current_exception().err;
    const bool stays = leave_draft();
    talk_.say(fault + (stays ? "  What was typed stays in 'drafts'.\n" : ""));
    talk_.bell(2);
  }
  return true;
}

/// What `quarterturn check` without readings begins with.
std::string Session::first_line() const {
  std::string line = "check";
  for (const auto& argument : confidence_.arguments) line += " " + argument;
  for (const char* option : {"--most-strips", "--strips", "--test", "--form", "--pieces"}) {
    if (const auto value = confidence_.value(option))
      line += std::string(" ") + option + " \"" + *value + "\"";
  }
  return line;
}

int Session::run(bool check_now) {
  talk_.known = [this](Known kind, const std::string& beginning) {
    return known_things(context_, station_, kind, beginning);
  };
  try {
    try {
      greet();
      if (station_ && offer_draft()) check_now = false;
    } catch (const Leave& leave) {
      leave_draft();
      if (leave.why != Leave::Why::later) throw;
      talk_.say("  No station is in use; 'check FILE' reads readings, 'station add' describes one.\n");
    }
    if (check_now && !obey(first_line())) return kComputed;
    for (;;) {
      const auto typed = talk_.command(station_ ? units::inert(station_->name, 30) : "");
      if (!typed && context_.terminal.is_terminal) talk_.say("\n");
      if (!typed || !obey(*typed)) break;
    }
  } catch (const Leave& leave) {
    if (leave.why == Leave::Why::end_of_input && checking_) {
      throw units::InputError("check", "broken off", "answered to its end", {"standard input", 0, 0},
                              told_ == 0 ? "nothing of it was computed"
                                         : "the strips that were told stand; this one was not computed");
    }
  }
  return kComputed;
}

Said run_prompt(const Context& context, const Parsed& parsed, bool check_now) {
  bool unicode = false;
  const auto lines = line_source(unicode);
  Context here = context;
  here.spare_drafts = spare_drafts(context.log->path());
  here.terminal.unicode = unicode;
  Dialogue talk(*lines, text_options(here, parsed, units::Unit::mm), context.terminal.is_terminal);
  talk.options.unicode = unicode;
  Session session(here, parsed, talk);
  Said said;
  said.status = session.run(check_now);
  return said;
}

}  // namespace quarterturn::cli
