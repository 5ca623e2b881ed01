// SPDX-License-Identifier: MIT
// Finding out what went wrong, one test at a time.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>
#include <utility>

#include "cli/prompt_session.hpp"
#include "files/dates.hpp"
#include "files/spoken_date.hpp"
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

/// The day that was said, of a stretch the middle of what lies between two days, with the words for it.
std::pair<std::string, std::string> Session::between(const std::string& typed, const std::string& since,
                                                     const std::string& until) const {
  const std::int64_t from = files::parse_date(since, "date").day, to = files::parse_date(until, "date").day;
  auto said = files::parse_spoken_date(typed, "date", context_.now_utc, to);
  said.first = std::max(said.first, from);
  said.last = std::min(said.last, to);
  if (said.first > said.last) {
    throw units::InputError("date", typed, "from " + since + " to " + until, {},
                            "what happened earlier or later does not explain this check");
  }
  return {files::iso_day(said.middle()), said.about};
}

/// Events that are in the log already are not asked for. \param bad  id of the check to explain
void Session::ask_what_happened(const history::Search& search, const std::string& bad) {
  const std::string since = search.names[*search.found.good].date;
  talk_.say("Since " + since + "? Letters, Enter = nothing\n" + letters_words());
  std::string letters;
  talk_.ask("what", std::string(), [&](const std::string& typed) {
    letters.clear();
    for (const char c : units::lowered(typed)) {
      if (c == ' ' || c == ',') continue;
      if (letters.find(row_of(c).letter) == std::string::npos) letters += c;
    }
  });
  if (letters.empty()) app::remember(*context_.log, bad, {files::FindNote::Kind::happened, "", {}});
  // All is asked before any of it is kept: what is left half way is asked anew.
  std::vector<std::pair<std::string, std::string>> when(
      letters.size());  // date, and what it is the middle of
  for (std::size_t k = 0; k < letters.size();) {
    const auto& row = row_of(letters[k]);
    if (row.kind == history::kOtherHand) {
      ++k;
      continue;
    }
    try {
      talk_.ask(fmt::format("{}: when, as October, 9 Aug or last week [not known]", row.words), std::string(),
                [&](const std::string& typed) {
                  when[k] = typed.empty() ? std::pair<std::string, std::string>{}
                                          : between(typed, since, search.names.back().date);
                });
      ++k;
    } catch (const Back&) {
      if (k == 0) throw;
      --k;
    }
  }
  context_.log->together([&] {
    for (std::size_t k = 0; k < letters.size(); ++k)
      keep_happened(search, bad, letters[k], when[k].first, when[k].second);
  });
}

/// \param date  empty: not known \param about  what it is the middle of, `October 2025`, or empty
void Session::keep_happened(const history::Search& search, const std::string& bad, char letter,
                            const std::string& date, const std::string& about) {
  const auto& row = row_of(letter);
  if (date.empty()) {
    app::remember(*context_.log, bad, {files::FindNote::Kind::happened, row.kind, {}});
    if (row.kind != history::kOtherHand)
      talk_.say(fmt::format("  {}: weighed in this search, no event of the log, since it has no date.\n",
                            row.words));
  } else {
    app::note_event(*context_.log, search, row.kind, date, context_.now_utc, about);
    talk_.say(fmt::format("  Kept in the log: {}, {}{}.\n", row.kind, date,
                          about.empty() ? "" : " (about " + about + ")"));
  }
}

/// What was answered before is in the log; these readings are a draft until they are an answer.
history::Answer Session::ask_same_strip(const history::Search& search) {
  begin_draft("find", search.scene.checks.back().check_id);
  auto answer = read_same_strip(search);
  finish_draft();
  return answer;
}

history::Answer Session::read_same_strip(const history::Search& search) {
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
                throw units::InputError(std::string(test.amount), typed,
                                        "above 0, at most " + report::size_text(10, unit));
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

void Session::find_now() {
  if (!station_) throw UsageError("no station is in use. Hint: 'station NAME' takes one");
  auto& log = *context_.log;
  app::FindRequest request;
  request.station = *station_;
  auto search = app::find_step(log, request);
  const std::string bad = search.scene.checks.back().check_id;
  const auto& options = talk_.options;
  talk_.say(report::finished(report::change_text(search, options), options));
  const bool open = search.found.good && !report::nothing_to_find(search);
  const auto known = app::remembered_of(log, bad);
  request.answers = known.answers;
  request.told = known.told;
  search_ = FindAsked{request, known.order};
  if (letters_.first != bad) letters_ = {bad, {}};
  if (!report::nothing_to_find(search) && say_noted_before(bad)) return;
  if (open && !search.log_explains && !known.what_happened) ask_what_happened(search, bad);
  const auto past = app::remembered_of(log, bad);
  request.answers = past.answers;
  request.told = past.told;
  std::vector<std::string> asked = past.order;
  talk_.say(report::finished(report::answered_text(past.answers, asked, past.told, options), options));
  search = app::find_step(log, request);
  search_ = FindAsked{request, asked};
  const auto take_back = [&] {
    app::remember(log, bad, {files::FindNote::Kind::taken_back, asked.back(), {}});
    request.answers.erase(asked.back());
    asked.pop_back();
    search = app::find_step(log, request);
  };
  bool prove = false;
  std::string told;
  for (;;) {
    // After an answer that changed nothing the same table is not told twice.
    const std::string suspects = report::suspects_text(search, options, letters_.second);
    if (suspects != std::exchange(told, suspects)) talk_.say(report::finished(suspects, options));
    const auto* next = search.found.next;
    const bool at_end =
        search.found.settled() || next == nullptr || !next->answered || report::nothing_to_find(search);
    try {
      if (at_end) {
        prove = end_search(search, asked.size());
        break;
      }
      talk_.say(fmt::format("Step {}, {}.\n", asked.size() + 1, report::test_cost(*next)));
      request.answers[std::string(next->code)] = ask_test(*next, search);
    } catch (const Back&) {
      if (asked.empty()) throw;
      take_back();
      continue;
    } catch (const Leave& leave) {
      leave_draft();
      if (leave.why != Leave::Why::later) throw;
      talk_.say("  Left for later. What was answered is kept; 'find' goes on from it.\n");
      return;
    }
    asked.emplace_back(next->code);
    app::remember(log, bad, {files::FindNote::Kind::answer, asked.back(), request.answers[asked.back()]});
    search_ = FindAsked{request, asked};
    const auto before = search;
    search = app::find_step(log, request);
    say_change_of_mind(before, search);
  }
  if (!prove) return;
  line_ = "check";
  guided_check(std::nullopt);
}

}  // namespace quarterturn::cli
