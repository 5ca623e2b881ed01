// SPDX-License-Identifier: MIT
#include "check/refit_lanes.hpp"

#include <algorithm>
#include <limits>

#include "check/scoring_lanes.hpp"
#include "stats/lanes.hpp"

namespace quarterturn::check {
namespace {

using stats::Lane;

/// What drawn readings come to, before any fit.
template <class M>
struct Sums {
  typename M::Pack taper[EvenDesign::kMostStrips];
  typename M::Pack ss_pure, ss_line;
  typename M::Pack off_two, off_five;  ///< above 0: not all readings are multiples of so many steps
};

/// (M94): a strip's readings drawn, read in steps, and summed up.
template <class M>
QUARTERTURN_INLINE void draw_strip(const EvenDesign& d, const LaneDraws& draws, int strip, Sums<M>& sums) {
  using Pack = typename M::Pack;
  const auto j = static_cast<std::size_t>(strip);
  const auto normal = [&](int at) __attribute__((always_inline)) {
    Pack x;
    for (int l = 0; l < M::kLanes; ++l) x[l] = draws.normals[static_cast<std::size_t>(l)][at];
    return x;
  };
  Pack taper = M::all(d.turns[j] * d.eta), wide;
  for (int c = 0; c < d.corners; ++c)
    taper += normal(c) * d.corner[j * static_cast<std::size_t>(d.corners) + static_cast<std::size_t>(c)];
  for (int l = 0; l < M::kLanes; ++l) wide[l] = draws.uniforms[static_cast<std::size_t>(l)][j];
  wide += d.wide[j];
  if (d.gaps) wide += taper * d.middle[j];
  const int first = d.first[j], spots = d.first[j + 1] - first;
  int at = d.corners + first * (1 + d.repeats);
  Pack mean[EvenDesign::kMostSpots], mean_width{}, slope{};
  for (int i = 0; i < spots; ++i) {
    const Pack edge = wide - taper * d.position[static_cast<std::size_t>(first + i)] + normal(at++) * d.saw;
    Pack reading[EvenDesign::kMostRepeats], sum{};
    for (int r = 0; r < d.repeats; ++r) {
      const Pack steps =
          ((edge + normal(at++) * d.reading) / d.resolution + stats::kRounder) - stats::kRounder;
      const Pack twos = steps * 0.5, fives = steps * 0.2;
      sums.off_two +=
          Lane<Pack>::select(twos == (twos + stats::kRounder) - stats::kRounder, Pack{}, M::all(1));
      const Pack near_five = ((fives + stats::kRounder) - stats::kRounder) * 5.0;
      sums.off_five += Lane<Pack>::select(steps == near_five, Pack{}, M::all(1));
      reading[r] = steps * d.resolution;
      sum += reading[r];
    }
    mean[i] = sum / static_cast<double>(d.repeats);
    for (int r = 0; r < d.repeats; ++r) sums.ss_pure += (reading[r] - mean[i]) * (reading[r] - mean[i]);
    mean_width += mean[i] / static_cast<double>(spots);
  }
  for (int i = 0; i < spots; ++i)
    slope += (mean[i] - mean_width) * d.from_middle[static_cast<std::size_t>(first + i)];
  slope /= d.sxx[j];
  for (int i = 0; i < spots; ++i) {
    const Pack e = mean[i] - mean_width - slope * d.from_middle[static_cast<std::size_t>(first + i)];
    sums.ss_line += e * e;
  }
  sums.taper[strip] = -slope;
}

/// (M16), where to start, and the tapers in the eigenbasis.
template <class M>
QUARTERTURN_INLINE void set_up(const EvenDesign& d, const LaneDraws& draws, const Sums<M>& sums,
                               Problem<M>& p) {
  using Pack = typename M::Pack;
  using L = Lane<Pack>;
  Pack outside[3];
  for (int k = 0; k < 3; ++k) outside[k] = M::load(draws.outside[static_cast<std::size_t>(k)].data());
  const double nu = d.nu_pure + d.nu_outside[0], fixed = d.resolution * d.resolution / 12;
  const double repeats = d.repeats;
  p.ss_reading = sums.ss_pure + outside[0] * d.nu_outside[0];
  p.nu_reading = nu;
  p.s2_reading = nu > 0 ? p.ss_reading / nu : Pack{};
  p.ss_line = d.nu_line > 0 ? sums.ss_line : Pack{};
  const auto seen = (p.s2_reading > 0.0 && L::sqrt(p.s2_reading) >= M::all(d.resolution / 2)) ||
                    p.s2_reading / repeats > fixed;
  p.share = L::select(seen, M::all(1 / repeats), Pack{});
  p.fixed = L::select(seen, Pack{}, M::all(fixed));
  p.free[0] = nu > 0 ? (typename M::Mask)(p.share > 0.0) : typename M::Mask{};
  p.free[1] = d.saw_free ? (typename M::Mask)(Pack{} == 0.0) : typename M::Mask{};
  p.free[2] = d.seating_free ? (typename M::Mask)(Pack{} == 0.0) : typename M::Mask{};
  p.outside[0] = outside[1];
  p.outside[1] = outside[2];

  const auto larger = [](Pack a, Pack b) __attribute__((always_inline)) {
    return L::select(a > b, a, b);
  };
  const Pack floor = larger(larger(p.s2_reading, p.fixed), M::all(1e-8));
  p.start[0] = floor;
  p.start[1] = floor * 0.5;
  p.start[2] = d.nu_outside[2] > 0 ? outside[2] : M::all(4e-4);
  if (d.nu_line > 0) {
    const Pack line = p.ss_line / d.nu_line;
    p.start[1] = larger(line - floor / repeats, line * 0.1 + floor * 1e-3);
    const auto bare = p.free[0] == 0 || p.s2_reading <= 0.0;
    p.start[0] = L::select(bare, larger(line, floor), p.start[0]);
  }
  if (d.strips > 1) {
    Pack mean{}, ss{};
    for (int j = 0; j < d.strips; ++j)
      mean += sums.taper[j] / (d.turns[static_cast<std::size_t>(j)] * d.strips);
    for (int j = 0; j < d.strips; ++j) {
      const Pack off = sums.taper[j] / d.turns[static_cast<std::size_t>(j)] - mean;
      ss += off * off;
    }
    p.start[2] = larger(ss * (0.5 / (d.strips - 1) / d.per_mm2), p.start[2] * 0.05);
  }
  for (int i = 0; i < d.strips; ++i) {
    p.z[i] = Pack{};
    for (int j = 0; j < d.strips; ++j)
      p.z[i] += sums.taper[j] * d.rotation[static_cast<std::size_t>(i * d.strips + j)];
  }
}

/// q of (M25) at 1/dof = x, Clenshaw's recurrence.
template <class M>
QUARTERTURN_INLINE typename M::Pack quantile(const EvenDesign& d, typename M::Pack x) {
  const typename M::Pack y = x * 2.0 - 1.0;
  typename M::Pack b1{}, b2{};
  for (std::size_t k = d.quantile.size() - 1; k > 0; --k) {
    const typename M::Pack b = y * 2.0 * b1 - b2 + d.quantile[k];
    b2 = b1;
    b1 = b;
  }
  return y * b1 - b2 + d.quantile[0];
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
  return Lane<typename M::Pack>::select(x < 1.0, x, M::all(1));
}

/// (M25) to (M27)
template <class M>
QUARTERTURN_INLINE void tell(const EvenDesign& d, const Sums<M>& sums, const Problem<M>& p,
                             const Solution<M>& s, typename M::Pack& eta, typename M::Pack& half_width) {
  using Pack = typename M::Pack;
  using L = Lane<Pack>;
  const Pack spot = s.theta[1] + p.share * s.theta[0] + p.fixed;
  if (d.panels) {
    const double n = d.strips, turns = std::abs(d.turns[0]);
    Pack mean{}, ss{};
    for (int j = 0; j < d.strips; ++j) mean += sums.taper[j];
    mean /= n;
    for (int j = 0; j < d.strips; ++j) ss += (sums.taper[j] - mean) * (sums.taper[j] - mean);
    double part = 0;
    for (const double sxx : d.sxx) part += 1 / (sxx * n * n * turns * turns);
    const Pack gradient[3] = {p.share * part, M::all(part), Pack{}};
    const Pack between = L::sqrt(ss / (n * (n - 1))) * (d.quantile_panels / turns);
    const Pack x = inverse_dof(p, s.at, gradient, spot * part, false);
    const Pack within = quantile<M>(d, x) * L::sqrt(spot * part);
    eta = mean / d.turns[0];
    half_width = L::select(between >= within, between, within);
    return;
  }
  Pack precision{}, score{}, squares{}, scatter{};
  for (int i = 0; i < d.strips; ++i) {
    const auto at = static_cast<std::size_t>(i);
    const Pack w = 1.0 / (s.theta[2] * d.eigenvalue[at] + spot), wt = w * d.regressor[at];
    precision += wt * d.regressor[at];
    score += wt * p.z[i];
    squares += wt * wt;
    scatter += wt * wt * d.eigenvalue[at];
  }
  const Pack variance = 1.0 / precision, square = variance * variance;
  const Pack of_spot = squares * square;
  const Pack gradient[3] = {of_spot * p.share, of_spot, scatter * square};
  eta = score * variance;
  half_width = quantile<M>(d, inverse_dof(p, s.at, gradient, variance, true)) * L::sqrt(variance);
}

template <class M>
QUARTERTURN_INLINE void body(const EvenDesign& d, const LaneDraws& draws, LaneFits& fits) {
  using Pack = typename M::Pack;
  Sums<M> sums;
  sums.ss_pure = sums.ss_line = sums.off_two = sums.off_five = Pack{};
  for (int j = 0; j < d.strips; ++j) draw_strip(d, draws, j, sums);
  Problem<M> problem;
  set_up(d, draws, sums, problem);
  Solution<M> solution;
  maximise_lanes(d, problem, solution);
  Pack eta, half_width;
  tell(d, sums, problem, solution, eta, half_width);
  // Repeats that all agree count in another way (M17), and steps that were coarser are found again (M15).
  auto told =
      solution.converged & (typename M::Mask)(sums.off_two > 0.0) & (typename M::Mask)(sums.off_five > 0.0);
  if (d.nu_pure > 0) told &= (typename M::Mask)(sums.ss_pure >= 1e-20);
  for (int l = 0; l < M::kLanes; ++l) {
    const auto at = static_cast<std::size_t>(l);
    fits.eta[at] = eta[l];
    fits.half_width[at] = half_width[l];
    for (std::size_t k = 0; k < 3; ++k) fits.theta[k][at] = solution.theta[k][l];
    fits.told[at] = told[l] != 0;
  }
}

void plain(const EvenDesign& d, const LaneDraws& draws, LaneFits& fits) {
  body<stats::Wide<2>>(d, draws, fits);
}
#if defined(__x86_64__)
QUARTERTURN_AVX2 void avx2(const EvenDesign& d, const LaneDraws& draws, LaneFits& fits) {
  body<stats::Wide<4>>(d, draws, fits);
}
QUARTERTURN_AVX512 void avx512(const EvenDesign& d, const LaneDraws& draws, LaneFits& fits) {
  body<stats::Wide<8>>(d, draws, fits);
}
#endif

}  // namespace

int lanes_of(stats::Isa isa) {
  return isa == stats::Isa::avx512 ? 8 : isa == stats::Isa::avx2 ? 4 : 2;
}

void fit_lanes(const EvenDesign& design, const LaneDraws& draws, LaneFits& fits, stats::Isa isa) {
#if defined(__x86_64__)
  if (isa == stats::Isa::avx512) return avx512(design, draws, fits);
  if (isa == stats::Isa::avx2) return avx2(design, draws, fits);
#endif
  plain(design, draws, fits);
}

}  // namespace quarterturn::check
