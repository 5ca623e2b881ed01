// SPDX-License-Identifier: MIT
/// \file uneven_lanes.hpp
/// The likelihood of designs that are not even, each lane a check of its own: part of refit_lanes.cpp.
///
/// In       of each strip's spots that are read equally often the sums of their residuals about the strip's
///          unweighted line; variances
/// Out      a Point of scoring_lanes.hpp with the tapers at these variances; the corner error
/// Maths    METHOD.md (M123)
/// Assumes  compiled into a function for the machine (lanes.hpp)
#pragma once

#include "check/stage_lanes.hpp"

namespace quarterturn::check {

/// Tapers with their variances from readings and saw marks, and what eta weighs them by.
template <class M>
struct UnevenPoint : Point<M> {
  struct Strip {
    typename M::Pack taper, variance, slope[2], weight;
  };
  typename M::Pack variance;  ///< of eta
  Strip strip[LaneDesign::kMostUnevenStrips];
  int strips = 0;

  QUARTERTURN_INLINE void take(typename M::Mask which, const UnevenPoint& other) {
    using L = stats::Lane<typename M::Pack>;
    Point<M>::take(which, other);
    variance = L::select(which, other.variance, variance);
    strips = other.strips;
    for (int j = 0; j < strips; ++j) {
      strip[j].taper = L::select(which, other.strip[j].taper, strip[j].taper);
      strip[j].variance = L::select(which, other.strip[j].variance, strip[j].variance);
      strip[j].weight = L::select(which, other.strip[j].weight, strip[j].weight);
      for (int a = 0; a < 2; ++a)
        strip[j].slope[a] = L::select(which, other.strip[j].slope[a], strip[j].slope[a]);
    }
  }
};

/// (M123)
template <class M>
QUARTERTURN_INLINE void evaluate(const LaneDesign& d, const UnevenProblem<M>& p,
                                 const typename M::Pack (&theta)[3], UnevenPoint<M>& out) {
  using Pack = typename M::Pack;
  constexpr int kFactors = 4;
  const int n = d.strips;
  Pack weight[LaneDesign::kMostClasses], log{}, product = M::all(1);
  for (std::size_t c = 0; c < d.repeats.size(); ++c) {
    const Pack v = theta[1] + p.share[c] * theta[0] + p.fixed[c];
    weight[c] = 1.0 / v;
    log += stats::log_of(v) * d.spots[c];
  }
  LaneLine<M> lines[LaneDesign::kMostUnevenStrips];
  AboutLine<M> about[LaneDesign::kMostStripClasses];
  for (int j = 0; j < n; ++j) {
    line_in_lanes(d, p, j, weight, about, lines[j]);
    product *= lines[j].log_scale;
    if (j % kFactors == kFactors - 1 || j == n - 1) {
      log += stats::log_of(product);
      product = M::all(1);
    }
  }
  LaneStage<M> stage;
  Pack quadratic;
  stage_in_lanes(d, p, lines, theta[2], stage, quadratic);
  Pack trace{}, square{}, scatter{}, of_lines{};
  Pack through[3][LaneDesign::kMostUnevenStrips];  // A' V_a q
  Pack gradient[2] = {Pack{}, Pack{}}, expected[3] = {Pack{}, Pack{}, Pack{}}, mixed[2] = {Pack{}, Pack{}};
  Pack seen[6];
  for (int k = 0; k < 6; ++k) seen[k] = Pack{};
  Pack within[3] = {Pack{}, Pack{}, Pack{}};
  for (int j = 0; j < n; ++j) {
    const LaneLine<M>& line = lines[j];
    const Pack u = stage.u[j], own = stage.p3[j * n + j];
    Pack pkp{};
    for (int i = 0; i < n; ++i) {
      pkp += stage.pk[j * n + i] * stage.p3[i * n + j];
      square += stage.pk[j * n + i] * stage.pk[i * n + j];
    }
    trace += stage.pk[j * n + j];
    scatter += u * stage.ku[j];
    of_lines += line.residual_ss;
    for (int a = 0; a < 2; ++a) {
      gradient[a] += line.trace[a] - line.residual[a] + own * line.slope[a] -
                     u * (line.cross[a] * 2.0 + u * line.slope[a]);
      mixed[a] += pkp * line.slope[a];
      through[a][j] = line.cross[a] + line.slope[a] * u;
    }
    through[2][j] = stage.ku[j];
    for (int k = 0; k < 3; ++k) expected[k] += line.pp[k] + own * line.apa[k] * 2.0;
    const Pack here[2] = {through[0][j], through[1][j]};
    add_seen(d, p, j, weight, about, line, u, here, within);
  }
  for (int i = 0; i < n; ++i) {
    Pack along[2] = {Pack{}, Pack{}}, of[3] = {Pack{}, Pack{}, Pack{}};
    for (int j = 0; j < n; ++j) {
      const Pack p3 = stage.p3[i * n + j], pp = p3 * p3;
      for (int b = 0; b < 2; ++b) along[b] += pp * lines[j].slope[b];
      for (int b = 0; b < 3; ++b) of[b] += p3 * through[b][j];
    }
    for (int k = 0; k < 3; ++k) expected[k] += lines[i].slope[kFirstOfPair[k]] * along[kSecondOfPair[k]];
    seen[0] += through[0][i] * of[0];
    seen[1] += through[0][i] * of[1];
    seen[2] += through[1][i] * of[1];
    seen[3] += through[0][i] * of[2];
    seen[4] += through[1][i] * of[2];
    seen[5] += through[2][i] * of[2];
  }
  for (int k = 0; k < 3; ++k) seen[k] += within[k];
  out.minus = (log + of_lines + stage.log_det + quadratic) * 0.5;
  out.gradient[0] = gradient[0] * 0.5;
  out.gradient[1] = gradient[1] * 0.5;
  out.gradient[2] = (trace - scatter) * 0.5;
  const Pack all[6] = {expected[0], expected[1], expected[2], mixed[0], mixed[1], square};
  // Second derivatives: as much twice in the data, less what is expected.
  for (int k = 0; k < 6; ++k) {
    out.information[k] = all[k] * 0.5;
    out.observed[k] = seen[k] - out.information[k];
  }
  add_all_known(d, p, theta, out);
  out.variance = stage.variance;
  out.strips = n;
  for (int j = 0; j < n; ++j) {
    auto& strip = out.strip[j];
    strip.taper = lines[j].taper;
    strip.variance = lines[j].variance;
    strip.weight = stage.weight[j];
    for (int a = 0; a < 2; ++a) strip.slope[a] = lines[j].slope[a];
  }
}

/// (M13), (M25): the corner error, its variance and how that changes with each variance.
template <class M>
QUARTERTURN_INLINE void corner_error(const LaneDesign& d, const UnevenProblem<M>& p,
                                     const Solution<M, UnevenPoint<M>>& s, typename M::Pack& eta,
                                     typename M::Pack& variance, typename M::Pack (&gradient)[3]) {
  using Pack = typename M::Pack;
  eta = Pack{};
  variance = s.at.variance;
  for (int k = 0; k < 3; ++k) gradient[k] = Pack{};
  for (int i = 0; i < d.strips; ++i) {
    const auto& strip = s.at.strip[i];
    eta += strip.weight * strip.taper;
    for (int a = 0; a < 2; ++a) gradient[a] += strip.weight * strip.weight * strip.slope[a];
    Pack sum{};
    for (int j = 0; j < d.strips; ++j) sum += p.seating[i * d.strips + j] * s.at.strip[j].weight;
    gradient[2] += strip.weight * sum;
  }
}

}  // namespace quarterturn::check
