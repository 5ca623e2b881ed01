// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <cmath>

#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

std::string strip_chain(const correct::Outcome& outcome, const check::Strip& strip, const check::Taper& taper,
                        const TextOptions& options) {
  const auto& first = strip.spots.front();
  const auto& last = strip.spots.back();
  const double apart = last.position_mm - first.position_mm;
  const bool ring = outcome.check.test == check::TestKind::frame;
  const double corner = taper.corner_rad();
  std::string text = fmt::format(
      "{}: {} {}, {} {}; {} {} at the {}", strip_title(outcome.check, strip), ring ? "outside" : "fence end",
      length_text(check::mean_mm(first.readings), options.unit, 3), ring ? "inside" : "free end",
      length_text(check::mean_mm(last.readings), options.unit, 3),
      length_text(std::fabs(check::mean_mm(first.readings) - check::mean_mm(last.readings)), options.unit, 3),
      check::mean_mm(first.readings) < check::mean_mm(last.readings) ? "narrower" : "wider",
      ring ? "outside" : "fence end");
  text +=
      fmt::format(" on {}{}.\n", size_text(apart, options.unit),
                  strip.spots.size() > 2 ? " (the line through all places counts, not only the ends)" : "");
  const bool halves = outcome.check.form == check::Form::halves;
  text += fmt::format("  That is {} times one corner{}: divided by {} and carried to {} it makes {} {} {}.\n",
                      fixed(std::fabs(taper.turns), 0),
                      halves ? " and the board's own taper, which its other end takes out again" : "",
                      fixed(std::fabs(taper.turns), 0), size_text(outcome.panel_mm, options.unit),
                      length_text(std::fabs(over_panel(outcome, corner)), options.unit), side_word(corner),
                      nominal_words(outcome));
  return text;
}

std::string setup_chain(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.eps) return "";
  const auto& geometry = *outcome.geometry;
  std::string text = fmt::format(
      "You keep the part {} of the rail and the panel lies {} the fence: a corner {} {} means that the far "
      "end of the rail "
      "leans to your {}.\n",
      geometry.keep == station::Side::left ? "left" : "right",
      geometry.panel_side == station::PanelSide::before ? "before" : "beyond", side_word(outcome.fit.eta.x),
      nominal_words(outcome), outcome.eps->x > 0 ? "left" : "right");
  if (geometry.rail) {
    text += fmt::format("Over the {} between the rail dogs that is {}.\n",
                        size_text(geometry.rail->baseline_mm, options.unit),
                        length_text(std::fabs(outcome.eps->x) * geometry.rail->baseline_mm, options.unit, 3));
  }
  return text;
}

std::string decision_chain(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.advice) return "";
  const auto& decision = outcome.advice->decision;
  const std::string worth = length_text(std::fabs(over_panel(outcome, decision.mu)), options.unit);
  const std::string read = length_text(std::fabs(over_panel(outcome, outcome.eps->x)), options.unit);
  std::string text;
  if (worth != read) {
    text = fmt::format(
        "A new table is seldom far out, so some of what was read is taken for chance: {} of {} is worth "
        "correcting.\n",
        worth, read);
  }
  if (is_sure(outcome))
    text += fmt::format("Chance that the move makes it better: {}.\n",
                        percent_text(decision.probability_improves));
  if (decision.correct == correct::Correct::no) {
    text +=
        "A move pays only when what it takes off is more than its own uncertainty and a quarter of what is "
        "allowed.\n";
  }
  return text;
}

std::string verdict_chain(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.verdict) return "";
  std::string text = fmt::format(
      "Chance that the setup is within {} {}: {}. 'Within' is said from 95 % on, 'outside' at 5 % or less.\n",
      length_text(over_panel(outcome, outcome.verdict->tolerance_rad), options.unit),
      over_words(outcome, options), percent_text(outcome.verdict->setup_probability));
  if (outcome.verdict->next_panel_probability) {
    text += fmt::format("Chance that the next panel comes out within it: {}.\n",
                        percent_text(*outcome.verdict->next_panel_probability));
  }
  return text;
}

}  // namespace

namespace {

std::string meaning_of_taper(const correct::Outcome& outcome) {
  if (!outcome.check.gaps())
    return "The strip wider at its fence end means a corner over the angle, narrower means under.\n";
  if (outcome.check.test == check::TestKind::frame) {
    return outcome.check.outer_sign > 0
               ? "A last joint open outside means mitres over the angle, open inside means under.\n"
               : "The outer edge lay away from the fence: a last joint open outside means a kept corner "
                 "under "
                 "the angle, open inside means over.\n";
  }
  return "A joint open at its fence end means a corner over the angle, open at the free end means under.\n";
}

}  // namespace

std::string why_text(const correct::Outcome& outcome, const TextOptions& options) {
  std::string text;
  for (std::size_t i = 0; i < outcome.check.strips.size() && i < outcome.fit.tapers.size(); ++i) {
    text += strip_chain(outcome, outcome.check.strips[i], outcome.fit.tapers[i], options);
  }
  text += meaning_of_taper(outcome);
  if (outcome.check.strips.size() > 1) {
    text += fmt::format("All {}s together: {} {} by {}.\n", counted_word(outcome.check),
                        side_word(outcome.fit.eta.x), nominal_words(outcome),
                        length_text(std::fabs(over_panel(outcome, outcome.fit.eta.x)), options.unit));
  }
  text += how_sure_text(outcome, options, true) + verdict_chain(outcome, options) +
          setup_chain(outcome, options) + decision_chain(outcome, options);
  return finished(text, options);
}

}  // namespace quarterturn::report
