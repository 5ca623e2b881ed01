// SPDX-License-Identifier: MIT
/// \file scoring_lanes.hpp
/// Fisher scoring of three variances, each lane a check of its own: part of refit_lanes.cpp.
///
/// In       a likelihood with its gradient, expected and observed information: even_lanes.hpp,
///          uneven_lanes.hpp
/// Out      variances, likelihood and information where they stand still
/// Maths    METHOD.md (M23), (M122)
/// Assumes  compiled into a function for the machine (lanes.hpp)
#pragma once

#include <limits>

#include "check/lane_design.hpp"
#include "stats/lanes.hpp"

namespace quarterturn::check {

/// Reading, saw marks, seating, as Component has them; mm, mf, ff, ms, fs, ss.
inline constexpr int kDiagonal[3] = {0, 2, 5};

template <class Pack>
QUARTERTURN_INLINE Pack larger(Pack a, Pack b) {
  return stats::Lane<Pack>::select(a > b, a, b);
}

template <class M>
struct Point {
  typename M::Pack minus, gradient[3], information[6];
  typename M::Pack observed[6];  ///< second derivatives themselves; information is what is expected of them

  /// As `other` in the lanes that are asked for.
  QUARTERTURN_INLINE void take(typename M::Mask which, const Point& other) {
    using L = stats::Lane<typename M::Pack>;
    minus = L::select(which, other.minus, minus);
    for (int k = 0; k < 3; ++k) gradient[k] = L::select(which, other.gradient[k], gradient[k]);
    for (int k = 0; k < 6; ++k) {
      information[k] = L::select(which, other.information[k], information[k]);
      observed[k] = L::select(which, other.observed[k], observed[k]);
    }
  }
};

/// What the likelihoods of both kinds of design have in common.
template <class M>
struct Problem {
  typename M::Pack ss_reading, s2_reading, ss_line, start[3];
  typename M::Pack outside[2];     ///< s2 of saw marks and seating
  typename M::Pack seating_again;  ///< from where another maximum is looked for
  typename M::Mask free[3];
  double nu_reading = 0;
};

template <class M, class P>
struct Solution {
  typename M::Pack theta[3];
  P at;
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

template <class M>
QUARTERTURN_INLINE void add_all_known(const LaneDesign& d, const Problem<M>& p,
                                      const typename M::Pack (&theta)[3], Point<M>& out) {
  add_known(p.nu_reading, p.nu_reading > 0 ? p.ss_reading / p.nu_reading : typename M::Pack{}, theta[0], 0,
            out);
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

/// As maximise_reml of stats/reml.cpp and maximise of scatter.cpp, a lane each; its curvature beyond the
/// expected is computed, not learnt.
/// \param evaluate  theta, a point to fill
template <class M, class P, class Evaluate>
QUARTERTURN_INLINE void maximise_lanes(const Problem<M>& p, const Evaluate& evaluate, Solution<M, P>& s) {
  using Pack = typename M::Pack;
  using L = stats::Lane<Pack>;
  constexpr int kMostPoints = 400;
  constexpr double kEnough = 1e-13, kClose = 1e-7, kRounding = 1e-12, kLeastShare = 0x1p-34, kNear = 0.5;
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  const auto size = [](Pack x) __attribute__((always_inline)) {
    return L::select(x < 0.0, -x, x);
  };
  const Pack none{};
  Pack scale{}, trial[3];
  for (int k = 0; k < 3; ++k) {
    trial[k] = L::select(p.free[k], p.start[k], k == 0 ? p.s2_reading : none);
    scale = larger(scale, L::select(p.free[k], p.start[k], none));
    s.theta[k] = trial[k];
  }
  s.at = P{};
  s.at.minus = M::all(kInfinity);
  const auto begin = [&](Pack & previous, Pack & largest, Pack & share, Pack & slack)
      __attribute__((always_inline)) {
    previous = largest = M::all(kInfinity);
    share = M::all(1);
    slack = none;
  };
  Pack previous, largest, share, slack;
  begin(previous, largest, share, slack);
  typename M::Mask done{}, again{};
  bool first = true;
  Solution<M, P> before;
  s.converged = done;
  for (int points = 0; points <= kMostPoints; ++points) {
    P at;
    evaluate(trial, at);
    const auto fresh = (typename M::Mask)(at.minus <= s.at.minus + slack) & ~done;
    for (int k = 0; k < 3; ++k) s.theta[k] = L::select(fresh, trial[k], s.theta[k]);
    s.at.take(fresh, at);
    share = L::select(fresh, M::all(1), share * 0.5);
    // No descent is left within rounding.
    const auto stuck = ~done & (typename M::Mask)(share < kLeastShare);
    s.converged |= stuck & (typename M::Mask)(largest < 1e-5);
    done |= stuck;

    Pack step[3], gain = none;
    largest = none;
    box_step(p, s.theta, s.at, (typename M::Mask)(previous < kNear), step);
    for (int k = 0; k < 3; ++k) {
      largest = larger(largest, size(step[k]) / (size(s.theta[k]) + scale * 1e-9));
      gain -= s.at.gradient[k] * step[k];
    }
    const auto enough = (typename M::Mask)(largest < kEnough) |
                        ((typename M::Mask)(largest < kClose) & (typename M::Mask)(largest > previous * 0.9));
    s.converged |= fresh & enough & ~done;
    done |= fresh & enough;
    if (!any<M>(~done)) {
      if (!first) break;
      // Where seating came out as nothing there may be another maximum with some (M23).
      first = false;
      again = p.free[2] & (typename M::Mask)(s.theta[2] <= 0.0);
      if (!any<M>(again)) return;
      before = s;
      for (int k = 0; k < 2; ++k) trial[k] = s.theta[k];
      trial[2] = L::select(again, p.seating_again, s.theta[2]);
      s.at.minus = L::select(again, M::all(kInfinity), s.at.minus);
      s.converged &= ~again;
      done = ~again;
      begin(previous, largest, share, slack);
      continue;
    }
    previous = L::select(fresh, largest, previous);
    const Pack rounding = (size(s.at.minus) + 1.0) * kRounding;
    slack =
        L::select((typename M::Mask)(largest < 1e-4) | (typename M::Mask)(gain < rounding), rounding, none);
    for (int k = 0; k < 3; ++k) {
      const Pack value = s.theta[k] + share * step[k];
      trial[k] = L::select(value < 1e-300, none, value);
    }
  }
  if (first) {  // no second start was made: such a lane is not told
    s.converged &= ~(p.free[2] & (typename M::Mask)(s.theta[2] <= 0.0));
    return;
  }
  const auto ended = s.converged;
  const auto back = again & ~(ended & (typename M::Mask)(s.at.minus < before.at.minus));
  for (int k = 0; k < 3; ++k) s.theta[k] = L::select(back, before.theta[k], s.theta[k]);
  s.at.take(back, before.at);
  s.converged = ended & (before.converged | ~back);
}

/// 1/dof of (M26), dof 1 at least.
template <class M>
QUARTERTURN_INLINE typename M::Pack inverse_dof(const Problem<M>& p, const Point<M>& at,
                                                const typename M::Pack (&gradient)[3],
                                                typename M::Pack variance, bool seating) {
  typename M::Mask rows[3];
  for (int k = 0; k < 3; ++k) rows[k] = p.free[k] & (typename M::Mask)(at.information[kDiagonal[k]] > 0.0);
  if (!seating) rows[2] = typename M::Mask{};
  const auto x = inverse_quadratic<M>(at, gradient, rows) / (variance * variance * 2.0);
  return stats::Lane<typename M::Pack>::select(x < 1.0, x, M::all(1));
}

}  // namespace quarterturn::check
