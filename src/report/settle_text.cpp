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
  return fmt::format("off by {} (allowed {}{})", length_text(mm, options.unit),
                     length_text(allowed, options.unit, allowed < 0.095 ? fine_decimals(allowed) : 2),
                     over_length_words(s.over_mm, options.unit));
}

}  // namespace

std::string settle_sentence(const plan::Settling& s, const TextOptions& options) {
  const Further& f = s.further;
  if (f.settled) {
    return fmt::format("It is settled: {}. No more cuts are needed.",
                       f.now == check::Answer::within ? "WITHIN" : "OUTSIDE");
  }
  const std::string measured = measured_words(s, options), tests = out_of_words(f.wanted);
  if (f.at_tolerance) {
    return fmt::format(
        "No number of cuts will settle it if the corner is {}, as measured: that is right at what is "
        "allowed.",
        measured);
  }
  std::string text;
  if (f.now == check::Answer::cannot_tell) {
    text = "It cannot tell yet. ";
  } else {
    text = fmt::format("It is {} so far, but rests on assumed seating. ",
                       f.now == check::Answer::within ? "WITHIN" : "OUTSIDE");
  }
  if (f.used_up) text += "This panel is used up. ";
  if (f.cheapest) {
    const FurtherStep& step = f.steps[*f.cheapest];
    std::string cuts = step_words(step, true);
    cuts.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(cuts.front())));
    text += fmt::format("{} {} it in {}, if the corner is {}, as measured{}.", cuts, settles(step), tests,
                        measured, left_words(step, options));
  } else if (f.steps.empty()) {
    text += "A panel of that size bears no test more: take a larger one.";
  } else {
    text +=
        fmt::format("None of the ways below settles it in {}: the corner was measured {}.", tests, measured);
  }
  if (f.cheapest_provisional) {
    const FurtherStep& step = f.steps[*f.cheapest_provisional];
    text += fmt::format(
        " For a verdict that is still provisional, {} {}.", step_words(step, true),
        step.fresh_panels != 1 && (step.cuts > 1 || step.fresh_panels > 1) ? "are enough" : "is enough");
  }
  return text;
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
