// SPDX-License-Identifier: MIT
#include "report/drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "report/amounts.hpp"
#include "report/canvas.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr int kRows = 7;     ///< height of the drawing of a strip
constexpr int kMargin = 12;  ///< columns of the labels left of it
constexpr int kWidest = 72, kNarrowest = 24;

int room(const TextOptions& options) {
  return std::clamp(options.width - kMargin - 2, kNarrowest, kWidest);
}

/// The fitted line: through the mean of all readings, falling by the taper.
struct Line {
  double position_mm = 0, width_mm = 0, taper_rad = 0;
  [[nodiscard]] double at(double position) const { return width_mm - taper_rad * (position - position_mm); }
};

Line line_of(const check::Strip& strip, double taper_rad) {
  Line line;
  double readings = 0;
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) {
      line.position_mm += spot.position_mm;
      line.width_mm += reading.mm;
      readings += 1;
    }
  }
  line.position_mm /= readings;
  line.width_mm /= readings;
  line.taper_rad = taper_rad;
  return line;
}

}  // namespace

std::string strip_drawing(const correct::Outcome& outcome, std::size_t at, const TextOptions& options) {
  const auto& strip = outcome.check.strips[at];
  const Line line = line_of(strip, outcome.fit.tapers[at].taper_rad);
  const double first = strip.spots.front().position_mm, last = strip.spots.back().position_mm;
  double low = std::min(line.at(first), line.at(last)), high = std::max(line.at(first), line.at(last));
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) {
      low = std::min(low, reading.mm);
      high = std::max(high, reading.mm);
    }
  }
  const double least = 0.02;  // a strip that does not vary is not drawn as if it did
  if (high - low < least) {
    const double middle = (high + low) / 2;
    low = middle - least / 2;
    high = middle + least / 2;
  }
  const int width = room(options);
  Canvas canvas(width, kRows);
  for (int column = 0; column < width; ++column) {
    const double position = first + (last - first) * column / (width - 1);
    canvas.put(column, kRows - 1 - scaled(line.at(position), low, high, kRows), "─");
  }
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) {
      canvas.put(scaled(spot.position_mm, first, last, width),
                 kRows - 1 - scaled(reading.mm, low, high, kRows), "●");
    }
  }
  std::string text =
      fmt::format("{}{}: {} along it, ● a reading, ─ the fitted line\n", strip_title(outcome.check, strip),
                  strip.panel > 1 && !outcome.check.gaps() ? fmt::format(" of panel {}", strip.panel) : "",
                  outcome.check.gaps() ? "gap" : "width");
  for (int row = 0; row < kRows; ++row) {
    std::string label;
    if (row == 0) label = length_text(high, options.unit);
    if (row == kRows - 1) label = length_text(low, options.unit);
    text += fmt::format("{:>{}} │{}\n", label, kMargin - 2, canvas.row(row));
  }
  const bool ring = outcome.check.test == check::TestKind::frame;
  const std::string right = ring ? "inside" : "free end";
  const std::string left = ring ? "outside" : "F, fence end";
  text +=
      std::string(kMargin, ' ') + left +
      std::string(static_cast<std::size_t>(std::max(1, width - static_cast<int>(left.size() + right.size()))),
                  ' ') +
      right + "\n";
  return text;
}

std::string strips_drawing(const correct::Outcome& outcome, const TextOptions& options) {
  double reach = 0.01;
  for (const auto& taper : outcome.fit.tapers) {
    reach =
        std::max(reach, 1.05 * over_panel(outcome, std::fabs(taper.corner_rad()) + 2 * taper.corner_u_rad()));
  }
  const int width = room(options) / 2 * 2 + 1;
  std::string text =
      fmt::format("{0} by {1} {2}, ● with its ± from readings and {3} (between {4} and {5}, ┊ the angle)\n",
                  outcome.check.gaps() ? "Joint" : "Strip", outcome.check.gaps() ? "joint" : "strip",
                  over_words(outcome, options), outcome.check.gaps() ? "edges" : "saw marks",
                  length_text(-reach, options.unit), length_text(reach, options.unit));
  for (const auto& taper : outcome.fit.tapers) {
    const double x = over_panel(outcome, taper.corner_rad()),
                 half = over_panel(outcome, 2 * taper.corner_u_rad());
    Canvas canvas(width, 1);
    const auto column = [&](double mm) { return scaled(mm, -reach, reach, width); };
    canvas.put(column(0), 0, "┊");
    for (int c = column(x - half); c <= column(x + half); ++c) canvas.put(c, 0, "─");
    canvas.put(column(x - half), 0, "├");
    canvas.put(column(x + half), 0, "┤");
    canvas.put(column(x), 0, "●");
    const std::string name =
        outcome.check.gaps()
            ? fmt::format("{} {}", check::test_row(outcome.check.test).unit_word, taper.panel)
            : fmt::format("{}: {}-{}", taper.panel, taper.from_cut, taper.to_cut);
    text += fmt::format("{:>{}}  {}\n", name, kMargin - 2, canvas.row(0));
  }
  return text;
}

std::string interval_drawing(const correct::Outcome& outcome, const TextOptions& options) {
  const double x = over_panel(outcome, outcome.fit.eta.x);
  const double half = over_panel(
      outcome, outcome.fit.eta.unknown ? outcome.fit.measuring_half_width : outcome.fit.eta.half_width);
  const double allowed = outcome.tolerance ? over_panel(outcome, outcome.tolerance->angle.rad()) : 0;
  const double reach = 1.1 * std::max({std::fabs(x) + half, allowed, 0.01});
  const int width = (room(options) - static_cast<int>(std::string(" over").size())) / 2 * 2 + 1;
  const auto column = [&](double mm) { return scaled(mm, -reach, reach, width); };
  Canvas canvas(width, 3);
  for (int c = 0; c < width; ++c) canvas.put(c, 1, "─");
  canvas.put(column(0), 1, "┼");
  for (int c = column(x - half); c <= column(x + half); ++c) canvas.put(c, 0, "─");
  canvas.put(column(x - half), 0, "├");
  canvas.put(column(x + half), 0, "┤");
  canvas.put(column(x), 0, "●");
  if (allowed > 0) {
    for (const double mark : {-allowed, allowed}) canvas.put(column(mark), 1, "│");
    canvas.put_text(column(-allowed) - 3, 2, "allowed");
    if (column(allowed) - column(-allowed) > 16) canvas.put_text(column(allowed) - 3, 2, "allowed");
  }
  const std::string left = "under", right = "over";
  std::string text =
      fmt::format("The corner {}, ● with its ± (between {} and {})\n", over_words(outcome, options),
                  length_text(-reach, options.unit), length_text(reach, options.unit));
  text += fmt::format("{:>{}}  {}\n", "", kMargin - 2, canvas.row(0));
  text += fmt::format("{:>{}}  {} {}\n", left, kMargin - 2, canvas.row(1), right);
  text += fmt::format("{:>{}}  {}\n", "", kMargin - 2, canvas.row(2));
  return text;
}

}  // namespace quarterturn::report
