// SPDX-License-Identifier: MIT
#include "check/summary.hpp"

#include <algorithm>
#include <cmath>

#include "check/reference_lengths.hpp"
#include "check/resolution.hpp"

namespace quarterturn::check {

Summary summarise(const Check& check) {
  Summary s;
  double inverse = 0, spots = 0;
  for (const Strip& strip : check.strips) {
    const auto n = static_cast<double>(strip.spots.size());
    double mean_p = 0, mean_w = 0;
    std::vector<double> means;
    means.reserve(strip.spots.size());
    for (const Spot& spot : strip.spots) {
      const double mean = mean_mm(spot.readings);
      for (const Reading& r : spot.readings) s.ss_pure += (r.mm - mean) * (r.mm - mean);
      s.nu_pure += static_cast<double>(spot.readings.size()) - 1;
      inverse += 1.0 / static_cast<double>(spot.readings.size());
      spots += 1;
      means.push_back(mean);
      mean_p += spot.position_mm / n;
      mean_w += mean / n;
    }
    double sxx = 0, sxy = 0;
    for (std::size_t i = 0; i < means.size(); ++i) {
      const double dp = strip.spots[i].position_mm - mean_p;
      sxx += dp * dp;
      sxy += dp * (means[i] - mean_w);
    }
    for (std::size_t i = 0; i < means.size(); ++i) {
      const double e = means[i] - mean_w - sxy / sxx * (strip.spots[i].position_mm - mean_p);
      s.ss_line += e * e;
    }
    s.nu_line += n - 2;
    s.sxx.push_back(sxx);
  }
  // Repeats that agree to rounding of the arithmetic agree exactly.
  if (s.ss_pure < 1e-20) s.ss_pure = 0;
  if (s.nu_line <= 0) s.ss_line = 0;
  s.harmonic_repeats = spots / inverse;
  return s;
}

namespace {

/// A gap test: the piece in the saw, and while it is read (M95)–(M97).
std::vector<double> joint_spans(const Check& check, const Corners& corners, const FitOptions& options) {
  const double dogs = options.span_mm.value_or(kDefaultSpanMm);
  std::vector<double> spans;
  for (const auto& name : corners.names) {
    std::optional<double> edge;
    if (check.panel_size) edge = check.panel_size->width_mm;
    // Of one board cut in two each half lies at the fence by itself.
    if (edge && check.form == Form::halves && name.piece_read > 0) *edge = (*edge - kKerfMm) / 2;
    double span = dogs;
    if (options.bar_length_mm) span = std::min(*options.bar_length_mm, edge.value_or(kBarEdgeMm));
    // A piece that is shorter than the dogs are apart lies against what there is of the fence under it.
    if (edge) span = std::min(span, *edge);
    spans.push_back(std::max(kLeastEdgeMm, span));
  }
  return spans;
}

}  // namespace

bool contacts_follow(const Check& check, const FitOptions& options) {
  return options.bar_length_mm && check.panel_size && !check.gaps();
}

// Cut i shortens the edge then on the fence; the panel's two dimensions take turns there.
double side_on_bar(const PanelSize& panel, int cut) {
  return cut % 2 != 0 ? panel.width_mm : panel.depth_mm;
}

int strips_taken(int cut) {
  return (cut - 1) / 2;
}

std::vector<double> corner_spans(const Check& check, const Corners& corners, const FitOptions& options) {
  if (check.gaps()) return joint_spans(check, corners, options);
  const double dogs = options.span_mm.value_or(kDefaultSpanMm);
  std::vector<double> spans(corners.names.size(), dogs);
  if (!options.bar_length_mm) return spans;
  if (!contacts_follow(check, options)) {
    std::fill(spans.begin(), spans.end(), std::min(*options.bar_length_mm, kBarEdgeMm));
    return spans;
  }
  double width = 0, count = 0;
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) {
      width += mean_mm(spot.readings);
      count += 1;
    }
  }
  const double waste = width / count + kKerfMm;
  for (std::size_t c = 0; c < spans.size(); ++c) {
    const int cut = corners.names[c].cut;
    const double edge = side_on_bar(*check.panel_size, cut) - waste * strips_taken(cut);
    spans[c] = std::max(kLeastEdgeMm, std::min(*options.bar_length_mm, edge));
  }
  return spans;
}

GroupData group_of(const Check& check, const Corners& corners, const Summary& summary,
                   std::span<const double> spans, double s2) {
  GroupData group;
  group.ss_pure = summary.ss_pure;
  group.nu_pure = summary.nu_pure;
  const double d = resolution_mm(check);
  group.strips.reserve(check.strips.size());
  for (const Strip& strip : check.strips) {
    StripData data;
    for (std::vector<double>* values : {&data.position, &data.width, &data.reading_share, &data.fixed})
      values->reserve(strip.spots.size());
    for (const Spot& spot : strip.spots) {
      const SpotVariance v = spot_variance(s2, static_cast<int>(spot.readings.size()), d);
      data.position.push_back(spot.position_mm);
      data.width.push_back(mean_mm(spot.readings));
      data.reading_share.push_back(v.share);
      data.fixed.push_back(v.fixed);
    }
    group.strips.push_back(std::move(data));
  }
  group.x = corners.regressors();
  group.regressors = 1 + corners.boards;
  group.seating = seating_matrix(corners, spans);
  return group;
}

}  // namespace quarterturn::check
