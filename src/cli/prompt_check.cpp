// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "app/settle_check.hpp"
#include "check/test_cost.hpp"
#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "report/drawing.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

const station::Setup* Session::setup_in_use() const {
  if (!station_ || station_->setups.size() != 1) return nullptr;
  return &station_->setups.begin()->second;
}

void Session::show_cuts(int first_cut, int last_cut, const station::Setup* setup) {
  const bool keep_left = setup == nullptr || setup->keep == station::Side::left;
  const bool before = setup == nullptr || setup->panel_side == station::PanelSide::before;
  const char* turn = keep_left == before ? "left" : "right";
  std::string text;
  if (first_cut == 1) text = "X on the top face, it stays up. Cut 1: any edge at the fence.\n";
  text += fmt::format("{}: turn the panel {}, the edge just cut goes to the fence, X up.\n",
                      first_cut == 1 ? "Then four times" : fmt::format("Cut {}", last_cut), turn);
  text += fmt::format("BEFORE cut {} write F on the strip where it touches the fence. Strip 20-30 mm wide.\n",
                      last_cut);
  if (!talk_.options.plain)
    text += report::turn_drawing(first_cut, last_cut, keep_left, before, talk_.options.width);
  talk_.say(text);
}

/// \param more_of  the check that goes on, by its id; empty: a new one
void Session::compute(app::CheckRequest request, const std::string& more_of) {
  try {
    app::inform(request, *context_.log, context_.now_utc, more_of);
    auto outcome = app::run_check(request);
    talk_.say("\n" + report::check_summary(outcome, talk_.options, app::what_settles(request, outcome)));
    keep(request, outcome, more_of);
    last_ = Computed{std::move(request), std::move(outcome)};
  } catch (const check::NoInterval& arithmetic) {
    talk_.say(report::no_interval_text(arithmetic, request.check, talk_.options));
  }
}

void Session::guided_check() {
  checking_ = true;
  app::CheckRequest request;
  request.confidence = confidence_.has("--confidence")
                           ? units::parse_number(*confidence_.value("--confidence"), "--confidence").value
                           : 0.95;
  request.station = station_;
  auto& check = request.check;
  check.unit = talk_.options.unit;
  if (station_) check.station = station_->name;
  if (station_ && station_->setups.size() > 1) {
    talk_.ask("which setup", station_->setups.begin()->first,
              [&](const std::string& typed) { check.setup = station_->setup(typed).name; });
  }
  talk_.say("Five-cut, 5 cuts, about " + report::minutes_text(check::kMinutesFiveCut) + ".\n");
  ask_panel(check);
  talk_.say(care_notes(!cared_));
  cared_ = true;
  const station::Setup* setup = !station_ ? nullptr : &station_->setup(check.setup);
  show_cuts(1, 5, setup);
  talk_.say("Knock off the fuzz, 20 mm off the ends, rock the caliper, take the smallest reading.\n");
  if (const auto ends = ask_strip("", apart_mm_, 5)) {
    check.strips = {app::strip_of(*ends, 1, 1, 5)};
    find_pending(setup == nullptr ? "" : setup->name);
    hold_against_move(*ends);
    compute(request, "");
  }
  checking_ = false;
}

void Session::more_cuts() {
  Computed base = last();
  if (base.edges_old) {
    throw UsageError("all four edges are old since something was moved: begin again at cut 1 with 'check'.");
  }
  auto& check = base.request.check;
  const int done = check.strips.back().to_cut;
  if (check.strips.back().from_cut == 0 || check.strips.front().panel != check.strips.back().panel) {
    throw UsageError("'more' carries on a five-cut on one panel; this check is another test.");
  }
  checking_ = true;
  const double strip_mm = check.strips.back().spots.front().readings.front().mm;
  if (check.panel_size && !stays_large_enough(*check.panel_size, done + 2, strip_mm)) {
    checking_ = false;
    return;
  }
  talk_.say(care_notes(false));
  check.test = check::TestKind::progressive;
  for (int cut = done + 1; cut <= done + 2; ++cut) {
    show_cuts(cut, cut, setup_in_use());
    const double apart =
        check.strips.back().spots.back().position_mm - check.strips.back().spots.front().position_mm;
    const auto ends = ask_strip(fmt::format("strip {}-{}, ", cut - 4, cut), apart, cut);
    if (!ends) break;
    check.strips.push_back(app::strip_of(*ends, 1, cut - 4, cut));
    compute(base.request, kept_ ? kept_->made.id : "");
    last_->rail_mm = base.rail_mm;
  }
  checking_ = false;
}

/// `check FILE` and its options: as on the command line, but kept as every check at the prompt is.
void Session::check_of_words(const std::vector<std::string>& words) {
  const Parsed parsed = parse(words);
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
  } catch (const check::NoInterval& arithmetic) {
    talk_.say(report::no_interval_text(arithmetic, request.check, options));
  }
}

}  // namespace quarterturn::cli
