// SPDX-License-Identifier: MIT
#include "check/even_design.hpp"

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

bool is_even(const Check& check) {
  const std::size_t repeats = check.strips.front().spots.front().readings.size();
  if (check.strips.size() > EvenDesign::kMostStrips || repeats > EvenDesign::kMostRepeats) return false;
  return std::ranges::all_of(check.strips, [&](const Strip& strip) {
    return strip.spots.size() <= EvenDesign::kMostSpots &&
           std::ranges::all_of(strip.spots,
                               [&](const Spot& spot) { return spot.readings.size() == repeats; });
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

void set_places(EvenDesign& d, const Check& check) {
  for (const auto& strip : check.strips) {
    d.first.push_back(static_cast<int>(d.position.size()));
    double middle = 0;
    for (const auto& spot : strip.spots) middle += spot.position_mm / static_cast<double>(strip.spots.size());
    for (const auto& spot : strip.spots) {
      d.position.push_back(spot.position_mm);
      d.from_middle.push_back(spot.position_mm - middle);
    }
  }
  d.first.push_back(static_cast<int>(d.position.size()));
}

void set_eigenbasis(EvenDesign& d, const Corners& corners, std::span<const double> spans) {
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

void set_drawing(EvenDesign& d, const Check& check, const Corners& corners, std::span<const double> spans,
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

std::optional<EvenDesign> even_design(const Check& check, const Corners& corners,
                                      std::span<const Evidence> drawn, const Fit& fit,
                                      const FitOptions& options) {
  // Boards have a regressor of their own; on a bar the contacts follow the widths that are read.
  if (corners.boards > 0 || (options.bar_length_mm && check.panel_size && !check.gaps())) return {};
  if (!is_even(check) || !steps_found_again(check, fit.resolution_mm)) return {};
  EvenDesign d;
  d.strips = corners.strips;
  d.repeats = static_cast<int>(check.strips.front().spots.front().readings.size());
  d.corners = corners.columns();
  const Summary summary = summarise(check);
  d.nu_pure = summary.nu_pure;
  d.nu_line = summary.nu_line;
  d.sxx = summary.sxx;
  if (d.nu_line > 0 && d.nu_line < 3) return {};  // (M28) may ask for its quadrature
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
  if (d.panels && corners.contrasts() < 1) return {};
  const auto spans = corner_spans(check, corners, options);
  set_eigenbasis(d, corners, spans);
  set_drawing(d, check, corners, spans, fit);
  d.quantile = quantile_series(options.confidence);
  if (d.panels) d.quantile_panels = stats::t_quantile(0.5 * (1 + options.confidence), d.strips - 1.0);
  return d;
}

}  // namespace quarterturn::check
