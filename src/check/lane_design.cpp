// SPDX-License-Identifier: MIT
#include "check/lane_design.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "check/reference_lengths.hpp"
#include "check/summary.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::check {
namespace {

constexpr std::size_t kReading = 0, kSaw = 1, kSeating = 2;
constexpr int kContrastsWithoutAssumption = 3;  // four tapers (M19)

bool as_many_readings(const Check& check) {
  const std::size_t repeats = check.strips.front().spots.front().readings.size();
  return std::ranges::all_of(check.strips, [&](const Strip& strip) {
    return std::ranges::all_of(strip.spots,
                               [&](const Spot& spot) { return spot.readings.size() == repeats; });
  });
}

bool in_range(const Check& check) {
  return check.strips.size() <= LaneDesign::kMostStrips &&
         std::ranges::all_of(check.strips, [](const Strip& strip) {
           return strip.spots.size() <= LaneDesign::kMostSpots &&
                  std::ranges::all_of(strip.spots, [](const Spot& spot) {
                    return spot.readings.size() <= LaneDesign::kMostRepeats;
                  });
         });
}

/// Readings drawn in the steps found here have these found in them again, unless they all are multiples.
bool steps_found_again(const Check& check, double resolution) {
  double step = std::numeric_limits<double>::infinity();
  for (const auto& strip : check.strips)
    for (const auto& spot : strip.spots)
      for (const auto& reading : spot.readings) step = std::min(step, reading.step_mm);
  if (check.caliper) step = std::max(step, check.caliper->resolution_mm);
  return resolution > 0 && step == resolution;
}

/// q of (M25) as a function of 1/dof on 0 to 1: to 1e-13, seen at 2,000 places for 0.8, 0.95 and 0.99.
std::vector<double> quantile_series(double confidence) {
  constexpr std::size_t kTerms = 28;
  std::vector<double> value(kTerms), series(kTerms);
  const auto angle = [](std::size_t k) { return std::numbers::pi * (static_cast<double>(k) + 0.5) / kTerms; };
  for (std::size_t k = 0; k < kTerms; ++k)
    value[k] = stats::t_quantile(0.5 * (1 + confidence), 2 / (1 + std::cos(angle(k))));
  for (std::size_t j = 0; j < kTerms; ++j) {
    for (std::size_t k = 0; k < kTerms; ++k)
      series[j] += value[k] * std::cos(static_cast<double>(j) * angle(k)) * 2 / kTerms;
  }
  series[0] /= 2;
  return series;
}

void set_places(LaneDesign& d, const Check& check) {
  for (const auto& strip : check.strips) {
    d.first.push_back(static_cast<int>(d.position.size()));
    double middle = 0;
    for (const auto& spot : strip.spots) middle += spot.position_mm / static_cast<double>(strip.spots.size());
    for (const auto& spot : strip.spots) {
      d.position.push_back(spot.position_mm);
      d.from_middle.push_back(spot.position_mm - middle);
      d.readings.push_back(static_cast<int>(spot.readings.size()));
    }
  }
  d.first.push_back(static_cast<int>(d.position.size()));
}

/// Where in a list a value stands; it is put there if it is not.
template <class Items, class Is, class Make>
std::size_t place_of(Items& items, std::size_t from, Is is, Make make) {
  for (std::size_t k = from; k < items.size(); ++k)
    if (is(items[k])) return k;
  items.push_back(make());
  return items.size() - 1;
}

/// Spots of one strip that are read equally often have one variance: their sums are all that a fit needs.
void set_classes(LaneDesign& d) {
  for (std::size_t j = 0; j < static_cast<std::size_t>(d.strips); ++j) {
    const auto begin = static_cast<std::size_t>(d.first[j]), end = static_cast<std::size_t>(d.first[j + 1]),
               first = d.classes.size();
    d.first_class.push_back(static_cast<int>(first));
    for (std::size_t i = begin; i < end; ++i) {
      const int each = d.readings[i];
      const auto repeats = static_cast<int>(place_of(
          d.repeats, 0, [&](int other) { return other == each; },
          [&] {
            d.spots.push_back(0);
            return each;
          }));
      const std::size_t at = place_of(
          d.classes, first, [&](const SpotClass& other) { return other.repeats == repeats; },
          [&] {
            SpotClass fresh;
            fresh.repeats = repeats;
            return fresh;
          });
      SpotClass& one = d.classes[at];
      const double x = d.from_middle[i];
      one.spots += 1;
      one.position += x;
      one.square += x * x;
      double r = 0;
      if (end - begin == 3)
        r = d.from_middle[begin + (i - begin + 1) % 3] - d.from_middle[begin + (i - begin + 2) % 3];
      one.contrast += r;
      one.contrast_square += r * r;
      one.contrast_position += r * x;
      d.contrast.push_back(r);
      d.spots[static_cast<std::size_t>(repeats)] += 1;
      d.class_of.push_back(static_cast<int>(at));
    }
  }
  d.first_class.push_back(static_cast<int>(d.classes.size()));
}

/// (M27), (M96): what shares no seating.
void set_units(LaneDesign& d, const Corners& corners, double confidence) {
  const auto boards = static_cast<std::size_t>(corners.boards);
  for (int j = 0; j < d.strips && boards == 0; ++j) d.units.push_back({j, j});
  for (std::size_t b = 0; b < boards; ++b) {
    std::vector<int> joints;
    for (int j = 0; j < d.strips; ++j)
      if (corners.K[static_cast<std::size_t>(j) * boards + b] != 0) joints.push_back(j);
    if (joints.size() == 2) d.units.push_back({joints[0], joints[1]});
  }
  d.unit_share.assign(static_cast<std::size_t>(d.strips), 0);
  for (const auto& unit : d.units)
    for (const int j : unit)
      d.unit_share[static_cast<std::size_t>(j)] += 0.5 / static_cast<double>(d.units.size());
  if (d.units.size() > 1)
    d.quantile_units = stats::t_quantile(0.5 * (1 + confidence), static_cast<double>(d.units.size()) - 1);
}

void set_eigenbasis(LaneDesign& d, const Corners& corners, std::span<const double> spans) {
  const std::vector<double> k = seating_matrix(corners, spans);
  const auto n = static_cast<Eigen::Index>(d.strips);
  // In units of what spots leave in its taper a strip's own scatter is that of a spot.
  const Eigen::VectorXd root = Eigen::Map<const Eigen::VectorXd>(d.sxx.data(), n).cwiseSqrt();
  const Eigen::MatrixXd scaled =
      root.asDiagonal() * Eigen::Map<const Eigen::MatrixXd>(k.data(), n, n) * root.asDiagonal();
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> basis(scaled);
  const Eigen::MatrixXd& q = basis.eigenvectors();
  const Eigen::VectorXd t =
      q.transpose() * root.cwiseProduct(Eigen::Map<const Eigen::VectorXd>(corners.t.data(), n));
  for (Eigen::Index i = 0; i < n; ++i) {
    d.eigenvalue.push_back(std::max(0.0, basis.eigenvalues()(i)));
    d.regressor.push_back(t(i));
    for (Eigen::Index j = 0; j < n; ++j) d.rotation.push_back(q(j, i) * root(j));
  }
  d.per_mm2 = k[0] / (corners.t[0] * corners.t[0]);
}

/// A design that is not even, as far as there is room for one.
bool set_uneven(LaneDesign& d, const Check& check, const Corners& corners, std::span<const double> spans,
                const FitOptions& options) {
  set_classes(d);
  if (d.strips > LaneDesign::kMostUnevenStrips || corners.boards > LaneDesign::kMostBoards ||
      d.corners > LaneDesign::kMostCorners || d.repeats.size() > LaneDesign::kMostClasses)
    return false;
  d.regressors = 1 + corners.boards;
  d.x = corners.regressors();
  d.seating = seating_matrix(corners, spans);
  d.counts = corners.T;
  if (!contacts_follow(check, options)) return true;
  d.bar.emplace();
  d.bar->length = *options.bar_length_mm;
  for (const auto& name : corners.names) {
    d.bar->side.push_back(side_on_bar(*check.panel_size, name.cut));
    d.bar->taken.push_back(strips_taken(name.cut));
  }
  return true;
}

void set_drawing(LaneDesign& d, const Check& check, const Corners& corners, std::span<const double> spans,
                 const Fit& fit) {
  d.turns = corners.t;
  d.gaps = check.gaps();
  d.eta = fit.eta.x;
  d.reading = fit.scatter[kReading].estimate_mm;
  d.saw = fit.scatter[kSaw].estimate_mm;
  d.resolution = fit.resolution_mm;
  for (int j = 0; j < d.strips; ++j) {
    const auto& spots = check.strips[static_cast<std::size_t>(j)].spots;
    d.wide.push_back(d.gaps ? kMostGapMm / 2 : mean_mm(spots.front().readings));
    d.middle.push_back((spots.front().position_mm + spots.back().position_mm) / 2);
    for (int c = 0; c < d.corners; ++c) {
      d.corner.push_back(corners.at(j, c) * (fit.scatter[kSeating].estimate_mm * std::sqrt(2.0) /
                                             spans[static_cast<std::size_t>(c)]));
    }
  }
}

}  // namespace

std::optional<LaneDesign> lane_design(const Check& check, const Corners& corners,
                                      std::span<const Evidence> drawn, const Fit& fit,
                                      const FitOptions& options) {
  if (corners.board_taper_unseen || !in_range(check) || !steps_found_again(check, fit.resolution_mm))
    return {};
  LaneDesign d;
  d.strips = corners.strips;
  d.corners = corners.columns();
  const Summary summary = summarise(check);
  d.nu_pure = summary.nu_pure;
  d.nu_line = summary.nu_line;
  d.harmonic_repeats = summary.harmonic_repeats;
  d.sxx = summary.sxx;
  set_places(d, check);
  for (const auto& one : drawn) d.nu_outside[static_cast<std::size_t>(one.component)] += one.nu;
  const bool several = corners.contrasts() > 0, from_log = d.nu_outside[kSeating] > 0;
  const bool assumed = options.use_assumed && !from_log && corners.contrasts() < kContrastsWithoutAssumption;
  d.assumed = assumed;
  if (assumed) d.nu_outside[kSeating] = kAssumedSeatingDof;
  d.saw_free = d.nu_line + d.nu_outside[kSaw] > 0;
  d.seating_free = several || from_log || assumed;
  // (M30): no ± at all, or one that is told as not known.
  if (!d.seating_free || !(several || d.saw_free || d.nu_pure + d.nu_outside[kReading] > 0)) return {};
  d.panels = corners.independent() && !from_log && !assumed;
  if (d.panels) {
    set_units(d, corners, options.confidence);
    if (d.units.size() < 2) return {};
  }
  const auto spans = corner_spans(check, corners, options);
  d.even = corners.boards == 0 && as_many_readings(check) && !contacts_follow(check, options);
  if (d.even) set_eigenbasis(d, corners, spans);
  if (!d.even && !set_uneven(d, check, corners, spans, options)) return {};
  set_drawing(d, check, corners, spans, fit);
  d.quantile = quantile_series(options.confidence);
  return d;
}

}  // namespace quarterturn::check
