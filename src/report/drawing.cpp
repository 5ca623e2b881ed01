// SPDX-License-Identifier: MIT
#include "report/drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "report/amounts.hpp"
#include "report/canvas.hpp"
#include "report/drawing_parts.hpp"
#include "report/strip_line.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr int kRows = 7;     ///< height of the drawing of a strip
constexpr int kMargin = 12;  ///< columns of the labels left of it
constexpr int kWidest = 72, kNarrowest = 24;

int room(const TextOptions& options) {
  return std::clamp(options.width - kMargin - 2, kNarrowest, kWidest);
}

/// Of readings along a strip: where the window is wide, places that lie close are told apart.
int room_of_strip(const TextOptions& options) {
  constexpr int kWidestStrip = 186;
  return std::clamp(drawn_width(options) - kMargin - 2, kNarrowest, kWidestStrip);
}

constexpr double kLeastRange = 0.02;  ///< [mm] a strip that does not vary is not drawn as if it did
constexpr const char* kAllowed = "allowed";

struct Range {
  double low, high;
};

Range range_of(const check::Strip& strip, const StripLine& line) {
  const double first = line.at(strip.spots.front().position_mm),
               last = line.at(strip.spots.back().position_mm);
  Range range{std::min(first, last), std::max(first, last)};
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) {
      range.low = std::min(range.low, reading.mm);
      range.high = std::max(range.high, reading.mm);
    }
  }
  if (range.high - range.low >= kLeastRange) return range;
  const double middle = (range.high + range.low) / 2;
  return {middle - kLeastRange / 2, middle + kLeastRange / 2};
}

/// The rows of a strip without what stands around them. \param named  set when a reading was marked
Canvas strip_canvas(const correct::Outcome& outcome, const check::Strip& strip, const StripLine& line,
                    const Range& range, int width, bool& named) {
  const double first = strip.spots.front().position_mm, last = strip.spots.back().position_mm;
  const auto row_of = [&](double mm) { return kRows - 1 - scaled(mm, range.low, range.high, kRows); };
  Canvas canvas(width, kRows);
  for (int column = 0; column < width; ++column)
    canvas.put(column, row_of(line.at(first + (last - first) * column / (width - 1))), "─");
  for (const bool marked : {false, true}) {  // a marked one is not hidden by others
    for (const auto& spot : strip.spots) {
      for (const auto& reading : spot.readings) {
        if (is_named(outcome, strip, spot, reading) != marked) continue;
        canvas.put(scaled(spot.position_mm, first, last, width), row_of(reading.mm), marked ? "○" : "●",
                   marked ? Ink::mark : Ink::none);
        named = named || marked;
      }
    }
  }
  return canvas;
}

/// An interval on a line of its own: the part beyond what is allowed is thick.
void put_interval(Canvas& canvas, double x, double half, double reach, double allowed) {
  const int width = canvas.width();
  const auto column = [&](double mm) { return scaled(mm, -reach, reach, width); };
  const auto ink = [&](int at) {
    const bool beyond = allowed > 0 && (at < column(-allowed) || at > column(allowed));
    return beyond ? Ink::mark : Ink::none;
  };
  const int low = column(x - half), high = column(x + half);
  for (int c = low; c <= high; ++c) canvas.put(c, 0, ink(c) == Ink::mark ? "━" : "─", ink(c));
  canvas.put(low, 0, "├", ink(low));
  canvas.put(high, 0, "┤", ink(high));
  canvas.put(column(x), 0, "●", ink(column(x)));
}

/// `between -0.29 mm and 0.29 mm`: what the ends of a line stand for.
std::string ends_words(double reach, units::Unit unit) {
  return fmt::format("the line runs from {} to {}", length_text(-reach, unit), length_text(reach, unit));
}

}  // namespace

std::string strip_drawing(const correct::Outcome& outcome, std::size_t at, const TextOptions& options) {
  const auto& strip = outcome.check.strips[at];
  const StripLine line = strip_line(strip, outcome.fit.tapers[at].taper_rad);
  const Range range = range_of(strip, line);
  const int width = room_of_strip(options);
  bool named = false;
  const Canvas canvas = strip_canvas(outcome, strip, line, range, width, named);
  std::string text = fmt::format("{}{}: {} along it, ● a reading{}, ─ the fitted line\n",
                                 strip_title(outcome.check, strip), of_panel(outcome, strip),
                                 outcome.check.gaps() ? "gap" : "width", named ? ", ○ one to look at" : "");
  const bool alike = length_text(range.high, options.unit) == length_text(range.low, options.unit);
  const int decimals = alike ? 3 : 2;
  for (int row = 0; row < kRows; ++row) {
    std::string label;
    if (row == 0) label = length_text(range.high, options.unit, decimals);
    if (row == kRows - 1) label = length_text(range.low, options.unit, decimals);
    text += fmt::format("{:>{}} │{}\n", label, kMargin - 2, canvas.row(row, options.color));
  }
  const bool ring = outcome.check.test == check::TestKind::frame;
  const std::string right = ring ? "inside" : "free end";
  const std::string left = ring ? "outside" : "F, fence end";
  const int between = std::max(1, width - static_cast<int>(left.size() + right.size()));
  return text + fmt::format("{:{}}{}{:{}}{}\n", "", kMargin, left, "", between, right);
}

std::string strips_drawing(const correct::Outcome& outcome, const TextOptions& options) {
  double reach = 0.01;
  for (const auto& taper : outcome.fit.tapers) {
    reach =
        std::max(reach, 1.05 * over_panel(outcome, std::fabs(taper.corner_rad()) + 2 * taper.corner_u_rad()));
  }
  const int width = room(options) / 2 * 2 + 1;
  std::string text =
      fmt::format("{0} by {1} {2}, ● with its ± from readings and {3}; ┊ {4}, {5}\n",
                  outcome.check.gaps() ? "Joint" : "Strip", outcome.check.gaps() ? "joint" : "strip",
                  over_words(outcome, options), outcome.check.gaps() ? "edges" : "saw marks",
                  nominal_words(outcome), ends_words(reach, options.unit));
  for (const auto& taper : outcome.fit.tapers) {
    Canvas canvas(width, 1);
    const int zero = scaled(0, -reach, reach, width);
    canvas.put(zero, 0, "┊");
    put_interval(canvas, over_panel(outcome, taper.corner_rad()),
                 over_panel(outcome, 2 * taper.corner_u_rad()), reach, 0);
    if (canvas.at(zero, 0) == "─") canvas.put(zero, 0, "┼");  // it stays to be seen where the ± covers it
    const std::string name = outcome.check.gaps()
                                 ? fmt::format("{} {}", check::joint_word(outcome.check), taper.panel)
                                 : fmt::format("{}: {}-{}", taper.panel, taper.from_cut, taper.to_cut);
    text += fmt::format("{:>{}}  {}\n", name, kMargin - 2, canvas.row(0, options.color));
  }
  return text;
}

std::string interval_drawing(const correct::Outcome& outcome, const TextOptions& options) {
  const double x = over_panel(outcome, outcome.fit.eta.x);
  const double half = shown_half_width(outcome);
  const double allowed = outcome.tolerance ? over_panel(outcome, outcome.tolerance->angle.rad()) : 0;
  const double reach = 1.1 * std::max({std::fabs(x) + half, allowed, 0.01});
  const int width = (room(options) - static_cast<int>(std::string(" over").size())) / 2 * 2 + 1;
  const auto column = [&](double mm) { return scaled(mm, -reach, reach, width); };
  Canvas canvas(width, 3);
  put_interval(canvas, x, half, reach, allowed);
  for (int c = 0; c < width; ++c) canvas.put(c, 1, "─");
  canvas.put(column(0), 1, "┼");
  if (allowed > 0) {
    const int size = static_cast<int>(std::string(kAllowed).size());
    const auto name_at = [&](double mm) { return std::clamp(column(mm) - size / 2, 0, width - size); };
    for (const double mark : {-allowed, allowed}) canvas.put(column(mark), 1, "│");
    canvas.put_text(name_at(-allowed), 2, kAllowed);
    if (name_at(allowed) - name_at(-allowed) > size) canvas.put_text(name_at(allowed), 2, kAllowed);
  }
  const bool beyond = canvas.row(0).find("━") != std::string::npos;
  std::string text = fmt::format("The corner {}, ● with {}{}; {}\n", over_words(outcome, options),
                                 outcome.fit.eta.unknown ? "the ± of measuring alone" : "its ±",
                                 beyond ? ", ━ beyond what is allowed" : "", ends_words(reach, options.unit));
  text += fmt::format("{:>{}}  {}\n", "", kMargin - 2, canvas.row(0, options.color));
  text += fmt::format("{:>{}}  {} {}\n", "under", kMargin - 2, canvas.row(1), "over");
  if (allowed > 0) text += fmt::format("{:>{}}  {}\n", "", kMargin - 2, canvas.row(2));
  return text;
}

}  // namespace quarterturn::report
