// SPDX-License-Identifier: MIT
#include "check/scatter.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "check/reference_lengths.hpp"
#include "check/resolution.hpp"

namespace quarterturn::check {

namespace {

constexpr std::size_t kReading = 0, kSaw = 1, kSeating = 2;

GroupData group_of(const Check& check, const Corners& corners, std::span<const double> spans, double s2) {
  GroupData group;
  const Summary summary = summarise(check);
  group.ss_pure = summary.ss_pure;
  group.nu_pure = summary.nu_pure;
  const double d = resolution_mm(check);
  for (const Strip& strip : check.strips) {
    StripData data;
    for (const Spot& spot : strip.spots) {
      const SpotVariance v = spot_variance(s2, static_cast<int>(spot.readings.size()), d);
      data.position.push_back(spot.position_mm);
      data.width.push_back(mean_mm(spot.readings));
      data.reading_share.push_back(v.share);
      data.fixed.push_back(v.fixed);
    }
    group.strips.push_back(std::move(data));
  }
  group.x = corners.t;
  group.seating = seating_matrix(corners, spans);
  return group;
}

/// The likelihood over the free variances alone; the others stand at their given values.
stats::RemlModel over_free(const StripLikelihood& likelihood, const std::array<double, 3>& given,
                           const std::vector<std::size_t>& free) {
  return [&likelihood, given, free](std::span<const double> theta, stats::RemlPoint& out) {
    std::array<double, 3> full = given;
    for (std::size_t i = 0; i < free.size(); ++i) full[free[i]] = theta[i];
    stats::RemlPoint all;
    likelihood.evaluate(full, all);
    out.minus_log = all.minus_log;
    out.gradient.resize(free.size());
    out.information.resize(free.size() * free.size());
    for (std::size_t i = 0; i < free.size(); ++i) {
      out.gradient[i] = all.gradient[free[i]];
      for (std::size_t j = 0; j < free.size(); ++j) {
        out.information[i * free.size() + j] = all.information[free[i] * 3 + free[j]];
      }
    }
  };
}

void maximise(ScatterFit& fit, const std::array<double, 3>& start) {
  std::vector<std::size_t> free;
  std::vector<double> begin;
  for (std::size_t k = 0; k < 3; ++k) {
    if (fit.is_free[k]) {
      free.push_back(k);
      begin.push_back(start[k]);
    }
  }
  fit.information.assign(9, 0.0);
  if (!free.empty()) {
    const stats::RemlFit reml = stats::maximise_reml(over_free(*fit.likelihood, fit.theta, free), begin);
    for (std::size_t i = 0; i < free.size(); ++i) {
      fit.theta[free[i]] = reml.theta[i];
      for (std::size_t j = 0; j < free.size(); ++j) {
        fit.information[free[i] * 3 + free[j]] = reml.at.information[i * free.size() + j];
      }
    }
  }
  fit.tapers = fit.likelihood->tapers(fit.theta);
}

/// Moment estimates to start from; never zero.
std::array<double, 3> start_values(const ScatterFit& fit, const Summary& summary, const Corners& corners,
                                   std::span<const Evidence> evidence, const Check& check) {
  const double floor = std::max({fit.s2_reading, fit.fixed, 1e-8});
  std::array<double, 3> start{floor, 0.5 * floor, 4e-4};
  if (summary.nu_line > 0) {
    const double line = summary.ss_line / summary.nu_line;
    start[kSaw] = std::max(line - floor / summary.harmonic_repeats, 0.1 * line + 1e-3 * floor);
    if (!fit.is_free[kReading] || fit.s2_reading <= 0) start[kReading] = std::max(line, floor);
  }
  for (const Evidence& e : evidence) {
    if (e.component == Component::seating && e.s2 > 0) start[kSeating] = e.s2;
  }
  if (check.strips.size() > 1) {
    std::vector<double> ratio;
    for (std::size_t j = 0; j < check.strips.size(); ++j) ratio.push_back(fit.tapers.taper[j] / corners.t[j]);
    double mean = 0, ss = 0;
    for (const double r : ratio) mean += r / static_cast<double>(ratio.size());
    for (const double r : ratio) ss += (r - mean) * (r - mean);
    const double per_mm2 = fit.likelihood->groups()[0].seating[0] / (corners.t[0] * corners.t[0]);
    start[kSeating] =
        std::max(0.5 * ss / static_cast<double>(ratio.size() - 1) / per_mm2, 0.05 * start[kSeating]);
  }
  return start;
}

}  // namespace

Summary summarise(const Check& check) {
  Summary s;
  double inverse = 0, spots = 0;
  for (const Strip& strip : check.strips) {
    const auto n = static_cast<double>(strip.spots.size());
    double mean_p = 0, mean_w = 0;
    std::vector<double> means;
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

std::vector<double> corner_spans(const Check& check, const Corners& corners, const FitOptions& options) {
  const double dogs = options.span_mm.value_or(kDefaultSpanMm);
  std::vector<double> spans(corners.names.size(), dogs);
  if (!options.bar_length_mm) return spans;
  if (!check.panel_size) {
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
    // Cut i shortens the edge then on the fence; the panel's two dimensions take turns there.
    const int cut = corners.names[c].cut;
    const double side = cut % 2 != 0 ? check.panel_size->width_mm : check.panel_size->depth_mm;
    const int taken = (cut - 1) / 2;  // whole strips off that side before
    const double edge = side - waste * taken;
    spans[c] = std::max(50.0, std::min(*options.bar_length_mm, edge));
  }
  return spans;
}

double ScatterFit::theta_variance(Component component) const {
  const auto k = static_cast<std::size_t>(component);
  if (!is_free[k] || !(information[k * 3 + k] > 0)) return 0.0;
  Eigen::Matrix3d a = Eigen::Map<const Eigen::Matrix3d>(information.data());
  Eigen::Vector3d root;
  for (int i = 0; i < 3; ++i) {
    if (!(a(i, i) > 0)) a(i, i) = 1.0;
    root(i) = std::sqrt(a(i, i));
  }
  Eigen::Matrix3d unit = root.cwiseInverse().asDiagonal() * a * root.cwiseInverse().asDiagonal();
  unit.diagonal().array() += 1e-14;
  const auto i = static_cast<Eigen::Index>(k);
  const Eigen::Vector3d x = unit.ldlt().solve(Eigen::Vector3d::Unit(i));
  return x(i) / (root(i) * root(i));
}

ScatterFit fit_scatter(const Check& check, const Corners& corners, std::span<const Evidence> evidence,
                       std::span<const ScatterEvidence> earlier, const FitOptions& options) {
  ScatterFit fit;
  const Summary today = summarise(check);
  double ss = today.ss_pure, nu = today.nu_pure, nu_line = today.nu_line, nu_j = 0;
  std::vector<Evidence> used;
  for (const Evidence& e : evidence) {
    if (e.nu <= 0) continue;
    used.push_back(e);
    fit.evidence_nu[static_cast<std::size_t>(e.component)] += e.nu;
    if (e.component == Component::reading) {
      ss += e.nu * e.s2;
      nu += e.nu;
    }
  }
  std::vector<Corners> earlier_corners;
  for (const ScatterEvidence& old : earlier) {
    const Summary s = summarise(old.readings);
    ss += s.ss_pure;
    nu += s.nu_pure;
    nu_line += s.nu_line;
    nu_j += static_cast<double>(old.readings.strips.size()) - 1;
    earlier_corners.push_back(corners_of(old.readings));
  }
  fit.nu_reading = nu;
  fit.s2_reading = nu > 0 ? ss / nu : 0.0;
  fit.resolution = resolution_mm(check);
  fit.log = nu_j > 0;
  // (M18)
  const double lambda = fit.log ? 1.0 / (1.0 + options.omega2 * nu_j / 2) : 1.0;
  fit.log_nu = lambda * nu_j;
  // (M19)
  const bool seating_known = fit.log || fit.evidence_nu[kSeating] > 0;
  if (options.use_assumed && !seating_known && check.strips.size() < 4) {
    used.push_back(
        {Component::seating, kAssumedSeatingMm * kAssumedSeatingMm, kAssumedSeatingDof, Source::assumed, ""});
    fit.evidence_nu[kSeating] += kAssumedSeatingDof;
    fit.assumed = true;
  }
  std::vector<GroupData> groups{
      group_of(check, corners, corner_spans(check, corners, options), fit.s2_reading)};
  for (std::size_t i = 0; i < earlier.size(); ++i) {
    FitOptions then = options;
    if (earlier[i].span_mm > 0) then.span_mm = earlier[i].span_mm;
    const auto spans = corner_spans(earlier[i].readings, earlier_corners[i], then);
    groups.push_back(group_of(earlier[i].readings, earlier_corners[i], spans, fit.s2_reading));
    groups.back().discount = lambda;
  }
  bool shares = false;
  double fixed = 0, spots = 0;
  for (const StripData& strip : groups.front().strips) {
    for (std::size_t i = 0; i < strip.position.size(); ++i) {
      fixed += strip.fixed[i];
      spots += 1;
    }
  }
  for (const GroupData& group : groups) {
    for (const StripData& strip : group.strips) {
      shares = shares || std::any_of(strip.reading_share.begin(), strip.reading_share.end(),
                                     [](double share) { return share > 0; });
    }
  }
  fit.fixed = fixed / spots;
  fit.informed = {nu > 0, nu_line > 0 || fit.evidence_nu[kSaw] > 0,
                  seating_known || fit.assumed || check.strips.size() > 1};
  fit.is_free = {shares && nu > 0, fit.informed[kSaw], fit.informed[kSeating]};
  // (M30): no repeat, no residual, no statement of the caliper.
  if (!fit.informed[kReading] && !fit.informed[kSaw] && check.strips.size() < 2) {
    NoInterval no;
    double sum = 0;
    fit.likelihood = std::make_unique<StripLikelihood>(groups, used);
    fit.tapers = fit.likelihood->tapers(std::array<double, 3>{1, 0, 1});
    for (std::size_t j = 0; j < check.strips.size(); ++j) {
      const Strip& strip = check.strips[j];
      no.tapers.push_back({strip.panel, strip.from_cut, strip.to_cut, fit.tapers.taper[j], 0.0});
      sum += fit.tapers.taper[j] / corners.t[j];
    }
    no.eta_rad = sum / static_cast<double>(check.strips.size());
    throw no;
  }
  fit.theta = {fit.s2_reading, 0.0, 0.0};
  fit.likelihood = std::make_unique<StripLikelihood>(std::move(groups), used);
  fit.tapers = fit.likelihood->tapers(std::array<double, 3>{std::max(fit.s2_reading, 1e-8), 0.0, 1e-8});
  maximise(fit, start_values(fit, today, corners, used, check));
  return fit;
}

ScatterFit refit_with(const ScatterFit& base, std::span<const double> column) {
  std::vector<GroupData> groups = base.likelihood->groups();
  GroupData& today = groups.front();
  std::vector<double> x;
  for (std::size_t j = 0; j < today.strips.size(); ++j) {
    x.push_back(today.x[j]);
    x.push_back(column[j]);
  }
  today.x = std::move(x);
  today.regressors = 2;
  ScatterFit fit;
  fit.theta = base.theta;
  fit.is_free = base.is_free;
  fit.likelihood = std::make_unique<StripLikelihood>(std::move(groups), base.likelihood->evidence());
  std::array<double, 3> start = base.theta;
  const double least = 1e-3 * std::max({start[0], start[1], start[2], 1e-8});
  for (double& value : start) value = std::max(value, least);
  maximise(fit, start);
  return fit;
}

}  // namespace quarterturn::check
