// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "app/run_survey.hpp"
#include "app/settle_check.hpp"
#include "cli/gap_test_shown.hpp"
#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

const Computed& Session::last() const {
  if (!last_) throw UsageError("there is no check yet. Hint: 'check' begins one, 'check FILE' reads one");
  return *last_;
}

void Session::why() {
  const auto& outcome = last().outcome;
  if (outcome.check.test == check::TestKind::rail) {
    talk_.say(report::rail_why_text(outcome, talk_.options));
  } else {
    talk_.say(report::why_text(outcome, talk_.options));
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
  const correct::Outcome outcome = last().outcome;  // before the rail is tried, which may hold the dogs back
  if (!outcome.advice || outcome.advice->moves.empty()) {
    talk_.say(report::correction_text(outcome, 0, talk_.options));
    return;
  }
  if (outcome.bow) talk_.say(report::rail_tried_text(outcome, talk_.options, false));
  if (outcome.advice->decision.correct != correct::Correct::yes || outcome.advice->decision.find_first) {
    talk_.say(report::finished(
        report::to_do_text(outcome, talk_.options, app::what_settles(last().request, outcome)) +
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
      talk_.say(report::to_do_text(outcome, talk_.options, app::what_settles(last().request, outcome)));
      return;
    }
    if (!shown) talk_.say(report::correction_text(outcome, advised, talk_.options, try_rail));
    shown = true;
    try {
      ask_done(advised);
      return;
    } catch (const Back&) {
      if (!try_rail) talk_.say("  Nothing to take back.\n");
    }
  }
}

}  // namespace quarterturn::cli
