// SPDX-License-Identifier: MIT
#include "check/mistakes.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace quarterturn::check {

namespace {

// Thresholds of (M36): sizes beyond any seating or reading, common practice, no source.
constexpr double kThinMm = 12.0, kNearEndMm = 10.0, kWrongTurnMm = 0.3, kFaceTurnMm = 0.15;
constexpr double kCloseEndsMm = 150.0, kClosePlacesMm = 10.0;
constexpr double kInchBand = 0.03;  // relative
constexpr double kWidestMm = 75.0;  // of a strip that a caliper is put on
constexpr double kMisread = 2.0;    // widths of one strip never differ by such a factor
constexpr double kCoarseMm = 25.4 / 64 - 1e-9;
constexpr double kMostTyped = 1e15;  // in steps: a double tells no more digits apart
constexpr int kCopiedFrom = 6;       // degrees of freedom of repeats, all zero

double mean_width(const Strip& strip) {
  double sum = 0, count = 0;
  for (const Spot& spot : strip.spots) {
    for (const Reading& r : spot.readings) {
      sum += r.mm;
      count += 1;
    }
  }
  return sum / count;
}

double apart(const Strip& strip) {
  return strip.spots.back().position_mm - strip.spots.front().position_mm;
}

Where where_strip(const Strip& strip) {
  Where w;
  w.panel = strip.panel;
  if (strip.to_cut > 0) {
    w.from_cut = strip.from_cut;
    w.to_cut = strip.to_cut;
  }
  return w;
}

bool near_inch(double ratio) {
  return std::fabs(ratio / 25.4 - 1) < kInchBand || std::fabs(ratio * 25.4 - 1) < kInchBand;
}

/// What seating and reading may do to one taper without a mistake: readings, and seating of the usual size.
/// \param squares  of the corner counts that it sums; four cuts: 4
double usual(const Fit& fit, std::size_t j, double squares = 4) {
  const double seat = kAssumedSeatingMm * std::sqrt(2.0) / fit.span_mm;
  return std::sqrt(fit.tapers[j].u_rad * fit.tapers[j].u_rad + squares * seat * seat);
}

void find_strip_mistakes(Fit& fit, const Check& check) {
  const std::size_t n = fit.tapers.size();
  // A board turned end for end shows its own taper the other way, and another board has another one.
  if (n < 2 || check.form == Form::halves) return;
  const Corners corners = corners_of(check);
  for (std::size_t j = 0; j < n; ++j) {
    std::vector<double> rest;
    for (std::size_t i = 0; i < n; ++i) {
      if (i != j) rest.push_back(fit.tapers[i].taper_rad);
    }
    const double others = median(rest), own = fit.tapers[j].taper_rad,
                 u = usual(fit, j, corners.squares(static_cast<int>(j)));
    const double length = apart(check.strips[j]);
    const bool alike =
        n == 2 || *std::max_element(rest.begin(), rest.end()) - *std::min_element(rest.begin(), rest.end()) <
                      std::fabs(own - others) / 2;
    Finding f{
        "", where_strip(check.strips[j]), {{"taper_mm", own * length}, {"others_mm", others * length}}, {}};
    const double size = std::max(std::fabs(own), std::fabs(others));
    if (alike && own * others < 0 && std::fabs(own - others) > 8 * u &&
        std::fabs(own + others) < 0.35 * size) {
      f.code = "ends-swapped";
    } else if (!check.gaps() && alike && std::fabs(own - others) * length > kWrongTurnMm &&
               std::fabs(own - others) > 12 * u) {
      f.code = "turned-wrong-way";
    } else {
      continue;
    }
    fit.findings.push_back(f);
    return;  // with two strips either may be the one; with more the odd one is named
  }
}

/// Two runs of successive strips of one panel, each alike within, apart from one another.
void find_face_turned(Fit& fit, const Check& check) {
  const std::size_t n = fit.tapers.size();
  if (check.test != TestKind::progressive || n < 4) return;
  for (const Finding& f : fit.findings) {
    if (f.code == "ends-swapped" || f.code == "turned-wrong-way") return;
  }
  const auto spread = [&](std::size_t from, std::size_t to, double& mean) {
    double low = fit.tapers[from].taper_rad, high = low, sum = 0;
    for (std::size_t i = from; i < to; ++i) {
      low = std::min(low, fit.tapers[i].taper_rad);
      high = std::max(high, fit.tapers[i].taper_rad);
      sum += fit.tapers[i].taper_rad;
    }
    mean = sum / static_cast<double>(to - from);
    return high - low;
  };
  for (std::size_t split = 2; split + 2 <= n; ++split) {
    if (check.strips[split].panel != check.strips[0].panel) return;
    double before = 0, after = 0;
    const double inner = std::max(spread(0, split, before), spread(split, n, after));
    const double step = std::fabs(before - after), length = apart(check.strips[split]);
    if (step > 4 * inner && step * length > kFaceTurnMm && step > 6 * usual(fit, split)) {
      Finding f{"face-turned", {}, {}, {}};
      f.where.panel = check.strips[split].panel;
      f.numbers = {
          {"cut", check.strips[split].to_cut}, {"before_mm", before * length}, {"after_mm", after * length}};
      fit.findings.push_back(f);
      return;
    }
  }
}

/// One finding a spot whose readings differ from `reference` as inch from mm.
bool find_other_unit(Fit& fit, const Check& check, double reference) {
  bool found = false;
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) {
      for (const Reading& r : spot.readings) {
        if (!near_inch(r.mm / reference)) continue;
        Finding f{"inch-or-mm", where_strip(strip), {{"value_mm", r.mm}}, {}};
        f.where.position_mm = spot.position_mm;
        if (r.line > 0) f.where.line = r.line;
        f.numbers["other_mm"] = r.mm < reference ? r.mm * 25.4 : r.mm / 25.4;
        fit.findings.push_back(f);
        found = true;
        break;
      }
    }
  }
  return found;
}

/// All of them in the other unit: no strip is so thin or so wide, and in the other unit it is like any other.
bool find_whole_in_other_unit(Fit& fit, const Check& check, double middle_mm) {
  const bool inch = check.unit == units::Unit::inch;
  if (!(inch ? is_whole_in_mm(middle_mm) : is_whole_in_inches(middle_mm))) return false;
  fit.findings.push_back({"inch-or-mm",
                          {},
                          {{"all_mm", middle_mm}, {"whole_mm", inch ? middle_mm / 25.4 : middle_mm * 25.4}},
                          {}});
  return true;
}

/// A digit left out or put in, or a line slipped: a reading that is none of this strip's widths.
void find_misread(Fit& fit, const Check& check) {
  for (const Strip& strip : check.strips) {
    std::vector<double> widths;
    for (const Spot& spot : strip.spots) {
      for (const Reading& r : spot.readings) widths.push_back(r.mm);
    }
    std::ranges::sort(widths);
    const double middle_mm = widths[widths.size() / 2];
    for (const Spot& spot : strip.spots) {
      for (const Reading& r : spot.readings) {
        const bool wide = r.mm > kMisread * middle_mm, narrow = r.mm * kMisread < middle_mm;
        if (!(wide || narrow) || near_inch(r.mm / middle_mm)) continue;
        Finding f{"misread", where_strip(strip), {{"value_mm", r.mm}, {"other_mm", middle_mm}}, {}};
        f.where.position_mm = spot.position_mm;
        if (r.line > 0) f.where.line = r.line;
        fit.findings.push_back(f);
      }
    }
  }
}

void find_widths(Fit& fit, const Check& check) {
  std::vector<double> all;
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) {
      for (const Reading& r : spot.readings) all.push_back(r.mm);
    }
  }
  const double middle = median(all);
  // Few in the other unit stand off the middle; half of them pull the middle between, then the widest tell.
  const bool other_unit = find_other_unit(fit, check, middle) ||
                          find_other_unit(fit, check, *std::max_element(all.begin(), all.end()));
  if (!other_unit) find_misread(fit, check);
  if (find_whole_in_other_unit(fit, check, middle)) return;
  const double thickness = check.panel_size ? check.panel_size->thickness_mm.value_or(0) : 0;
  for (const Strip& strip : check.strips) {
    const double width = mean_width(strip);
    if (width < std::max(kThinMm, thickness)) {
      Finding f{"thin-strip", where_strip(strip), {{"width_mm", width}}, {}};
      fit.findings.push_back(f);
    }
  }
  if (fit.resolution_mm >= kCoarseMm) {
    fit.findings.push_back({"coarse-reading", {}, {{"step_mm", fit.resolution_mm}}, {}});
  }
}

/// One finding a check: the ends of a strip nearer to each other than the smallest panel allows for, or two
/// places that are one.
void find_close_places(Fit& fit, const Check& check) {
  for (const Strip& strip : check.strips) {
    // A mitre is as short as its piece is narrow.
    const bool short_by_nature = check.test == TestKind::frame;
    double close = !short_by_nature && apart(strip) < kCloseEndsMm ? apart(strip) : 0;
    for (std::size_t i = 1; i < strip.spots.size(); ++i) {
      const double step = strip.spots[i].position_mm - strip.spots[i - 1].position_mm;
      if (step < kClosePlacesMm) close = step;
    }
    if (close == 0) continue;
    fit.findings.push_back({"places-close", where_strip(strip), {{"apart_mm", close}}, {}});
    return;
  }
}

/// Strips cut and measured on another day, places measured too near an end or taken for the strip's length.
void find_circumstances(Fit& fit, const Check& check) {
  if (!check.measured.empty() && !check.date.empty() &&
      check.measured.substr(0, 10) != check.date.substr(0, 10)) {
    fit.findings.push_back({"late", {}, {}, {}});
  }
  bool told_length = false;
  for (const Strip& strip : check.strips) {
    const Spot& first = strip.spots.front();
    if (first.position_mm > 0 && first.position_mm < kNearEndMm) {
      Finding f{"torn-end", where_strip(strip), {{"position_mm", first.position_mm}}, {}};
      f.where.position_mm = first.position_mm;
      fit.findings.push_back(f);
    }
    if (check.panel_size && !told_length) {
      const double panel = std::max(check.panel_size->width_mm, check.panel_size->depth_mm);
      if (apart(strip) >= panel) {
        Finding f{
            "length-not-apart", where_strip(strip), {{"apart_mm", apart(strip)}, {"panel_mm", panel}}, {}};
        fit.findings.push_back(f);
        told_length = true;
      }
    }
  }
}

/// Repeats equal at every spot although the caliper is stated to repeat no finer than half a step.
void find_copied(Fit& fit, const Check& check) {
  int dof = 0;
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) {
      for (const Reading& r : spot.readings) {
        if (r.mm != spot.readings.front().mm) return;
      }
      dof += static_cast<int>(spot.readings.size()) - 1;
    }
  }
  if (dof < kCopiedFrom) return;
  const bool finer = check.caliper && check.caliper->repeatability_mm > fit.resolution_mm / 2;
  if (finer || fit.resolution_mm <= 0.005) fit.findings.push_back({"copied", {}, {}, {}});
}

}  // namespace

bool is_whole_in_inches(double width_mm) {
  return width_mm * 25.4 >= kThinMm && width_mm * 25.4 <= kWidestMm;
}

bool is_whole_in_mm(double width_mm) {
  return width_mm / 25.4 >= kThinMm && width_mm / 25.4 <= kWidestMm;
}

double median(std::vector<double> x) {
  std::sort(x.begin(), x.end());
  const std::size_t m = x.size() / 2;
  return x.size() % 2 != 0 ? x[m] : 0.5 * (x[m - 1] + x[m]);
}

const char* explain_reading(double value_mm, std::span<const double> others_mm, double step_mm) {
  if (others_mm.empty()) return "";
  const double other = median(std::vector<double>(others_mm.begin(), others_mm.end()));
  if (near_inch(value_mm / other)) return "inch-or-mm";
  // Nobody swaps digits of a number that is typed with more of them than are ever told apart.
  if (step_mm > 0 && value_mm / step_mm < kMostTyped) {
    std::string digits = std::to_string(std::llround(value_mm / step_mm));
    for (std::size_t i = 0; i + 1 < digits.size(); ++i) {
      if (digits[i] == digits[i + 1]) continue;
      std::string swapped = digits;
      std::swap(swapped[i], swapped[i + 1]);
      const double meant = static_cast<double>(std::stoll(swapped)) * step_mm;
      if (std::fabs(meant - other) <= 4 * step_mm) return "swapped-digits";
    }
  }
  return value_mm > *std::max_element(others_mm.begin(), others_mm.end()) ? "tilted-jaw" : "";
}

void find_mistakes(Fit& fit, const Check& check) {
  find_strip_mistakes(fit, check);
  find_face_turned(fit, check);
  find_circumstances(fit, check);
  find_close_places(fit, check);
  if (check.gaps()) return;  // what follows is about widths and calipers
  find_widths(fit, check);
  find_copied(fit, check);
}

}  // namespace quarterturn::check
