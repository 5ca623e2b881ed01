// SPDX-License-Identifier: MIT
/// \file line_lanes.hpp
/// Weighted lines of strips whose spots are not read equally often, each lane a check of its own: part of
/// refit_lanes.cpp.
///
/// In       sums over the spots of each class: residuals about the strip's unweighted line
/// Out      what strip_line.hpp has, and what a strip adds to the second derivatives
/// Maths    METHOD.md (M123)
/// Assumes  compiled into a function for the machine (lanes.hpp)
#pragma once

#include "check/scoring_lanes.hpp"

namespace quarterturn::check {

/// Sums over the spots of a class: residuals, their products with the places, their squares, those with r.
template <class M>
struct ClassSums {
  typename M::Pack y, xy, yy, along;
};

template <class M>
struct UnevenProblem : Problem<M> {
  static constexpr int kStrips = LaneDesign::kMostUnevenStrips;
  typename M::Pack taper[kStrips];  ///< unweighted
  ClassSums<M> sums[LaneDesign::kMostStripClasses];
  typename M::Pack share[LaneDesign::kMostClasses], fixed[LaneDesign::kMostClasses];
  typename M::Pack mean_fixed;
  typename M::Pack seating[kStrips * kStrips];  ///< K, strips x strips
};

/// One strip at one theta: LineAt of strip_line.hpp, and what the second derivatives need of its classes.
template <class M>
struct LaneLine {
  using Pack = typename M::Pack;
  Pack taper, variance, log_scale;  ///< log_scale: what ln|X'D^-1 X| is the logarithm of
  Pack residual_ss, slope[2], trace[2], residual[2], cross[2], pp[3], apa[3];
  Pack level, sxx;  ///< sum of weights inverted; weighted sum of squares of the places
  /// Of three spots: r'V_a r, a'V_a r, r'y over r'D r, 1 over r'D r.
  Pack own[2], mixed[2], along, square;
};

/// Pairs of the two shares: (m,m), (m,f), (f,f).
inline constexpr int kFirstOfPair[3] = {0, 0, 1}, kSecondOfPair[3] = {0, 1, 1};

template <class M>
QUARTERTURN_INLINE void three_spots(const LaneDesign& d, const UnevenProblem<M>& p, int j,
                                    const typename M::Pack* weight, typename M::Pack middle,
                                    LaneLine<M>& line) {
  using Pack = typename M::Pack;
  Pack along{}, square{}, own[2] = {Pack{}, Pack{}}, mixed[2] = {Pack{}, Pack{}};
  for (int c = d.first_class[static_cast<std::size_t>(j)]; c < d.first_class[static_cast<std::size_t>(j) + 1];
       ++c) {
    const SpotClass& spots = d.classes[static_cast<std::size_t>(c)];
    const Pack w = weight[spots.repeats];
    const Pack share[2] = {p.share[spots.repeats], M::all(1)};
    along += p.sums[c].along;
    square += M::all(spots.contrast_square) / w;
    const Pack a = -(spots.contrast_position - middle * spots.contrast) * w * line.variance;
    for (int k = 0; k < 2; ++k) {
      own[k] += share[k] * spots.contrast_square;
      mixed[k] += share[k] * a;
    }
  }
  line.square = 1.0 / square;
  line.along = along * line.square;
  line.residual_ss = along * line.along;
  for (int k = 0; k < 2; ++k) {
    line.own[k] = own[k];
    line.mixed[k] = mixed[k];
    line.trace[k] = own[k] * line.square;
    line.residual[k] = own[k] * line.along * line.along;
    line.cross[k] = mixed[k] * line.along;
  }
  for (int k = 0; k < 3; ++k) {
    line.pp[k] = line.trace[kFirstOfPair[k]] * line.trace[kSecondOfPair[k]];
    line.apa[k] = mixed[kFirstOfPair[k]] * mixed[kSecondOfPair[k]] * line.square;
  }
}

/// Sums over a class about the weighted line at this theta.
template <class M>
struct AboutLine {
  typename M::Pack d, dd;      ///< of the places from the weighted middle, of their squares
  typename M::Pack e, de, ee;  ///< of the residuals, of their products with the places, of their squares
};
template <class M>
QUARTERTURN_INLINE AboutLine<M> about_line(const SpotClass& spots, const ClassSums<M>& sums,
                                           typename M::Pack middle, typename M::Pack height,
                                           typename M::Pack slope) {
  AboutLine<M> out;
  const auto from = sums.xy - middle * sums.y;
  out.d = spots.position - middle * spots.spots;
  out.dd = spots.square - middle * (spots.position + out.d);
  out.e = sums.y - height * spots.spots - slope * out.d;
  out.de = from - height * out.d - slope * out.dd;
  out.ee = sums.yy - height * (sums.y + out.e) - slope * (from + out.de);
  return out;
}

/// (M9)–(M12), (M20)–(M22) of strip j.
/// \param weight  of a spot, by its number of readings
/// \param about   by class, for the second derivatives
template <class M>
QUARTERTURN_INLINE void line_in_lanes(const LaneDesign& d, const UnevenProblem<M>& p, int j,
                                      const typename M::Pack* weight, AboutLine<M>* about,
                                      LaneLine<M>& line) {
  using Pack = typename M::Pack;
  const int first = d.first_class[static_cast<std::size_t>(j)],
            end = d.first_class[static_cast<std::size_t>(j) + 1];
  const int spots = d.first[static_cast<std::size_t>(j) + 1] - d.first[static_cast<std::size_t>(j)];
  Pack sum_w{}, sum_wx{}, sum_wy{};
  for (int c = first; c < end; ++c) {
    const SpotClass& one = d.classes[static_cast<std::size_t>(c)];
    const Pack w = weight[one.repeats];
    sum_w += w * one.spots;
    sum_wx += w * one.position;
    sum_wy += w * p.sums[c].y;
  }
  const Pack g = 1.0 / sum_w, middle = sum_wx * g, height = sum_wy * g;
  Pack sxx{}, sxy{};
  for (int c = first; c < end; ++c) {
    const SpotClass& one = d.classes[static_cast<std::size_t>(c)];
    const Pack w = weight[one.repeats], off = one.position - middle * one.spots;
    sxx += w * (one.square - middle * (one.position + off));
    sxy += w * (p.sums[c].xy - middle * p.sums[c].y);
  }
  const Pack h = 1.0 / sxx, slope = sxy * h;
  line.taper = p.taper[j] - slope;
  line.variance = h;
  line.log_scale = sum_w * sxx;
  line.level = g;
  line.sxx = sxx;
  line.residual_ss = Pack{};
  Pack u0[2], u1[2], u2[2], a0[3], a2[3];
  for (int k = 0; k < 2; ++k) {
    u0[k] = u1[k] = u2[k] = Pack{};
    line.slope[k] = line.trace[k] = line.residual[k] = line.cross[k] = Pack{};
  }
  for (int k = 0; k < 3; ++k) a0[k] = a2[k] = line.pp[k] = line.apa[k] = Pack{};
  for (int c = first; c < end; ++c) {
    const SpotClass& one = d.classes[static_cast<std::size_t>(c)];
    const Pack w = weight[one.repeats], ww = w * w;
    const AboutLine<M> at = about_line<M>(one, p.sums[c], middle, height, slope);
    about[c] = at;
    const Pack share[2] = {p.share[one.repeats], M::all(1)};
    line.residual_ss += w * at.ee;
    for (int k = 0; k < 2; ++k) {
      const Pack sww = share[k] * ww;
      u0[k] += sww * one.spots;
      u1[k] += sww * at.d;
      u2[k] += sww * at.dd;
      line.trace[k] += share[k] * w * one.spots;
      line.residual[k] += sww * at.ee;
      line.cross[k] -= sww * at.de * h;
    }
    for (int k = 0; k < 3; ++k) {
      const Pack both = share[kFirstOfPair[k]] * share[kSecondOfPair[k]] * ww;
      line.pp[k] += both * one.spots;
      a0[k] += both * w * one.spots;
      a2[k] += both * w * at.dd;
    }
  }
  for (int k = 0; k < 2; ++k) {
    line.slope[k] = u2[k] * h * h;
    line.trace[k] -= g * u0[k] + h * u2[k];
  }
  for (int k = 0; k < 3; ++k) {
    const int a = kFirstOfPair[k], b = kSecondOfPair[k];
    const Pack zero = u0[a] * u0[b], one = u1[a] * u1[b], two = u2[a] * u2[b];
    line.pp[k] += g * g * zero + g * h * one * 2.0 + h * h * two - (g * a0[k] + h * a2[k]) * 2.0;
    line.apa[k] = h * h * (a2[k] - g * one - h * two);
  }
  if (spots == 2) {  // they lie on their line
    line.residual_ss = Pack{};
    for (int k = 0; k < 2; ++k) line.trace[k] = line.residual[k] = line.cross[k] = Pack{};
    for (int k = 0; k < 3; ++k) line.pp[k] = line.apa[k] = Pack{};
  }
  if (spots == 3) three_spots(d, p, j, weight, middle, line);
}

/// What the data add to the second derivatives within a strip's spots, (V_a q)' P_j (V_b q) with q = P y.
template <class M>
QUARTERTURN_INLINE void add_seen(const LaneDesign& d, const UnevenProblem<M>& p, int j,
                                 const typename M::Pack* weight, const AboutLine<M>* about,
                                 const LaneLine<M>& line, typename M::Pack u,
                                 const typename M::Pack (&through)[2], typename M::Pack (&seen)[3]) {
  using Pack = typename M::Pack;
  const int spots = d.first[static_cast<std::size_t>(j) + 1] - d.first[static_cast<std::size_t>(j)];
  if (spots == 2) return;
  if (spots == 3) {
    Pack along[2];
    for (int k = 0; k < 2; ++k) along[k] = line.own[k] * line.along + line.mixed[k] * u;
    for (int k = 0; k < 3; ++k) seen[k] += along[kFirstOfPair[k]] * along[kSecondOfPair[k]] * line.square;
    return;
  }
  Pack level[2] = {Pack{}, Pack{}};
  const Pack tilt = line.variance * u;
  for (int c = d.first_class[static_cast<std::size_t>(j)]; c < d.first_class[static_cast<std::size_t>(j) + 1];
       ++c) {
    const SpotClass& one = d.classes[static_cast<std::size_t>(c)];
    const Pack w = weight[one.repeats], ww = w * w;
    const Pack share[2] = {p.share[one.repeats], M::all(1)};
    const Pack q = ww * (about[c].e - tilt * about[c].d),
               square = ww * w * (about[c].ee - tilt * (about[c].de * 2.0 - tilt * about[c].dd));
    for (int k = 0; k < 2; ++k) level[k] += share[k] * q;
    for (int k = 0; k < 3; ++k) seen[k] += share[kFirstOfPair[k]] * share[kSecondOfPair[k]] * square;
  }
  for (int k = 0; k < 3; ++k) {
    const int a = kFirstOfPair[k], b = kSecondOfPair[k];
    seen[k] -= line.level * level[a] * level[b] + line.sxx * through[a] * through[b];
  }
}

}  // namespace quarterturn::check
