// SPDX-License-Identifier: MIT
/// \file stage_lanes.hpp
/// The tapers of a design that is not even, each lane a check of its own: part of refit_lanes.cpp.
///
/// In       tapers with their variances; K, regressors, s^2
/// Out      what taper_stage.hpp has
/// Maths    METHOD.md (M13), (M14)
/// Assumes  compiled into a function for the machine (lanes.hpp)
#pragma once

#include "check/line_lanes.hpp"

namespace quarterturn::check {

/// The tapers of all strips at one theta: V, its inverse, P3 (taper_stage.hpp).
template <class M>
struct LaneStage {
  using Pack = typename M::Pack;
  static constexpr int kStrips = LaneDesign::kMostUnevenStrips, kMostX = 1 + LaneDesign::kMostBoards;
  Pack log_det, p3[kStrips * kStrips], pk[kStrips * kStrips], u[kStrips], ku[kStrips];
  Pack weight[kStrips], variance;  ///< eta = weight' taper
};

/// Cholesky factor in the lower half, row-major, with the diagonal inverted; then its inverse there.
/// \returns ln|a|
template <class M>
QUARTERTURN_INLINE typename M::Pack inverted_factor(typename M::Pack* a, int n) {
  using Pack = typename M::Pack;
  constexpr int kFactors = 8;
  Pack log{}, product = M::all(1);
  for (int i = 0; i < n; ++i) {
    Pack* const row = a + i * n;
    Pack pivot = row[i];
    for (int j = 0; j < i; ++j) {
      Pack sum = row[j];
      for (int k = 0; k < j; ++k) sum -= row[k] * a[j * n + k];
      row[j] = sum * a[j * n + j];
      pivot -= row[j] * row[j];
    }
    product *= pivot;
    if (i % kFactors == kFactors - 1) {
      log += stats::log_of(product);
      product = M::all(1);
    }
    row[i] = 1.0 / stats::Lane<Pack>::sqrt(pivot);
  }
  for (int i = 0; i < n; ++i) {
    Pack* const row = a + i * n;
    for (int j = 0; j < i; ++j) {
      Pack sum = row[j] * a[j * n + j];
      for (int k = j + 1; k < i; ++k) sum += row[k] * a[k * n + j];
      row[j] = -(row[i] * sum);
    }
  }
  return n % kFactors ? log + stats::log_of(product) : log;
}

template <class M>
QUARTERTURN_INLINE void stage_in_lanes(const LaneDesign& d, const UnevenProblem<M>& p,
                                       const LaneLine<M>* lines, typename M::Pack seating, LaneStage<M>& s,
                                       typename M::Pack& quadratic) {
  using Pack = typename M::Pack;
  const int n = d.strips, regressors = d.regressors;
  // Where P3 K will stand V is factored.
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j <= i; ++j) s.pk[i * n + j] = seating * p.seating[i * n + j];
    s.pk[i * n + i] += lines[i].variance;
  }
  s.log_det = inverted_factor<M>(s.pk, n);
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j <= i; ++j) {
      Pack sum{};
      for (int k = i; k < n; ++k) sum += s.pk[k * n + i] * s.pk[k * n + j];
      s.p3[i * n + j] = s.p3[j * n + i] = sum;
    }
  }
  constexpr int kX = LaneStage<M>::kMostX;
  Pack vx[kX * LaneStage<M>::kStrips], small[kX * kX];
  for (int r = 0; r < regressors; ++r) {
    for (int i = 0; i < n; ++i) {
      Pack sum{};
      for (int j = 0; j < n; ++j) sum += s.p3[i * n + j] * d.x[static_cast<std::size_t>(j * regressors + r)];
      vx[r * n + i] = sum;
    }
  }
  for (int r = 0; r < regressors; ++r) {
    for (int q = 0; q <= r; ++q) {
      Pack sum{};
      for (int i = 0; i < n; ++i) sum += vx[r * n + i] * d.x[static_cast<std::size_t>(i * regressors + q)];
      small[r * regressors + q] = sum;
    }
  }
  s.log_det += inverted_factor<M>(small, regressors);
  s.variance = Pack{};
  for (int i = 0; i < n; ++i) s.weight[i] = Pack{};
  for (int r = 0; r < regressors; ++r) {
    Pack z[LaneStage<M>::kStrips];
    const Pack of_eta = small[r * regressors];
    s.variance += of_eta * of_eta;
    for (int i = 0; i < n; ++i) {
      Pack sum{};
      for (int q = 0; q <= r; ++q) sum += small[r * regressors + q] * vx[q * n + i];
      z[i] = sum;
      s.weight[i] += of_eta * sum;
    }
    for (int i = 0; i < n; ++i)
      for (int j = 0; j < n; ++j) s.p3[i * n + j] -= z[i] * z[j];
  }
  quadratic = Pack{};
  for (int i = 0; i < n; ++i) {
    Pack sum{};
    for (int j = 0; j < n; ++j) sum += s.p3[i * n + j] * lines[j].taper;
    s.u[i] = sum;
    quadratic += sum * lines[i].taper;
  }
  for (int i = 0; i < n; ++i) {
    Pack sum{};
    for (int j = 0; j < n; ++j) sum += p.seating[i * n + j] * s.u[j];
    s.ku[i] = sum;
  }
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      Pack sum{};
      for (int k = 0; k < n; ++k) sum += s.p3[i * n + k] * p.seating[k * n + j];
      s.pk[i * n + j] = sum;
    }
  }
}

}  // namespace quarterturn::check
