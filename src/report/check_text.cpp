// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "report/amounts.hpp"
#include "report/care.hpp"
#include "report/check_report.hpp"
#include "report/drawing.hpp"
#include "report/strip_line.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr std::size_t kMostDrawnStrips = 3;

}  // namespace

std::string heading_text(const correct::Outcome& outcome, const TextOptions& options) {
  std::string text;
  const auto add = [&](const std::string& part) {
    if (!part.empty()) text += (text.empty() ? "" : ", ") + part;
  };
  const std::string station = outcome.station ? outcome.station->name : outcome.check.station;
  add(station.empty() ? "" : "station " + units::inert(station));
  const auto& second = outcome.check.second_setup;
  add(outcome.setup_name.empty() ? ""
      : second.empty()           ? "setup " + units::inert(outcome.setup_name)
                       : "setups " + units::inert(outcome.setup_name) + " and " + units::inert(second));
  add(when_words(outcome.check.date));
  add(check::test_row(outcome.check.test).word);
  if (outcome.check.test == check::TestKind::turn_over)
    add(outcome.check.form == check::Form::pair ? "pair of pieces" : "halves of one cut");
  if (outcome.check.pieces > 0) add(fmt::format("{} pieces", outcome.check.pieces));
  if (outcome.check.test != check::TestKind::rail) add(counted_strips(outcome.check));
  if (outcome.check.panel_size) {
    add(fmt::format("panel {} x {}", size_text(outcome.check.panel_size->width_mm, options.unit),
                    size_text(outcome.check.panel_size->depth_mm, options.unit)));
  }
  return text + "\n";
}

namespace {

std::string strips_table(const correct::Outcome& outcome, const TextOptions& options) {
  const bool gaps = outcome.check.gaps();
  const bool halves = outcome.check.form == check::Form::halves;
  std::string text = fmt::format("{} (each one's own answer {}{}; ± twice the standard uncertainty of {})\n",
                                 gaps ? "Joints" : "Strips", over_words(outcome, options),
                                 halves ? ", half of its board's own taper in it" : "",
                                 gaps ? "readings and edges" : "readings and saw marks");
  for (std::size_t j = 0; j < outcome.fit.tapers.size(); ++j) {
    const auto& taper = outcome.fit.tapers[j];
    const std::string name = check::strip_name(outcome.check, outcome.check.strips[j]);
    const double corner = taper.corner_rad();
    text += fmt::format("  {}{}: {} {} by {}\n", gaps ? "" : fmt::format("panel {}, ", taper.panel), name,
                        side_word(corner), nominal_words(outcome),
                        plus_minus_text(std::fabs(over_panel(outcome, corner)),
                                        over_panel(outcome, 2 * taper.corner_u_rad()), options.unit));
  }
  return text;
}

std::string scatter_table(const correct::Outcome& outcome, const TextOptions& options) {
  const std::array<const char*, 3> kNames{
      "one reading", outcome.check.gaps() ? "edges, a place" : "saw marks, a place", "seating, a cut"};
  std::string text = "Scatter (one standard deviation)\n";
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    const auto words = scatter_words(outcome, static_cast<check::Component>(i), options);
    text += words.amount.empty() ? fmt::format("  {:<20}{}\n", kNames[i], words.source)
                                 : fmt::format("  {:<20}{:<12}{}\n", kNames[i], words.amount, words.source);
  }
  return text;
}

}  // namespace

std::string chances_text(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.verdict) return "";
  if (outcome.fit.eta.unknown)
    return "With what chance it is within cannot be told: the whole ± is not known.\n";
  if (outcome.look)
    return "Of a test that may stop early no chance is read: its ± says whether it is within.\n";
  const std::string limit = length_text(over_panel(outcome, outcome.verdict->tolerance_rad), options.unit);
  std::string text =
      fmt::format("Chance that the setup is within {} {}: {}.\n", limit, over_words(outcome, options),
                  percent_text(outcome.verdict->setup_probability));
  if (outcome.verdict->next_panel && outcome.verdict->next_panel_probability) {
    text += fmt::format("Chance that the next panel comes out within it: {}.\n",
                        percent_text(*outcome.verdict->next_panel_probability));
  } else {
    text += fmt::format("The next panel cannot be foretold: one {} does not show how panels seat.\n",
                        counted_word(outcome.check));
  }
  return text;
}

namespace {

/// A few all, of many those with a reading to look at.
std::vector<std::size_t> strips_shown(const correct::Outcome& outcome) {
  const auto& strips = outcome.check.strips;
  std::vector<std::size_t> shown;
  for (std::size_t i = 0; i < strips.size() && shown.size() < kMostDrawnStrips; ++i) {
    if (strips.size() <= kMostDrawnStrips || has_named(outcome, strips[i])) shown.push_back(i);
  }
  return shown;
}

/// The same for a screen reader. What each strip answers stands in a table of words anyway.
std::string drawings_in_words(const correct::Outcome& outcome, const TextOptions& options) {
  std::string text = interval_words(outcome, options);
  for (const std::size_t i : strips_shown(outcome)) text += strip_words(outcome, i, options);
  return finished(text, options);
}

/// Drawings keep to the width by themselves: only their titles can need breaking.
std::string drawings(const correct::Outcome& outcome, const TextOptions& options) {
  if (options.plain) return drawings_in_words(outcome, options);
  std::string text = interval_drawing(outcome, options);
  if (outcome.check.strips.size() > 1) text += "\n" + strips_drawing(outcome, options);
  for (const std::size_t i : strips_shown(outcome)) text += "\n" + strip_drawing(outcome, i, options);
  return finished(text, options);
}

}  // namespace

std::string check_text(const correct::Outcome& outcome, const TextOptions& options, const MoreCuts& more) {
  if (outcome.check.test == check::TestKind::rail)
    return rail_test_text(outcome, options) + "\n" + finished(heading_text(outcome, options), options);
  std::string top = answer_sentence(outcome, options) + "\n" + to_do_text(outcome, options, more);
  const std::size_t advised = advised_move(outcome);
  if (outcome.advice && advised < outcome.advice->moves.size() &&
      outcome.advice->decision.correct == correct::Correct::yes) {
    const std::string expect = expect_text(outcome, advised, options);
    if (!expect.empty()) top += "  " + expect + "\n";
  }
  if (outcome.pending) top += after_move_text(*outcome.pending, outcome.check.strips.front(), options);
  top += noted_cause_text(outcome, options) + look_text(outcome) + bow_text(outcome, options) +
         held_text(outcome, options);
  top += how_sure_text(outcome, options) + "\n" + heading_text(outcome, options);
  std::string bottom =
      strips_table(outcome, options) + scatter_table(outcome, options) + chances_text(outcome, options);
  const std::string found = findings_text(outcome, options, true);
  if (!found.empty()) bottom += "\nTo look at\n" + found;
  bottom += std::string("\n") + kCertifiesNothing + "\n";
  const std::string drawn = drawings(outcome, options);
  return finished(top, options) + "\n" + drawn + "\n" + finished(bottom, options);
}

}  // namespace quarterturn::report
