// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/plan_report.hpp"
#include "report/plan_words.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using plan::Further;
using plan::FurtherStep;

/// `3 more cuts on this panel (10 min)`, `a fresh panel with 8 cuts (25 min)`
std::string step_words(const FurtherStep& step, bool time) {
  std::string text;
  if (step.fresh_panels == 0) {
    text = step.cuts == 1 ? std::string("1 more cut on this panel")
                          : fmt::format("{} more cuts on this panel", step.cuts);
  } else if (step.fresh_panels == 1) {
    text = fmt::format("a fresh panel with {} cuts", step.cuts);
  } else {
    text = fmt::format("{} fresh panels with {} cuts each", step.fresh_panels, step.cuts);
  }
  return time ? text + " (" + minutes_text(step.minutes) + ")" : text;
}

std::string left_words(const FurtherStep& step, const TextOptions& options) {
  if (!step.side_after_mm) return "";
  return fmt::format("; about {} of it would be left",
                     size_text(std::floor(*step.side_after_mm), options.unit));
}

std::string settles(const FurtherStep& step) {
  return step.fresh_panels == 0 && step.cuts > 1 ? "settle" : step.fresh_panels > 1 ? "settle" : "settles";
}

/// A chance just short of what is wanted does not read as that.
std::string chance_text(const FurtherStep& step, double wanted) {
  const bool short_of_it = step.chance < wanted && std::round(100 * step.chance) >= 100 * wanted;
  return percent_text(short_of_it ? step.chance - 0.01 : step.chance);
}

/// What is taken for true.
std::string measured_words(const plan::Settling& s, const TextOptions& options) {
  const double mm = s.over_mm * std::fabs(s.further.eta_rad), allowed = s.over_mm * s.further.tolerance_rad;
  return fmt::format("off by {} (allowed {}{}), as measured", length_text(mm, options.unit),
                     length_text(allowed, options.unit, allowed < 0.095 ? fine_decimals(allowed) : 2),
                     over_length_words(s.over_mm, options.unit));
}

std::string sentence_case(std::string text) {
  text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return text;
}

/// Why nothing will do.
std::string no_way_words(const Further& f, plan::NoWay reason, const std::string& measured) {
  if (reason == plan::NoWay::at_tolerance) {
    return fmt::format(
        "No number of cuts will settle it if the corner is {}: that is right at what is allowed.", measured);
  }
  if (reason == plan::NoWay::panel_too_small)
    return "A panel of that size bears no test more: take a larger one.";
  const FurtherStep& best = f.steps[plan::nearest(f)];
  return fmt::format("Even {} would settle it in only {} of tests, if the corner is {}.",
                     step_words(best, true), chance_text(best, f.wanted), measured);
}

/// What settles it, with what that leaves of the panel; or why nothing will do.
/// \param measured  what is taken for true of the corner
std::string way_words(const plan::Settling& s, const std::string& measured, const TextOptions& options) {
  const Further& f = s.further;
  std::string text = f.used_up ? "This panel is used up. " : "";
  if (const auto reason = plan::no_way(f)) {
    text += no_way_words(f, *reason, measured);
  } else {
    const FurtherStep& step = f.steps[*f.cheapest];
    if (step.fresh_panels > 0 && !f.used_up) text += "More cuts on this panel are not enough. ";
    text += fmt::format("{} {} it in {}, if the corner is {}{}.", sentence_case(step_words(step, true)),
                        settles(step), out_of_words(f.wanted), measured, left_words(step, options));
  }
  if (f.cheapest_provisional) {
    const FurtherStep& step = f.steps[*f.cheapest_provisional];
    text += fmt::format(
        " For a verdict that is still provisional, {} {}.", step_words(step, true),
        step.fresh_panels != 1 && (step.cuts > 1 || step.fresh_panels > 1) ? "are enough" : "is enough");
  }
  return text;
}

}  // namespace

std::string settle_sentence(const plan::Settling& s, const TextOptions& options) {
  const Further& f = s.further;
  if (f.settled) {
    return fmt::format("It is settled: {}. No more cuts are needed.",
                       f.now == check::Answer::within ? "WITHIN" : "OUTSIDE");
  }
  const std::string measured = measured_words(s, options);
  if (f.at_tolerance) return way_words(s, measured, options);
  std::string text;
  if (f.now == check::Answer::cannot_tell) {
    text = "It cannot tell yet. ";
  } else {
    text = fmt::format("It is {} so far, but rests on assumed seating. ",
                       f.now == check::Answer::within ? "WITHIN" : "OUTSIDE");
  }
  return text + way_words(s, measured, options);
}

std::string settling_line(const plan::Settling& s, const TextOptions& options) {
  std::string text = way_words(s, "as measured", options);
  const auto& f = s.further;
  const bool on_panel = f.cheapest && f.steps[*f.cheapest].fresh_panels == 0;
  if (s.panel_known || !on_panel) return text;
  return text + fmt::format(" Stop before the panel gets under {}.",
                            size_text(check::kSmallestPanelMm, options.unit));
}

std::string settle_text(const plan::Settling& s, const TextOptions& options) {
  const Further& f = s.further;
  std::string text;
  if (s.settle_first)
    text +=
        "First clear up what the check says there is to clear up: it may be a mistake, and no cut settles "
        "that.\n";
  if (s.find_first) text += "First find out why it moved: 'find'. No cut settles that.\n";
  if (!s.check.empty()) text += units::inert(s.check) + ": ";
  text += settle_sentence(s, options) + "\n";
  if (f.strict) text += "Strict: it says either only when the whole ± lies there.\n";
  if (!f.settled && !f.cheapest) text += "'correct' says whether a move pays.\n";
  if (!f.steps.empty()) {
    std::vector<TableLine> lines;
    bool star = false;
    for (const FurtherStep& step : f.steps) {
      star = star || step.provisional;
      const std::string mark = step.provisional ? "*" : "", what = step_words(step, false),
                        left = step.side_after_mm ? size_text(std::floor(*step.side_after_mm), options.unit)
                                                  : "not known";
      TableLine line{{what, minutes_text(step.minutes),
                      half_width_amount(s.over_mm * step.half_width, options.unit) + mark,
                      chance_text(step, f.wanted), left},
                     fmt::format("{}: {}{}; settled with a chance of {}", step_words(step, true),
                                 half_width_text(s.over_mm * step.half_width, options.unit), mark,
                                 chance_text(step, f.wanted))};
      if (step.side_after_mm) line.sentence += fmt::format("; {} of the panel left", left);
      lines.push_back(std::move(line));
    }
    text += "\n" + table_text({"more cuts", "time", "± about", "settled", "panel left"}, lines, options);
    if (star) {
      text += fmt::format("* still rests on the usual seating of {}, which is assumed.\n",
                          length_text(check::kAssumedSeatingMm, options.unit, 3));
    }
    text +=
        "\nIt is taken that the corner is what was measured, and that reading, saw marks and seating stay as "
        "they "
        "were found.\n";
    if (!s.panel_known)
      text += "The panel's size is not known: stop before it gets under 300 mm. --panel SIZE tells.\n";
  }
  return finished(text + "\n" + std::string(kPlanCare), options);
}

}  // namespace quarterturn::report
