// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "app/run_survey.hpp"
#include "cli/gap_test_shown.hpp"
#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "report/find_report.hpp"
#include "report/table_drawing.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

/// True: the last answer was another word's than a check's.
bool Session::why_of_words() {
  const std::string word = asked_.empty() ? std::string() : asked_.front();
  if (word == "find" && asked_.size() == 1 && search_) {
    app::FindRequest request = search_->request;
    const auto answers = std::exchange(request.answers, {});
    std::vector<history::Search> stages{app::find_step(*context_.log, request)};
    for (const auto& code : search_->asked) {
      request.answers[code] = answers.at(code);
      stages.push_back(app::find_step(*context_.log, request));
    }
    talk_.say(report::find_why_text(stages, search_->asked, talk_.options));
  } else if (word == "history") {
    talk_.say(history_why(in_use(), parse(asked_)));
  } else if (word == "plan") {
    talk_.say(plan_why(in_use(), parse(asked_)));
  } else if (word == "survey") {
    talk_.say(survey_why(in_use(), parse(asked_)));
  } else {
    return false;
  }
  return true;
}

/// The table from above with that move; past the end without one.
void Session::show_table(const correct::Outcome& outcome, std::size_t move) {
  const std::string shown = report::table_text(outcome, move, talk_.options);
  if (!shown.empty()) talk_.say("\n" + shown);
}

void Session::why() {
  if (why_of_words()) return;
  const auto& outcome = last().outcome;
  if (outcome.check.test == check::TestKind::rail) {
    talk_.say(report::rail_why_text(outcome, talk_.options));
  } else {
    talk_.say(report::why_text(outcome, talk_.options));
    // Of a corner that is within there is no lean worth seeing.
    if (!outcome.verdict || outcome.verdict->setup != check::Answer::within)
      show_table(outcome, report::advised_move(outcome));
    if (outcome.bow) talk_.say(report::rail_tried_text(outcome, talk_.options, true));
  }
  if (!outcome.check.gaps()) return;
  const auto* setup = outcome.station ? &outcome.station->setup(outcome.setup_name) : nullptr;
  talk_.say("What this test does not see:\n" +
            report::gap_test_blind(gap_test_shown(outcome.check, setup, talk_.options.unit)));
}

void Session::note_done(std::size_t move, bool already_told) {
  const auto& outcome = last().outcome;
  if (move < outcome.expected.size() && outcome.expected[move]) {
    const auto& strip = outcome.check.strips.back();
    moved_ = correct::PendingMove{*outcome.expected[move],
                                  strip.spots.back().position_mm - strip.spots.front().position_mm,
                                  outcome.check.gaps(), outcome.check.form};
  } else {
    moved_.reset();
  }
  last_->edges_old = true;
  keep_done(move);
  talk_.say(outcome.check.gaps()
                ? "  Noted. These pieces are now old: the next test takes new cuts.\n"
                : "  Noted. All four edges are now old: begin again at cut 1, same panel.\n");
  if (already_told) return;
  const std::string expect = report::expect_text(outcome, move, talk_.options);
  if (!expect.empty()) talk_.say(report::finished("  " + expect + "\n", talk_.options));
}

/// False: the person goes back to the question whether it was done.
bool Session::ask_what_was_done(std::size_t move) {
  switch (talk_.choose("done / differently / later", std::nullopt, {"done", "differently", "later"})) {
    case 0:
      note_done(move, true);
      return true;
    case 1:
      break;
    default:
      throw Leave{Leave::Why::later};
  }
  const auto ways = static_cast<int>(last().outcome.advice->moves.size());
  talk_.say(report::ways_text(last().outcome, talk_.options));
  try {
    int way = 0;
    talk_.ask("number of the way you took, 0 = none of these", std::nullopt, [&](const std::string& number) {
      way = units::parse_whole(number, "number of the way", 0, ways);
    });
    note_done(static_cast<std::size_t>(way == 0 ? ways : way - 1), false);
    return true;
  } catch (const Back&) {
    return false;
  }
}

/// \throws Back
void Session::ask_done(std::size_t move) {
  while (!ask_what_was_done(move)) {
  }
}

/// A cause that a move puts right was found: why it moved is known now.
void Session::follow_noted_cause() {
  if (!kept_ || !last().request.last || last().request.last->explained) return;
  const auto noted = app::cause_behind(*context_.log, *kept_);
  if (!noted || !app::cured_by_a_move(noted->code)) return;
  last_->request.last->explained = true;
  last_->outcome = app::run_check(last_->request);
}

/// Other holes for the last check by the survey run last.
void Session::ask_survey() {
  if (!surveyed_ || !last_ || !last_->request.station || last_->request.station->name != surveyed_->station)
    return;
  app::take_survey(last_->request, *surveyed_, *context_.log, context_.now_utc);
  if (last_->request.survey) last_->outcome = app::run_check(last_->request);
}

void Session::correct_now() {
  last();
  ask_survey();
  if (last().outcome.check.test == check::TestKind::rail) {
    talk_.say(
        "A rail test moves no dog: it tells of the rail alone. A check tells of the corner: 'check'.\n");
    return;
  }
  if (last().edges_old || stands_otherwise()) {
    talk_.say(
        "  Something was moved since that check; 'check' tells what it did. 'ways' shows what was "
        "advised.\n");
    return;
  }
  follow_noted_cause();
  const correct::Outcome outcome = last().outcome;  // before the rail is tried, which may hold the dogs back
  if (!outcome.advice || outcome.advice->moves.empty()) {
    talk_.say(report::correction_text(outcome, 0, talk_.options));
    return;
  }
  if (outcome.bow) talk_.say(report::rail_tried_text(outcome, talk_.options, false));
  if (outcome.advice->decision.correct != correct::Correct::yes || outcome.advice->decision.find_first) {
    talk_.say(
        report::finished(report::to_do_text(outcome, talk_.options, more_cuts_of(last().request, outcome)) +
                             "'ways' shows what moving each dog would do.\n",
                         talk_.options));
    return;
  }
  // A rail that was tried since it was last changed is not tried again.
  const bool try_rail = outcome.advice->ask_rail_straight && outcome.station && !outcome.bow;
  if (try_rail) talk_.say(report::rail_first_text(talk_.options));
  std::optional<logbook::KeptCheck> rail_kept;
  for (bool shown = false;;) {
    if (try_rail && !ask_rail(rail_kept)) return;
    const std::size_t advised = report::advised_move(outcome);
    if (advised >= outcome.advice->moves.size()) {
      talk_.say(report::to_do_text(outcome, talk_.options, more_cuts_of(last().request, outcome)));
      return;
    }
    if (!shown) {
      talk_.say(report::correction_text(outcome, advised, talk_.options, try_rail));
      show_table(outcome, advised);
    }
    shown = true;  // NOLINT(clang-analyzer-deadcode.DeadStores): read again after a Back
    try {
      ask_done(advised);
      return;
    } catch (const Back&) {
      if (!try_rail) talk_.say("  Nothing to take back.\n");
    }
  }
}

}  // namespace quarterturn::cli
