// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/drawing.hpp"
#include "report/drawing_parts.hpp"
#include "report/strip_line.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

/// `0.08 mm over`; what rounds to nothing has no side.
std::string sided(double mm, units::Unit unit) {
  const std::string amount = length_text(std::fabs(mm), unit);
  const bool nothing = amount.substr(0, amount.find(' ')).find_first_of("123456789") == std::string::npos;
  return nothing ? amount : amount + " " + side_word(mm);
}

/// Rounded up to the bench's step.
std::string within_text(double mm, units::Unit unit) {
  const double step = unit == units::Unit::inch ? units::kMmPerInch / 1000 : 0.01;
  constexpr double kGrace = 1e-6;
  return length_text(std::max(std::ceil(mm / step - kGrace), 1.0) * step, unit);
}

/// Where an interval lies against what is allowed.
std::string against_allowed(double low, double high, double allowed) {
  if (low > allowed || high < -allowed) return "The whole of it lies beyond what is allowed.";
  const bool over = high > allowed, under = low < -allowed;
  if (over && under) return "It reaches beyond what is allowed on both sides.";
  if (over) return "It reaches beyond what is allowed on the over side.";
  if (under) return "It reaches beyond what is allowed on the under side.";
  return "The whole of it lies within what is allowed.";
}

}  // namespace

std::string interval_words(const correct::Outcome& outcome, const TextOptions& options) {
  const double x = over_panel(outcome, outcome.fit.eta.x), half = shown_half_width(outcome);
  std::string text =
      fmt::format("The corner {}: {}, {} from {} to {}.", over_words(outcome, options),
                  sided(x, options.unit), outcome.fit.eta.unknown ? "by measuring alone" : "with its ±",
                  sided(x - half, options.unit), sided(x + half, options.unit));
  if (outcome.tolerance) {
    const double allowed = over_panel(outcome, outcome.tolerance->angle.rad());
    text += fmt::format(" Allowed is {} to either side. {}", length_text(allowed, options.unit),
                        against_allowed(x - half, x + half, allowed));
  }
  return text + "\n";
}

std::string strip_words(const correct::Outcome& outcome, std::size_t at, const TextOptions& options) {
  const auto& strip = outcome.check.strips[at];
  const StripLine line = strip_line(strip, outcome.fit.tapers[at].taper_rad);
  const double first = strip.spots.front().position_mm, last = strip.spots.back().position_mm;
  const double wider = line.at(first) - line.at(last);
  const bool ring = outcome.check.test == check::TestKind::frame;
  double farthest = 0;
  int readings = 0;
  std::string named;
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) {
      ++readings;
      farthest = std::max(farthest, std::fabs(reading.mm - line.at(spot.position_mm)));
      if (is_named(outcome, strip, spot, reading))
        named +=
            fmt::format(" One to look at: {} at {} from the {} end.", length_text(reading.mm, options.unit),
                        size_text(spot.position_mm, options.unit), ring ? "outer" : "fence");
    }
  }
  const std::string amount = length_text(std::fabs(wider), options.unit, 2);
  const bool none = amount == length_text(0, options.unit);
  const char* end = wider > 0 ? "at the fence end" : "at the free end";
  if (ring) end = wider > 0 ? "outside" : "inside";
  return fmt::format(
      "{}{}: {}{} over {}; its {} readings lie within {} of the line.{}\n", strip_title(outcome.check, strip),
      of_panel(outcome, strip), outcome.check.gaps() ? "gap " : "",
      none ? std::string("as wide at both ends") : fmt::format("{} wider {}", amount, end),
      size_text(last - first, options.unit), readings, within_text(farthest, options.unit), named);
}

std::string turn_words(int first_cut, int last_cut, bool keep_left, bool before) {
  const char* const turn = keep_left == before ? "left" : "right";
  std::string text = fmt::format(
      "In words, seen from above, you in front: the fence lies {} the panel. The rail lies across it: the "
      "part "
      "to its {} is kept, the strip to its {} falls off. X stays up.",
      before ? "behind" : "on your side of", keep_left ? "left" : "right", keep_left ? "right" : "left");
  if (first_cut == 1 && last_cut > 1) {
    text += fmt::format(
        " Turned a quarter turn to the {} before each further cut, the panel has the edge of cut 1 on the "
        "fence in cut 2, and so on, the edge of cut {} in cut {}.",
        turn, last_cut - 1, last_cut);
  } else {
    text += fmt::format(" In cut {} the edge of cut {} lies on the fence.", last_cut, last_cut - 1);
  }
  return text + fmt::format(" F stands on the strip of cut {}, at its end on the fence.\n", last_cut);
}

}  // namespace quarterturn::report
