// SPDX-License-Identifier: MIT
// `survey` at the prompt: what is proposed next, and the words that steer it.
#include "cli/prompt_survey.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "cli/prompt_session.hpp"
#include "cli/said.hpp"
#include "report/amounts.hpp"
#include "report/survey_where.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
void Session::guided_survey() {
  if (!station_) throw UsageError("no station is in use. Hint: station add describes one");
  SurveyTalk talk(talk_, in_use(), *station_);
  talk.run();
  if (talk.path().empty()) return;
  asked_ = {"survey", talk.path()};
  surveyed_ = survey_of_words(in_use(), parse(asked_));  // `correct` and `why` know it
}

void SurveyTalk::run() {
  try {
    begin();
    settle_open();
    while (!finished_) step();
  } catch (const Leave& leave) {
    if (!book_) throw;
    hold_on_to(leave);
    if (leave.why != Leave::Why::later) throw;
  }
}

std::string SurveyTalk::counts() const {
  return fmt::format("{} measured, {} to go", book_->file().rows.size(), book_->waiting().size());
}

/// Where it is kept, and how it goes on.
void SurveyTalk::hold_on_to(const Leave& leave) {
  if (leave.why == Leave::Why::end_of_input) talk_.say("\n");
  talk_.say(fmt::format("  Kept in {}: {}. To go on: 'survey' at the prompt, and that file.\n",
                        units::inert(path_, path_.size()), counts()));
}

/// Where to go next, told once: with the holes around it, or in words alone.
void SurveyTalk::propose() {
  const auto waiting = book_->waiting();
  const std::string now = redo_             ? "again"
                          : waiting.empty() ? "none"
                                            : report::short_words(station_, waiting.front().observation);
  if (now == shown_) return;
  shown_ = now;
  if (redo_) return;
  if (waiting.empty()) {
    talk_.say("All that was planned is measured.\n");
    return;
  }
  std::vector<survey::Observation> measured;
  for (const auto& row : book_->file().rows) {
    if (row.check.empty()) measured.push_back(row.observation);
  }
  const survey::Observation& next = waiting.front().observation;
  report::WhereShown where{station_, next, measured, {}};
  if (!measured.empty()) {
    const survey::Observation& last = measured.back();
    if (last.dog_from == next.dog_from && last.dog_to == next.dog_to)
      where.standing = {last.from, last.to};
    else if (last.dog_from == next.dog_to && last.dog_to == next.dog_from)
      where.standing = {last.to, last.from};
  }
  const std::size_t done = book_->file().rows.size();
  talk_.say(fmt::format("\n{} of {}. {}", done + 1, done + waiting.size(), report::where_words(where)));
  if (talk_.options.plain) return;
  talk_.say(report::where_drawing(where, talk_.options.width));
  if (!legend_ && next.kind == survey::Kind::distance) talk_.say(report::kWhereLegend);
  legend_ = true;
}

void SurveyTalk::step() {
  propose();
  const auto waiting = book_->waiting();
  const files::ObservationRow* next = waiting.empty() ? nullptr : &waiting.front();
  const std::string question = redo_  ? asked_words(book_->file().rows[*redo_].observation) + ", again"
                               : next ? asked_words(next->observation)
                                      : std::string("other, undo, redo, so far, or done [done]");
  const auto typed = talk_.line(question);
  const std::string spoken_of = question + " done redo skip";
  try {
    if (!talk_.handled_at_question(typed, question)) obey(*typed, next);
  } catch (const Back&) {
    talk_.say("  Left; the file is as it was.\n");
    shown_.clear();
  } catch (const units::InputError&) {
    talk_.refuse(*typed, spoken_of);
  } catch (const UsageError&) {
    talk_.refuse(*typed, spoken_of);
  } catch (const files::FileTrouble& trouble) {
    talk_.say("error: " + trouble.message +
              ". The last answer is NOT kept: make room, then type it again.\n");
    talk_.bell(2);
  }
}

void SurveyTalk::obey(const std::string& typed, const files::ObservationRow* next) {
  const std::string small = units::lowered(typed);
  const std::string word = small.substr(0, small.find(' '));
  if (word == "undo" && small == word)
    undo();
  else if (word == "redo")
    redo(typed.substr(4));
  else if (small == "so far")
    show_result();
  else if (small == "other")
    other();
  else if (word == "skip")
    skip(typed.substr(4), next);
  else if (small == "done" || (typed.empty() && next == nullptr && !redo_))
    finished_ = show_result() || book_->file().rows.empty();
  else if (redo_)
    take(typed, book_->file().rows[*redo_], redo_);
  else if (next == nullptr)
    throw UsageError("all that was planned is measured, and '" + units::inert(typed) +
                     "' is none of other, undo, redo, so far, done.");
  else if (next->observation.kind == survey::Kind::corner)
    take_check(typed, next);
  else
    take(typed, *next, std::nullopt);
}

void SurveyTalk::undo() {
  if (redo_) {
    redo_.reset();
    talk_.say("  It stays as it was.\n");
    return;
  }
  const std::size_t before = book_->file().rows.size();
  const auto last = before > 0 ? std::optional(book_->file().rows.back()) : std::nullopt;
  if (!book_->undo()) {
    talk_.say("  Nothing to take back since this was begun. 'redo A1 B1' measures an earlier one again.\n");
    return;
  }
  shown_.clear();
  if (last && book_->file().rows.size() < before)
    talk_.say("  " + (last->check.empty() ? report::short_words(station_, last->observation) : last->check) +
              " taken back.\n");
  else
    talk_.say("  Taken back.\n");
}

/// `redo`: the last one; `redo 12`, `redo C4 D4`: that one.
void SurveyTalk::redo(const std::string& typed) {
  const auto& rows = book_->file().rows;
  const std::string which(units::trimmed(typed));
  if (rows.empty()) throw UsageError("nothing is measured yet.");
  std::size_t at = rows.size() - 1;
  if (!which.empty() && std::isdigit(static_cast<unsigned char>(which.front())) != 0) {
    at = static_cast<std::size_t>(
             units::parse_whole(which, "number of what is measured", 1, static_cast<int>(rows.size()))) -
         1;
  } else if (!which.empty()) {
    const auto words = words_of_line(which);
    if (words.size() != 2)
      throw UsageError(
          "redo is followed by a number, or by two holes such as C4 D4; alone it takes the last.");
    const auto a = station::parse_hole(words[0]), b = station::parse_hole(words[1]);
    const auto found = std::find_if(rows.rbegin(), rows.rend(), [&](const auto& row) {
      const auto& o = row.observation;
      return row.check.empty() && ((o.from == a && o.to == b) || (o.from == b && o.to == a));
    });
    if (found == rows.rend()) throw UsageError(a.name() + " " + b.name() + " is not measured yet.");
    at = rows.size() - 1 - static_cast<std::size_t>(found - rows.rbegin());
  }
  if (!rows[at].check.empty()) throw UsageError(rows[at].check + " is a check: it is not read here.");
  redo_ = at;
}

/// `skip`: what is asked for; `skip C4`: all that touches that hole.
void SurveyTalk::skip(const std::string& typed, const files::ObservationRow* next) {
  if (redo_) {
    undo();
    return;
  }
  if (next == nullptr) throw UsageError("nothing is asked for that could be skipped.");
  const std::string which(units::trimmed(typed));
  std::vector<files::ObservationRow> rows{*next};
  std::string what = report::short_words(station_, next->observation) + " is left out.";
  if (!which.empty()) {
    const station::Hole hole = station::parse_hole(which);
    rows = book_->waiting();
    std::erase_if(rows, [&](const files::ObservationRow& row) {
      const auto holes = row.observation.holes();
      return std::find(holes.begin(), holes.end(), hole) == holes.end();
    });
    if (rows.empty()) throw UsageError("nothing is asked for at " + hole.name() + ".");
    what = fmt::format("{} at {} left out.",
                       rows.size() == 1 ? "1 measurement" : fmt::format("{} measurements", rows.size()),
                       hole.name());
  }
  book_->skip(rows);
  talk_.say("  " + what + " 'undo' takes that back.\n");
}

/// As `survey FILE` shows it. True: it could be computed.
bool SurveyTalk::show_result() {
  if (book_->file().rows.empty()) {
    talk_.say("  Nothing is measured yet.\n");
    return false;
  }
  shown_.clear();
  Parsed parsed;
  parsed.word = "survey";
  parsed.arguments = {path_};
  try {
    talk_.say(survey_command(context_, parsed).out);
  } catch (const units::InputError&) {
    talk_.say(said_of_current_exception().err);
    return false;
  }
  talk_.say("  " + units::inert(path_, path_.size()) + ": " + counts() + ".\n");
  return true;
}

}  // namespace quarterturn::cli
