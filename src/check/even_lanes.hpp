// SPDX-License-Identifier: MIT
/// \file even_lanes.hpp
/// The likelihood of even designs, each lane a check of its own: part of refit_lanes.cpp.
///
/// In       sums of the readings, tapers in the eigenbasis; variances
/// Out      a Point of scoring_lanes.hpp; the corner error with its variance
/// Maths    METHOD.md (M122)
/// Assumes  compiled into a function for the machine (lanes.hpp)
#pragma once

#include "check/scoring_lanes.hpp"

namespace quarterturn::check {

template <class M>
struct EvenProblem : Problem<M> {
  typename M::Pack z[LaneDesign::kMostStrips];  ///< tapers in the eigenbasis
  typename M::Pack share, fixed;
};

/// From the variance of a spot's mean to those of saw marks and, by its share, of a reading.
template <class D>
QUARTERTURN_INLINE void spread_out(D share, D spots, D both, D seats, D (&h)[6]) {
  h[0] = share * share * spots;
  h[1] = share * spots;
  h[2] = spots;
  h[3] = share * both;
  h[4] = both;
  h[5] = seats;
}

/// (M122)
template <class M>
QUARTERTURN_INLINE void evaluate(const LaneDesign& d, const EvenProblem<M>& p,
                                 const typename M::Pack (&theta)[3], Point<M>& out) {
  using Pack = typename M::Pack;
  constexpr int kFactors = 8;  // of determinants to a logarithm: their product stays a number
  const Pack spot = theta[1] + p.share * theta[0] + p.fixed, one = 1.0 / spot;
  Pack log{}, product = M::all(1), w[LaneDesign::kMostStrips];
  Pack a{}, b{};                          // of t^2 w and t z w
  Pack w1{}, w2{}, lw{}, lw2{}, llw2{};   // sums of w, w^2, l w, l w^2, l^2 w^2
  Pack t2{}, t3{}, lt2{}, lt3{}, llt3{};  // of t^2 w^2, t^2 w^3, with l and l^2 before
  for (int i = 0; i < d.strips; ++i) {
    const double l = d.eigenvalue[static_cast<std::size_t>(i)], t = d.regressor[static_cast<std::size_t>(i)];
    const Pack v = theta[2] * l + spot;
    w[i] = 1.0 / v;
    const Pack ww = w[i] * w[i], tw = w[i] * t, ttww = tw * tw, ttwww = ttww * w[i];
    product *= v;
    if (i % kFactors == kFactors - 1) {
      log += stats::log_of(product);
      product = M::all(1);
    }
    a += tw * t;
    b += tw * p.z[i];
    w1 += w[i];
    w2 += ww;
    lw += w[i] * l;
    lw2 += ww * l;
    llw2 += ww * (l * l);
    t2 += ttww;
    t3 += ttwww;
    lt2 += ttww * l;
    lt3 += ttwww * l;
    llt3 += ttwww * (l * l);
  }
  log += stats::log_of(product * a);
  const Pack inverse = 1.0 / a, beta = b * inverse;
  Pack quadratic{}, uu{}, luu{};  // u = w (z - t beta)
  Pack wuu{}, lwuu{}, llwuu{}, wtu{}, lwtu{};
  for (int i = 0; i < d.strips; ++i) {
    const double l = d.eigenvalue[static_cast<std::size_t>(i)], t = d.regressor[static_cast<std::size_t>(i)];
    const Pack r = p.z[i] - beta * t, u = w[i] * r, u2 = u * u, wu = w[i] * u;
    quadratic += r * u;
    uu += u2;
    luu += u2 * l;
    wuu += wu * u;
    lwuu += wu * u * l;
    llwuu += wu * u * (l * l);
    wtu += wu * t;
    lwtu += wu * (t * l);
  }
  const Pack by_spot = (M::all(d.nu_line) - p.ss_line * one) * one + (w1 - t2 * inverse - uu);
  const Pack spots = (one * one * d.nu_line + (w2 - t3 * inverse * 2.0 + t2 * t2 * inverse * inverse)) * 0.5;
  const Pack both = (lw2 - lt3 * inverse * 2.0 + lt2 * t2 * inverse * inverse) * 0.5;
  const Pack seats = (llw2 - llt3 * inverse * 2.0 + lt2 * lt2 * inverse * inverse) * 0.5;
  // Second derivatives: as much twice in the data, less what is expected.
  const Pack spots_seen = p.ss_line * one * one * one + (wuu - wtu * wtu * inverse) - spots,
             both_seen = (lwuu - wtu * lwtu * inverse) - both,
             seats_seen = llwuu - lwtu * lwtu * inverse - seats;
  out.minus = (stats::log_of(spot) * d.nu_line + p.ss_line * one + log + quadratic) * 0.5;
  out.gradient[0] = p.share * by_spot * 0.5;
  out.gradient[1] = by_spot * 0.5;
  out.gradient[2] = (lw - lt2 * inverse - luu) * 0.5;
  spread_out(p.share, spots, both, seats, out.information);
  spread_out(p.share, spots_seen, both_seen, seats_seen, out.observed);
  add_all_known(d, p, theta, out);
}

/// (M13), (M25): the corner error, its variance and how that changes with each variance.
template <class M>
QUARTERTURN_INLINE void corner_error(const LaneDesign& d, const EvenProblem<M>& p,
                                     const Solution<M, Point<M>>& s, typename M::Pack& eta,
                                     typename M::Pack& variance, typename M::Pack (&gradient)[3]) {
  using Pack = typename M::Pack;
  const Pack spot = s.theta[1] + p.share * s.theta[0] + p.fixed;
  Pack precision{}, score{}, squares{}, scatter{};
  for (int i = 0; i < d.strips; ++i) {
    const auto at = static_cast<std::size_t>(i);
    const Pack w = 1.0 / (s.theta[2] * d.eigenvalue[at] + spot), wt = w * d.regressor[at];
    precision += wt * d.regressor[at];
    score += wt * p.z[i];
    squares += wt * wt;
    scatter += wt * wt * d.eigenvalue[at];
  }
  variance = 1.0 / precision;
  const Pack square = variance * variance, of_spot = squares * square;
  gradient[0] = of_spot * p.share;
  gradient[1] = of_spot;
  gradient[2] = scatter * square;
  eta = score * variance;
}

}  // namespace quarterturn::check
