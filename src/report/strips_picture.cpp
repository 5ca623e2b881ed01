// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/picture_parts.hpp"
#include "report/pictures.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr double kLeft = 58, kRight = 12, kTop = 24, kPlot = 104, kLowPlot = 76, kBelow = 40, kBelowBare = 12;
constexpr std::size_t kManyStrips = 4;  // from so many on they are drawn lower
constexpr double kLeastMm = 0.04;       // a strip that does not vary is not drawn as if it did

struct Range {
  double low, high;
  void take(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

std::string name_of(const check::Check& check, const check::Strip& strip, std::size_t panels) {
  std::string name = strip_title(check, strip);
  if (panels > 1 && !check.gaps()) name += fmt::format(" of panel {}", strip.panel);
  return name;
}

std::size_t panels_of(const check::Check& check) {
  int highest = 1;
  for (const auto& strip : check.strips) highest = std::max(highest, strip.panel);
  return static_cast<std::size_t>(highest);
}

const char* left_word(const check::Check& check) {
  switch (check.test) {
    case check::TestKind::rail:
      return "near end";
    case check::TestKind::frame:
      return "outer end";
    default:
      return "F, fence end";
  }
}
const char* right_word(const check::Check& check) {
  switch (check.test) {
    case check::TestKind::rail:
      return "far end";
    case check::TestKind::frame:
      return "inner end";
    default:
      return "free end";
  }
}

std::vector<Point> band_of(const FittedLine& line, const Scale& x, const Scale& y) {
  constexpr int kSteps = 16;
  std::vector<Point> edge;
  for (const int side : {1, -1}) {
    for (int k = 0; k <= kSteps; ++k) {
      const int step = side > 0 ? k : kSteps - k;
      const double at = x.from + (x.to - x.from) * step / kSteps;
      edge.push_back({x(at), y(line.at(at) + side * 2 * line.u_at(at))});
    }
  }
  return edge;
}

void draw_readings(Drawing& drawing, const check::Strip& strip, const Scale& x, const Scale& y) {
  for (const auto& spot : strip.spots) {
    // Equal readings of one place lie beside each other, so that each is seen.
    const double apart = 5, all = apart * static_cast<double>(spot.readings.size() - 1);
    double shift = -std::min(all, 20.0) / 2;
    const double step =
        spot.readings.size() > 1 ? std::min(all, 20.0) / static_cast<double>(spot.readings.size() - 1) : 0;
    for (const auto& reading : spot.readings) {
      drawing.circle("q-dot", {x(spot.position_mm) + shift, y(reading.mm)}, 3);
      shift += step;
    }
  }
}

/// Where one strip is drawn, and whether its ends are named below it.
struct Room {
  double top = 0, plot = kPlot;
  bool ends_named = true;
};

/// The next strip was measured between the same two places, so that it names the ends of both.
bool next_names_ends(const check::Check& check, std::size_t at, std::size_t shown) {
  if (at + 1 >= shown) return false;
  const auto &own = check.strips[at].spots, &next = check.strips[at + 1].spots;
  return own.front().position_mm == next.front().position_mm &&
         own.back().position_mm == next.back().position_mm;
}

/// One strip in its room. \returns what it shows, in a sentence
std::string draw_strip(Drawing& drawing, const correct::Outcome& outcome, std::size_t at, const Room& room,
                       units::Unit unit) {
  const double top = room.top;
  const auto& strip = outcome.check.strips[at];
  const bool fits = at < outcome.fit.tapers.size();
  const double first = strip.spots.front().position_mm, last = strip.spots.back().position_mm;
  FittedLine line;
  Range range{strip.spots.front().readings.front().mm, strip.spots.front().readings.front().mm};
  for (const auto& spot : strip.spots) {
    for (const auto& reading : spot.readings) range.take(reading.mm);
  }
  if (fits) {
    line = fitted_line(strip, outcome.fit.tapers[at], outcome.fit);
    for (const double p : {first, last}) {
      for (const double side : {-2.0, 2.0}) range.take(line.at(p) + side * line.u_at(p));
    }
  }
  const double margin = std::max(0.08 * (range.high - range.low), (kLeastMm - (range.high - range.low)) / 2);
  const Box frame{kLeft, top + kTop, drawing.width() - kRight, top + kTop + room.plot};
  const Scale x{first, last, frame.left + 16, frame.right - 16};
  const Scale y{range.low - margin, range.high + margin, frame.bottom, frame.top};
  const std::string name = name_of(outcome.check, strip, panels_of(outcome.check));
  drawing.text("q-ink", {{0, top + 13}},
               fmt::format("{}: {}, {}", name, outcome.check.gaps() ? "gap" : "width", unit_word(unit)));
  upright_axis(drawing, frame, y, unit, 4);
  if (fits) {
    drawing.path("q-band", band_of(line, x, y), true);
    drawing.path("q-fit", {{x(first), y(line.at(first))}, {x(last), y(line.at(last))}});
  }
  draw_readings(drawing, strip, x, y);
  drawing.line("q-axis", {frame.left, frame.bottom}, {frame.right, frame.bottom});
  if (room.ends_named) {
    const double under = frame.bottom + 17;
    drawing.text("q-quiet", {{frame.left, under}}, left_word(outcome.check), kSmallSize);
    drawing.text("q-quiet", {{frame.right, under}, Anchor::end}, right_word(outcome.check), kSmallSize);
    drawing.label("q-quiet", {{{(frame.left + frame.right) / 2, under}, Anchor::middle}},
                  size_text(last - first, unit) + " apart", kSmallSize);
  }
  if (!fits)
    return name + fmt::format(" from {} to {}.", length_text(range.low, unit), length_text(range.high, unit));
  const double difference = line.at(first) - line.at(last);
  return fmt::format("{}: {} by {} at its {} over {}.", name,
                     std::fabs(difference) < 0.005 ? "wider or narrower"
                     : difference > 0              ? "wider"
                                                   : "narrower",
                     length_text(std::fabs(difference), unit), left_word(outcome.check),
                     size_text(last - first, unit));
}

}  // namespace

double FittedLine::u_at(double position_mm) const {
  return std::hypot(u_middle_mm, u_taper_rad * (position_mm - middle_mm));
}

FittedLine fitted_line(const check::Strip& strip, const check::Taper& taper, const check::Fit& fit) {
  const auto variance = [&](check::Component component) {
    const double s = fit.scatter[static_cast<std::size_t>(component)].estimate_mm;
    return s * s;
  };
  const double between = variance(check::Component::saw_marks), within = variance(check::Component::reading);
  const auto weight = [&](const check::Spot& spot) {
    const double v = between + within / static_cast<double>(spot.readings.size());
    return v > 0 ? 1 / v : static_cast<double>(spot.readings.size());
  };
  FittedLine line;
  double sum = 0, squares = 0;
  for (const auto& spot : strip.spots) {
    const double w = weight(spot);
    sum += w;
    line.middle_mm += w * spot.position_mm;
    line.width_mm += w * check::mean_mm(spot.readings);
  }
  line.middle_mm /= sum;
  line.width_mm /= sum;
  for (const auto& spot : strip.spots)
    squares += weight(spot) * (spot.position_mm - line.middle_mm) * (spot.position_mm - line.middle_mm);
  line.taper_rad = taper.taper_rad;
  line.u_taper_rad = taper.u_rad;
  // The fit's own u of the taper is 1/sqrt(S); that of the mean 1/sqrt(sum of weights), by the same scale.
  line.u_middle_mm = taper.u_rad * std::sqrt(squares / sum);
  return line;
}

Drawing strips_picture(const correct::Outcome& outcome, units::Unit unit) {
  const auto& check = outcome.check;
  const std::size_t shown = std::min(check.strips.size(), kMostStripPictures);
  const bool rail = check.test == check::TestKind::rail;
  Drawing drawing(kPictureWidth, rail           ? "Gaps along the rail"
                                 : check.gaps() ? "Gaps along each joint, with the fitted line"
                                                : "Widths along each strip, with the fitted line");
  std::string words;
  double top = 0;
  for (std::size_t at = 0; at < shown; ++at) {
    const bool named = !next_names_ends(check, at, shown);
    const double plot = shown < kManyStrips ? kPlot : kLowPlot;
    words += draw_strip(drawing, outcome, at, {top, plot, named}, unit) + " ";
    top += kTop + plot + (named ? kBelow : kBelowBare);
  }
  std::string key = "A dot is one reading";
  if (!rail) {
    key += ", the line is fitted, the band twice its standard uncertainty by ";
    key += check.gaps() ? "readings and edges" : "readings and saw marks";
  }
  key += ".";
  if (shown < check.strips.size())
    key += fmt::format(" {} more {}s: their readings stand in the table.", check.strips.size() - shown,
                       counted_word(check));
  for (const auto& row : broken(key, drawing.width(), kSmallSize)) {
    drawing.text("q-quiet", {{0, top + 12}}, row, kSmallSize);
    top += 15;
  }
  drawing.describe(words + key);
  drawing.set_height(top + 6);
  return drawing;
}

}  // namespace quarterturn::report
