// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "app/look.hpp"
#include "app/run_plan.hpp"
#include "check/test_cost.hpp"
#include "cli/prompt_session.hpp"
#include "plan/plan.hpp"
#include "report/amounts.hpp"
#include "report/care.hpp"
#include "report/drawing.hpp"
#include "report/plan_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kFirstStripCuts = 5;

}  // namespace

/// \param strips  that are kept, of the last cuts
void Session::show_cuts(int first_cut, int last_cut, const station::Setup* setup, int strips) {
  const bool keep_left = setup == nullptr || setup->keep == station::Side::left;
  const bool before = setup == nullptr || setup->panel_side == station::PanelSide::before;
  const char* turn = keep_left == before ? "left" : "right";
  const char* wide = report::strip_width_words(talk_.options.unit);
  std::string text;
  if (first_cut == 1) text = "X on the top face, it stays up. Cut 1: any edge at the fence.\n";
  text += fmt::format("{}: turn the panel {}, the edge just cut goes to the fence, X up.\n",
                      first_cut > 1                 ? fmt::format("Cut {}", last_cut)
                      : last_cut == kFirstStripCuts ? std::string("Then four times")
                                                    : fmt::format("Then {} times", last_cut - 1),
                      turn);
  text += strips == 1
              ? fmt::format("BEFORE cut {} write F on the strip where it touches the fence. Strip {} wide.\n",
                            last_cut, wide)
              : fmt::format(
                    "BEFORE each of the cuts {} to {} write F and its number on the strip where it touches "
                    "the fence. Strips {} wide; keep all {}.\n",
                    last_cut - strips + 1, last_cut, wide, strips);
  const std::string drawn =
      talk_.options.plain ? ""
                          : report::turn_drawing(first_cut, last_cut, keep_left, before, talk_.options.width);
  talk_.show(text + (drawn.empty() ? report::turn_words(first_cut, last_cut, keep_left, before) : drawn));
}

/// False: it gives no ±, and nothing is kept. \param more_of  the check that goes on, by its id; empty: a new
/// one
bool Session::compute(app::CheckRequest request, const std::string& more_of) {
  talk_.live();
  talk_.transcript.hand_on();
  try {
    const auto tried = request.rail;
    app::inform(request, *context_.log, context_.now_utc, more_of);
    if (!request.rail && tried && tried->name.empty()) request.rail = tried;  // which is not in the log
    auto outcome = app::run_check(request);
    const auto closing = search_to_close(request);
    talk_.say("\n" + report::check_summary(outcome, talk_.options, more_cuts_of(request, outcome)));
    keep(request, outcome, more_of);
    last_ = Computed{std::move(request), std::move(outcome)};
    taken_up_.clear();
    ++told_;
    if (closing) {
      checking_ = false;  // it is kept, whatever is answered now
      close_search(*closing, last_->outcome);
    }
    return true;
  } catch (const check::NoInterval& arithmetic) {
    talk_.say(report::no_interval_text(arithmetic, request.check, talk_.options));
    return false;
  }
}

/// A check of the station in use, without readings, with what the log knows.
app::CheckRequest Session::begun_check(std::optional<int> most_strips) {
  app::CheckRequest request;
  request.measured_now = true;
  request.confidence = confidence_of(confidence_);
  request.station = station_;
  request.planned_strips = most_strips;
  auto& check = request.check;
  check.unit = talk_.options.unit;
  if (station_) check.station = station_->name;
  if (station_ && station_->setups.size() > 1) {
    talk_.ask("which setup", station_->setups.begin()->first,
              [&](const std::string& typed) { check.setup = station_->setup(typed).name; });
  }
  if (station_) request.earlier = app::earlier_of(*context_.log, *station_, check.setup, context_.now_utc);
  return request;
}

/// Before the first cut: what the test will tell, or how far it may go.
void Session::say_what_to_expect(const app::CheckRequest& request) {
  if (!request.planned_strips) {
    if (const auto outlook = app::outlook_of(request))
      talk_.say("  " + report::plan_line(*outlook, talk_.options) + "\n");
    return;
  }
  const int bears = plan::most_cuts_on(*request.check.panel_size, check::kSmallestPanelMm) - 4;
  if (bears < *request.planned_strips) {
    talk_.say(fmt::format("  This panel bears {} of the {} strips; after one more it is under {}.\n",
                          std::max(bears, 1), *request.planned_strips,
                          report::size_text(check::kSmallestPanelMm, talk_.options.unit)));
  }
}

/// \param most_strips  of a test that may stop when it is settled; empty: no such test
/// \param strips  of one panel that are all cut first, then measured in any order
void Session::guided_check(std::optional<int> most_strips, int strips) {
  checking_ = true;
  if (!resuming_) take_up_bench();
  begin_draft(line_);
  auto request = begun_check(most_strips);
  app::hold_to_plan(request);
  auto& check = request.check;
  const int cuts = kFirstStripCuts + strips - 1;
  if (strips > 1) {
    talk_.say(
        fmt::format("{} strips of one panel, {} cuts, about {}.\n", strips, cuts,
                    report::minutes_text(check::kMinutesFiveCut + check::minutes_of_more_cuts(strips - 1))));
  } else if (!most_strips) {
    talk_.say("Five-cut, 5 cuts, about " + report::minutes_text(check::kMinutesFiveCut) + ".\n");
  } else {
    talk_.say(report::stopping_plan_text(*most_strips, app::strips_to_first_look(request)));
  }
  const station::Setup* setup = !station_ ? nullptr : &station_->setup(check.setup);
  ask_panel(check, setup, cuts);
  say_what_to_expect(request);
  talk_.say(cared_ ? care_line() : care_notes(talk_.options.unit));
  cared_ = true;
  show_cuts(1, cuts, setup, strips);
  talk_.say(fmt::format("Knock off the fuzz, {} off the ends, rock the caliper, take the smallest reading.\n",
                        report::from_ends_words(talk_.options.unit)));
  if (ask_strips(check, strips)) {
    find_pending(setup == nullptr ? "" : setup->name);
    hold_against_move(request);
    if (compute(request, "") && most_strips) go_on();
  }
  checking_ = false;
}

/// `check FILE` and its options: as on the command line, but kept as every check at the prompt is. Without
/// readings it asks for them.
void Session::check_of_words(const std::vector<std::string>& words) {
  const Parsed parsed = parse(words);
  if (const auto test = gap_test_named(parsed)) {
    guided_gaps(*test);
    return;
  }
  if (asks_for_readings(parsed)) {
    guided_check(most_strips_of(parsed), strips_of(parsed));
    return;
  }
  if (!parsed.has("--help") && !has_readings(parsed)) {
    throw UsageError(
        "readings are missing, but must be a FILE, or --fence-end, --free-end and --apart. Hint: 'check' "
        "alone, with --most-strips, or 'check turn-over', 'halves', 'frame', 'rail' asks for them");
  }
  if (parsed.has("--help") || parsed.has("--json")) {
    const Said said = run_word(in_use(), parsed);
    talk_.say(said.out + said.err);
    return;
  }
  if (!parsed.arguments.empty() && parsed.arguments.front() == "-")
    throw UsageError("'-' is standard input, which the questions use: give a FILE.");
  Said said;
  auto request = request_of(in_use(), parsed, said);
  if (!said.err.empty()) talk_.say(said.err);
  if (!parsed.has("--no-log")) app::inform(request, *context_.log, context_.now_utc);
  take_survey_option(in_use(), parsed, request);
  auto options = talk_.options;
  if (parsed.has("--unit")) options.unit = text_options(in_use(), parsed, options.unit).unit;
  try {
    auto outcome = app::run_check(request);
    talk_.say(shown_check(in_use(), parsed, request, outcome, options));
    kept_.reset();
    if (outcome.station && (parsed.has("--save") || !parsed.has("--no-log"))) {
      kept_ = app::kept_already(*context_.log, request, outcome, context_.now_utc);
      if (kept_) {
        talk_.say("Kept already as check " + units::inert(app::name_of(*context_.log, *kept_)) + ".\n");
      } else {
        keep(request, outcome, "");
      }
    }
    last_ = Computed{std::move(request), std::move(outcome)};
    taken_up_.clear();
  } catch (const check::NoInterval& arithmetic) {
    talk_.say(report::no_interval_text(arithmetic, request.check, options));
  }
}

}  // namespace quarterturn::cli
