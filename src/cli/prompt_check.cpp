// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "app/after_move.hpp"
#include "check/reference_lengths.hpp"
#include "cli/prompt_session.hpp"
#include "correct/setup_findings.hpp"
#include "files/readings_file.hpp"
#include "report/amounts.hpp"
#include "report/drawing.hpp"
#include "report/words.hpp"
#include "station/geometry.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
const station::Setup* Session::setup_in_use() const {
  if (!station_ || station_->setups.size() != 1) return nullptr;
  return &station_->setups.begin()->second;
}

void Session::ask_panel(check::Check& check) {
  std::optional<std::string> fallback;
  const double unit_mm = talk_.options.unit == units::Unit::inch ? units::kMmPerInch : 1;
  if (panel_)
    fallback = fmt::format("{:.4g} x {:.4g}", panel_->width_mm / unit_mm, panel_->depth_mm / unit_mm);
  talk_.ask("How big is the panel", fallback, [&](const std::string& typed) {
    const auto given = files::parse_panel_size(typed, talk_.options.unit);
    if (std::min(given.width_mm, given.depth_mm) < check::kSmallestPanelMm) {
      throw units::InputError("panel", typed, "at least 300 mm each way", {},
                              "a smaller one cannot be held safely, and each cut takes off more");
    }
    panel_ = given;
  });
  check.panel_size = panel_;
  talk_.say(fmt::format("  panel {} x {}\n", report::size_text(panel_->width_mm, talk_.options.unit),
                        report::size_text(panel_->depth_mm, talk_.options.unit)));
  const auto* setup = setup_in_use();
  if (setup == nullptr) return;
  const auto findings = correct::panel_findings(*station_, *setup, panel_);
  for (const auto& finding : findings)
    talk_.say("  " + report::finding_text(finding, talk_.options.unit) + "\n");
  const auto room = station::room_of(*station_, *setup);
  const bool tight =
      std::any_of(findings.begin(), findings.end(), [](const auto& f) { return f.code == "panel-too-long"; });
  if (room && !tight) {
    talk_.say(fmt::format("  It fits: {} free between near rail dog and fence.\n",
                          report::size_text(room->between_near_dog_and_fence_mm, talk_.options.unit)));
  }
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
  if (!talk_.options.plain) text += report::turn_drawing(first_cut, last_cut, keep_left, before);
  talk_.say(text);
}

/// True: the strip can be used, its ends as they stand.
bool Session::confirm_ends(app::Ends& ends, int last_cut) {
  if (talk_.yes(fmt::format("F at the fence in cut {}, and X up every time?", last_cut), true)) return true;
  bool swap = false, again = false;
  talk_.ask("s = F was on the other end, x = X was not always up or nobody knows", std::nullopt,
            [&](const std::string& typed) {
              if (typed != "s" && typed != "x")
                throw UsageError("the answer is '" + units::inert(typed) + "', but must be s or x.");
              swap = typed == "s";
              again = typed == "x";
            });
  if (swap) {
    std::swap(ends.fence_end, ends.free_end);
    talk_.say("  Ends swapped.\n");
  }
  if (again)
    talk_.say(
        "Then this strip tells nothing that can be trusted. Begin again at cut 1, same panel: 'check'.\n");
  return !again;
}

void Session::hold_against_move(const app::Ends& ends) {
  if (!moved_) return;
  const auto moved = *moved_;
  moved_.reset();
  // Carried to the distance that was expected of it.
  const double measured =
      (check::mean_mm(ends.fence_end) - check::mean_mm(ends.free_end)) * moved.apart_mm / ends.apart_mm;
  const auto unit = talk_.options.unit;
  std::string text = fmt::format(
      "F end {} {}; {} {} was expected.", report::length_text(std::fabs(measured), unit),
      measured < 0 ? "narrower" : "wider", report::length_text(std::fabs(moved.expected.expect_mm), unit),
      moved.expected.expect_mm < 0 ? "narrower" : "wider");
  const auto meanings = app::after_move(moved.expected, measured);
  if (meanings.empty())
    text += " That fits neither the move nor a slip in it: measure the strip again before you go on.";
  for (std::size_t i = 0; i < meanings.size(); ++i) {
    text += i == 0 ? " It fits: " : ", or: ";
    switch (meanings[i]) {
      case app::AfterMove::done:
        text += "the move is done";
        break;
      case app::AfterMove::wrong_dog_or_face:
        text += "the wrong dog or face, or F on the wrong end both times";
        break;
      case app::AfterMove::f_wrong_before:
        text += "F was on the wrong end before the move";
        break;
      case app::AfterMove::nothing_moved:
        text += "nothing moved";
        break;
      case app::AfterMove::f_wrong_now:
        text += "F is on the wrong end now";
        break;
    }
  }
  talk_.say(report::finished(text + (meanings.empty() ? "\n" : ".\n"), talk_.options));
}

void Session::compute(app::CheckRequest request) {
  try {
    auto outcome = app::run_check(request);
    talk_.say("\n" + report::check_summary(outcome, talk_.options));
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
  talk_.say("Five-cut, 5 cuts, about 15 min.\n");
  ask_panel(check);
  talk_.say(care_notes(!cared_));
  cared_ = true;
  const station::Setup* setup = !station_ ? nullptr : &station_->setup(check.setup);
  show_cuts(1, 5, setup);
  talk_.say("Knock off the fuzz, 20 mm off the ends, rock the caliper, take the smallest reading.\n");
  app::Ends ends = ask_readings(talk_, "", apart_mm_);
  const auto fallback = apart_mm_ > 0
                            ? std::optional<std::string>(report::size_text(apart_mm_, talk_.options.unit))
                            : std::nullopt;
  const std::string question = std::string(talk_.options.unit == units::Unit::inch ? "inches" : "mm") +
                               " between the two measured places";
  talk_.ask(question, fallback, [&](const std::string& typed) {
    const double given = units::parse_length(typed, "distance", talk_.options.unit).mm();
    if (!(given >= 50 && given <= 10000)) throw units::InputError("distance", typed, "from 50 mm to 10 m");
    ends.apart_mm = apart_mm_ = given;
  });
  talk_.say("  " + report::size_text(apart_mm_, talk_.options.unit) + " apart\n");
  if (confirm_ends(ends, 5)) {
    check.strips = {app::strip_of(ends, 1, 1, 5)};
    hold_against_move(ends);
    compute(request);
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
  const double strip_mm = check.strips.back().spots.front().readings.front().mm + check::kKerfMm;
  const int taken = (done + 3) / 2;  // whole strips off one side of the panel after two more cuts
  if (panel_ && std::min(panel_->width_mm, panel_->depth_mm) - strip_mm * taken < check::kSmallestPanelMm &&
      !talk_.yes("The panel comes near 300 mm, the least that can be held safely. Go on?", false)) {
    checking_ = false;
    return;
  }
  talk_.say(care_notes(false));
  check.test = check::TestKind::progressive;
  for (int cut = done + 1; cut <= done + 2; ++cut) {
    show_cuts(cut, cut, setup_in_use());
    app::Ends ends = ask_readings(talk_, fmt::format("strip {}-{}, ", cut - 4, cut), apart_mm_);
    const double apart =
        check.strips.back().spots.back().position_mm - check.strips.back().spots.front().position_mm;
    const double unit_mm = talk_.options.unit == units::Unit::inch ? units::kMmPerInch : 1;
    talk_.ask(std::string(unit_mm > 1 ? "inches" : "mm") + " between the two measured places",
              report::size_text(apart, talk_.options.unit), [&](const std::string& typed) {
                ends.apart_mm = units::parse_length(typed, "distance", talk_.options.unit).mm();
              });
    if (!confirm_ends(ends, cut)) break;
    check.strips.push_back(app::strip_of(ends, 1, cut - 4, cut));
    compute(base.request);
  }
  checking_ = false;
}

/// `check FILE` and its options: as on the command line, and kept for `why`, `ways` and `correct`.
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
  auto options = talk_.options;
  if (parsed.has("--unit")) options.unit = text_options(in_use(), parsed, options.unit).unit;
  try {
    auto outcome = app::run_check(request);
    talk_.say(report::check_text(outcome, options));
    last_ = Computed{std::move(request), std::move(outcome)};
  } catch (const check::NoInterval& arithmetic) {
    talk_.say(report::no_interval_text(arithmetic, request.check, options));
  }
}

}  // namespace quarterturn::cli
