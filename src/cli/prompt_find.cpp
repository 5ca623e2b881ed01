// SPDX-License-Identifier: MIT
// Finding out what went wrong, one test at a time.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "cli/prompt_session.hpp"
#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

/// What may have happened, by its letter.
struct HappenedRow {
  char letter;
  const char* words;
  const char* kind;  ///< of the log's events
};
constexpr std::array<HappenedRow, 10> kHappened{
    {{'k', "knocked", "knocked"},
     {'m', "moved", "moved"},
     {'w', "wet", "wet"},
     {'t', "a dog turned", "dog turned"},
     {'c', "a dog changed", "dog changed"},
     {'l', "loosened or tightened", "loosened"},
     {'r', "other rail", "other rail"},
     {'f', "foil or shim touched", "shim off"},
     {'s', "blade or saw serviced", "saw serviced"},
     {'p', "other person or caliper", history::kOtherHand.data()}}};

std::string letters_words() {
  std::string words;
  for (const auto& row : kHappened) words += fmt::format("  {}  {}\n", row.letter, row.words);
  return words;
}

const HappenedRow& row_of(char letter) {
  const auto found = std::ranges::find(kHappened, letter, &HappenedRow::letter);
  if (found == kHappened.end()) {
    throw units::InputError("answer", std::string(1, letter), "letters of the list, or nothing", {},
                            "for instance: kw");
  }
  return *found;
}

}  // namespace

/// Events that are in the log already are not asked for.
void Session::ask_what_happened(app::FindRequest& request, const history::Search& search) {
  const std::string since = search.names[*search.found.good].date;
  talk_.say("Since " + since + "? Letters, Enter = nothing\n" + letters_words());
  std::string letters;
  talk_.ask("what", std::string(), [&](const std::string& typed) {
    letters.clear();
    for (const char c : units::lowered(typed)) {
      if (c == ' ' || c == ',') continue;
      letters += row_of(c).letter;
    }
  });
  for (const char letter : letters) {
    const auto& row = row_of(letter);
    std::string date;
    if (row.kind != history::kOtherHand)
      talk_.ask(fmt::format("{}: when, as 2026-03-14 [not known]", row.words), std::string(),
                [&](const std::string& typed) {
                  date = typed;
                  if (typed.empty()) return;
                  const std::string day =
                      files::parse_past_date(typed, "date", context_.now_utc).as_typed.substr(0, 10);
                  const std::string& newest = search.names.back().date;
                  if (day < since || day > newest)
                    throw units::InputError("date", typed, "from " + since + " to " + newest, {},
                                            "what happened earlier or later does not explain this check");
                });
    if (date.empty()) {
      history::Happened told;
      told.kind = row.kind;
      request.told.push_back(told);
      if (row.kind != history::kOtherHand)
        talk_.say(fmt::format("  {}: weighed now, not kept in the log, since it has no date.\n", row.words));
    } else {
      app::note_event(*context_.log, search, row.kind, date, context_.now_utc);
      talk_.say(fmt::format("  Kept in the log: {}, {}.\n", row.kind, date));
    }
  }
}

history::Answer Session::ask_same_strip(const history::Search& search) {
  const auto strip = app::last_strip(*context_.log, search);
  const auto unit = talk_.options.unit;
  std::array<double, 2> read{};
  constexpr std::array<const char*, 2> kEnds{"F end", "free end"};
  bool skipped = false;
  const auto ask_end = [&](std::size_t end) {
    talk_.ask(fmt::format("strip {}-{}, {} (skip: it is gone)", strip.from_cut, strip.to_cut, kEnds[end]), {},
              [&](const std::string& typed) {
                skipped = units::lowered(typed) == "skip";
                if (skipped) return;
                const auto words = words_of_line(typed);
                if (words.empty())
                  throw units::InputError("reading", std::string(units::kMissing),
                                          "a reading, such as 22.74");
                double sum = 0;
                for (const auto& word : words) sum += units::parse_length(word, "reading", unit).mm();
                read[end] = sum / static_cast<double>(words.size());
              });
  };
  ask_end(0);
  while (!skipped) {
    try {
      ask_end(1);
      break;
    } catch (const Back&) {
      ask_end(0);
    }
  }
  history::Answer answer;
  answer.skipped = skipped;
  if (skipped) return answer;
  const double difference = read[0] - read[1];
  answer.found = std::fabs(difference - strip.difference_mm) > app::kReadsOtherwiseMm;
  talk_.say(fmt::format("  {} {}: {}\n", report::length_text(difference, unit),
                        answer.found ? "now, " + report::length_text(strip.difference_mm, unit) + " before"
                                     : std::string("again"),
                        answer.found ? "it reads otherwise." : "not the readings."));
  return answer;
}

history::Answer Session::ask_test(const history::TestRow& test, const history::Search& search) {
  if (test.code == "same-strip") return ask_same_strip(search);
  for (;;) {
    history::Answer answer;
    const auto chosen = talk_.choose(std::string(test.ask) + " yes, no, skip", {}, {"yes", "no", "skip"});
    answer.found = chosen == 0;
    answer.skipped = chosen == 2;
    if (!answer.found || test.amount.empty()) return answer;
    try {
      ask_amount(test, answer);
      return answer;
    } catch (const Back&) {
      // to whether anything was found
    }
  }
}

void Session::ask_amount(const history::TestRow& test, history::Answer& answer) {
  const auto unit = talk_.options.unit;
  talk_.ask(fmt::format("{} in {} [not measured]", test.amount, unit == units::Unit::inch ? "inches" : "mm"),
            std::string(), [&](const std::string& typed) {
              answer.mm.reset();
              if (typed.empty()) return;
              const double mm = units::parse_length(typed, test.amount, unit).mm();
              if (!(mm > 0) || mm > 10)
                throw units::InputError(std::string(test.amount), typed, "above 0, at most 10 mm");
              answer.mm = mm;
            });
}

/// What an answer did to the likeliest causes.
void Session::say_change_of_mind(const history::Search& before, const history::Search& now) {
  const auto& was = before.found.suspects.front();
  const auto& is = now.found.suspects.front();
  std::string text = was.row == is.row ? fmt::format("  Still likeliest: {}.", is.row->words)
                                       : fmt::format("  Now likeliest: {}.", is.row->words);
  for (std::size_t k = 0; k < report::shown_suspects(before); ++k) {
    const auto& suspect = before.found.suspects[k];
    const auto found = std::ranges::find(now.found.suspects, suspect.row, &history::Suspect::row);
    if (found != now.found.suspects.end() && history::standing(*found) == history::Standing::out &&
        history::standing(suspect) != history::Standing::out)
      text += fmt::format(" Out: {}.", suspect.row->words);
  }
  talk_.say(report::finished(text + "\n", talk_.options));
}

void Session::end_search(const history::Search& search) {
  const auto* next = search.found.next;
  if (report::nothing_to_find(search)) {
    talk_.say("Leave it alone.\n");
    return;
  }
  if (!search.found.settled()) {
    if (next != nullptr) {
      talk_.say(report::finished(
          fmt::format("Next, {}: {} Then 'check', and 'find' again.\n", report::test_cost(*next), next->ask),
          talk_.options));
    } else {
      talk_.say("No test tells what is left apart. A further check may: 'check', then 'find' again.\n");
    }
    talk_.say(report::finished(report::spared_text(search), talk_.options));
    return;
  }
  talk_.say(report::finished(report::cure_text(search) + report::spared_text(search), talk_.options));
  const auto& best = *search.found.suspects.front().row;
  if (best.code == "chance") return;
  if (!best.habit.empty())
    talk_.say(report::finished("Habit for the card: " + std::string(best.habit) + "\n", talk_.options));
  if (talk_.yes("Note it as the cause?", true)) {
    app::note_cause(*context_.log, search, std::string(best.code), "", context_.now_utc);
    talk_.say(
        "Cause noted. Prove it with five cuts, cuts 1-5 anew: 'check'. Next check in 30 days at the "
        "latest.\n");
  }
}

void Session::find_now() {
  if (!station_) throw UsageError("no station is in use. Hint: 'station NAME' takes one");
  app::FindRequest request;
  request.station = *station_;
  auto search = app::find_step(*context_.log, request);
  const auto& options = talk_.options;
  talk_.say(report::finished(report::change_text(search, options), options));
  if (search.found.good && !search.log_explains && !report::nothing_to_find(search)) {
    ask_what_happened(request, search);
    search = app::find_step(*context_.log, request);
  }
  std::vector<std::string> asked;
  const auto take_back = [&] {
    request.answers.erase(asked.back());
    asked.pop_back();
    search = app::find_step(*context_.log, request);
  };
  for (;;) {
    talk_.say(report::finished(report::suspects_text(search, options), options));
    const auto* next = search.found.next;
    const bool at_end =
        search.found.settled() || next == nullptr || !next->answered || report::nothing_to_find(search);
    try {
      if (at_end) return end_search(search);
      talk_.say(fmt::format("Step {}, {}.\n", asked.size() + 1, report::test_cost(*next)));
      request.answers[std::string(next->code)] = ask_test(*next, search);
    } catch (const Back&) {
      if (asked.empty()) throw;
      take_back();
      continue;
    } catch (const Leave& leave) {
      if (leave.why != Leave::Why::later) throw;
      talk_.say("  Left for later. What was kept in the log stays; the answers are asked again.\n");
      return;
    }
    asked.emplace_back(next->code);
    const auto before = search;
    search = app::find_step(*context_.log, request);
    say_change_of_mind(before, search);
  }
}

}  // namespace quarterturn::cli
