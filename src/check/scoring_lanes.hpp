// SPDX-License-Identifier: MIT
/// \file scoring_lanes.hpp
/// Fisher scoring of an even design's three variances, each lane a check of its own: part of refit_lanes.cpp.
///
/// In       sums of the readings, tapers in the eigenbasis
/// Out      variances, likelihood and information where they stand still
/// Maths    METHOD.md (M122), the steps those of (M23)
/// Assumes  compiled into a function for the machine (lanes.hpp)
#pragma once

#include <limits>

#include "check/refit_lanes.hpp"
#include "stats/lanes.hpp"

namespace quarterturn::check {

/// Reading, saw marks, seating, as Component has them; mm, mf, ff, ms, fs, ss.
inline constexpr int kDiagonal[3] = {0, 2, 5};

template <class M>
struct Point {
  typename M::Pack minus, gradient[3], information[6];
  typename M::Pack observed[6];  ///< second derivatives themselves; information is what is expected of them
};

template <class M>
struct Problem {
  typename M::Pack z[EvenDesign::kMostStrips];  ///< tapers in the eigenbasis
  typename M::Pack ss_reading, s2_reading, ss_line, share, fixed, start[3];
  typename M::Pack outside[2];  ///< s2 of saw marks and seating
  typename M::Mask free[3];
  double nu_reading = 0;
};

template <class M>
struct Solution {
  typename M::Pack theta[3];
  Point<M> at;
  typename M::Mask converged;
};

/// nu/2 (ln theta + s2/theta) with its derivatives (M17).
template <class M>
QUARTERTURN_INLINE void add_known(double nu, typename M::Pack s2, typename M::Pack theta, int k,
                                  Point<M>& out) {
  if (!(nu > 0)) return;
  const typename M::Pack one = 1.0 / theta;
  out.minus += (stats::log_of(theta) + s2 * one) * (0.5 * nu);
  out.gradient[k] += (one - s2 * one * one) * (0.5 * nu);
  out.information[kDiagonal[k]] += one * one * (0.5 * nu);
  out.observed[kDiagonal[k]] += (s2 * one - 0.5) * one * one * nu;
}

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
QUARTERTURN_INLINE void evaluate(const EvenDesign& d, const Problem<M>& p, const typename M::Pack (&theta)[3],
                                 Point<M>& out) {
  using Pack = typename M::Pack;
  constexpr int kFactors = 8;  // of determinants to a logarithm: their product stays a number
  const Pack spot = theta[1] + p.share * theta[0] + p.fixed, one = 1.0 / spot;
  Pack log{}, product = M::all(1), w[EvenDesign::kMostStrips];
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
  add_known(p.nu_reading, p.nu_reading > 0 ? p.ss_reading / p.nu_reading : Pack{}, theta[0], 0, out);
  add_known(d.nu_outside[1], p.outside[0], theta[1], 1, out);
  add_known(d.nu_outside[2], p.outside[1], theta[2], 2, out);
}

/// Factors L D L' of the rows and columns that count; the others are those of the unit matrix.
template <class M>
struct Factors {
  typename M::Pack d0, d1, d2, l10, l20, l21;
};
template <class M>
QUARTERTURN_INLINE Factors<M> factored(const typename M::Pack (&h)[6], const typename M::Mask (&rows)[3]) {
  using L = stats::Lane<typename M::Pack>;
  const typename M::Pack one = M::all(1), none{};
  constexpr double kRidge = 1 + 1e-14, kLeast = std::numeric_limits<double>::min();
  Factors<M> f;
  f.d0 = L::select(rows[0], h[0] * kRidge + kLeast, one);
  const auto a10 = L::select(rows[0] & rows[1], h[1], none), a20 = L::select(rows[0] & rows[2], h[3], none),
             a21 = L::select(rows[1] & rows[2], h[4], none);
  f.l10 = a10 / f.d0;
  f.l20 = a20 / f.d0;
  f.d1 = L::select(rows[1], h[2] * kRidge + kLeast, one) - f.l10 * a10;
  const auto left = a21 - f.l20 * a10;
  f.l21 = left / f.d1;
  f.d2 = L::select(rows[2], h[5] * kRidge + kLeast, one) - f.l20 * a20 - f.l21 * left;
  return f;
}

/// g' I^-1 g over the rows that count (M26).
template <class M>
QUARTERTURN_INLINE typename M::Pack inverse_quadratic(const Point<M>& at, const typename M::Pack (&g)[3],
                                                      const typename M::Mask (&rows)[3]) {
  using L = stats::Lane<typename M::Pack>;
  const typename M::Pack none{};
  const Factors<M> f = factored<M>(at.information, rows);
  const auto y0 = L::select(rows[0], g[0], none), y1 = L::select(rows[1], g[1], none) - f.l10 * y0;
  const auto y2 = L::select(rows[2], g[2], none) - f.l20 * y0 - f.l21 * y1;
  return y0 * y0 / f.d0 + y1 * y1 / f.d1 + y2 * y2 / f.d2;
}

template <class M>
QUARTERTURN_INLINE bool any(typename M::Mask mask) {
  std::int64_t found = 0;
  for (int l = 0; l < M::kLanes; ++l) found |= mask[l];
  return found != 0;
}

/// The step of (M23) that keeps each variance at or above zero; near the end, where they are positive, by the
/// second derivatives themselves.
template <class M>
QUARTERTURN_INLINE void box_step(const Problem<M>& p, const typename M::Pack (&theta)[3], const Point<M>& at,
                                 typename M::Mask near, typename M::Pack (&step)[3]) {
  using Pack = typename M::Pack;
  using L = stats::Lane<Pack>;
  const Pack none{};
  typename M::Mask free[3];
  Pack fixed[3] = {none, none, none};
  for (int k = 0; k < 3; ++k)
    free[k] = p.free[k] & ((typename M::Mask)(theta[k] > 0.0) | (typename M::Mask)(at.gradient[k] < 0.0));
  const Factors<M> seen = factored<M>(at.observed, free);
  near &= (typename M::Mask)(seen.d0 > 0.0) & (typename M::Mask)(seen.d1 > 0.0) &
          (typename M::Mask)(seen.d2 > 0.0);
  Pack h[6];
  for (int k = 0; k < 6; ++k) h[k] = L::select(near, at.observed[k], at.information[k]);
  for (;;) {
    Pack b[3] = {at.gradient[0] + h[0] * fixed[0] + h[1] * fixed[1] + h[3] * fixed[2],
                 at.gradient[1] + h[1] * fixed[0] + h[2] * fixed[1] + h[4] * fixed[2],
                 at.gradient[2] + h[3] * fixed[0] + h[4] * fixed[1] + h[5] * fixed[2]};
    for (int k = 0; k < 3; ++k) b[k] = L::select(free[k], -b[k], none);
    const Factors<M> f = factored<M>(h, free);
    b[1] -= f.l10 * b[0];
    b[2] -= f.l20 * b[0] + f.l21 * b[1];
    step[2] = b[2] / f.d2;
    step[1] = b[1] / f.d1 - f.l21 * step[2];
    step[0] = b[0] / f.d0 - f.l10 * step[1] - f.l20 * step[2];
    typename M::Mask hit{};
    for (int k = 0; k < 3; ++k) {
      const auto low = free[k] & (typename M::Mask)(theta[k] + step[k] < 0.0);
      fixed[k] = L::select(low, -theta[k], fixed[k]);
      free[k] &= ~low;
      hit |= low;
    }
    if (!any<M>(hit)) break;
  }
  for (int k = 0; k < 3; ++k) step[k] += fixed[k];
}

/// As maximise_reml of stats/reml.cpp, a lane each; its curvature beyond the expected is computed, not
/// learnt.
template <class M>
QUARTERTURN_INLINE void maximise_lanes(const EvenDesign& d, const Problem<M>& p, Solution<M>& s) {
  using Pack = typename M::Pack;
  using L = stats::Lane<Pack>;
  constexpr int kMostPoints = 400;
  constexpr double kEnough = 1e-13, kClose = 1e-7, kRounding = 1e-12, kLeastShare = 0x1p-34, kNear = 0.5;
  const auto larger = [](Pack a, Pack b) __attribute__((always_inline)) {
    return L::select(a > b, a, b);
  };
  const auto size = [](Pack x) __attribute__((always_inline)) {
    return L::select(x < 0.0, -x, x);
  };
  const Pack none{};
  Pack scale{};
  for (int k = 0; k < 3; ++k) {
    s.theta[k] = L::select(p.free[k], p.start[k], k == 0 ? p.s2_reading : none);
    scale = larger(scale, L::select(p.free[k], p.start[k], none));
  }
  evaluate(d, p, s.theta, s.at);
  Pack previous = M::all(std::numeric_limits<double>::infinity()), share = M::all(1);
  typename M::Mask fresh = (typename M::Mask)(none == 0.0), done{};
  s.converged = done;
  for (int points = 0; points < kMostPoints; ++points) {
    Pack step[3], largest{}, trial[3];
    box_step(p, s.theta, s.at, (typename M::Mask)(previous < kNear), step);
    for (int k = 0; k < 3; ++k) largest = larger(largest, size(step[k]) / (size(s.theta[k]) + scale * 1e-9));
    const auto enough = (typename M::Mask)(largest < kEnough) |
                        ((typename M::Mask)(largest < kClose) & (typename M::Mask)(largest > previous * 0.9));
    s.converged |= fresh & enough & ~done;
    done |= fresh & enough;
    if (!any<M>(~done)) return;
    previous = L::select(fresh, largest, previous);
    for (int k = 0; k < 3; ++k) {
      const Pack value = s.theta[k] + share * step[k];
      trial[k] = L::select(value < 1e-300, none, value);
    }
    Point<M> at;
    evaluate(d, p, trial, at);
    const Pack slack = L::select(largest < 1e-4, (size(s.at.minus) + 1.0) * kRounding, none);
    fresh = (typename M::Mask)(at.minus <= s.at.minus + slack) & ~done;
    for (int k = 0; k < 3; ++k) {
      s.theta[k] = L::select(fresh, trial[k], s.theta[k]);
      s.at.gradient[k] = L::select(fresh, at.gradient[k], s.at.gradient[k]);
    }
    for (int k = 0; k < 6; ++k) {
      s.at.information[k] = L::select(fresh, at.information[k], s.at.information[k]);
      s.at.observed[k] = L::select(fresh, at.observed[k], s.at.observed[k]);
    }
    s.at.minus = L::select(fresh, at.minus, s.at.minus);
    share = L::select(fresh, M::all(1), share * 0.5);
    // No descent is left within rounding.
    const auto stuck = ~done & (typename M::Mask)(share < kLeastShare);
    s.converged |= stuck & (typename M::Mask)(largest < 1e-5);
    done |= stuck;
  }
}

}  // namespace quarterturn::check
