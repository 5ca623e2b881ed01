// SPDX-License-Identifier: MIT
#include "check/refit_lanes.hpp"

#include <algorithm>
#include <limits>
#include <type_traits>

#include "check/even_lanes.hpp"
#include "check/reference_lengths.hpp"
#include "check/scatter.hpp"
#include "check/summary.hpp"
#include "check/uneven_lanes.hpp"
#include "stats/lanes.hpp"

namespace quarterturn::check {
namespace {

using stats::Lane;

/// What drawn readings come to, before any fit.
template <class M>
struct Sums {
  typename M::Pack taper[LaneDesign::kMostStrips];
  typename M::Pack ss_pure, ss_line;
  typename M::Pack width;              ///< sum of the spots' means
  typename M::Pack off_two, off_five;  ///< above 0: not all readings are multiples of so many steps
};

/// (M94): a strip's readings drawn, read in steps, and summed up.
/// \param at       its first normal deviate, then the next strip's
/// \param classes  of a design that is not even: the sums by class
template <class M>
QUARTERTURN_INLINE void draw_strip(const LaneDesign& d, const LaneDraws& draws, int strip, int& at,
                                   Sums<M>& sums, ClassSums<M>* classes) {
  using Pack = typename M::Pack;
  const auto j = static_cast<std::size_t>(strip);
  const auto normal = [&](int k) __attribute__((always_inline)) {
    Pack x;
    for (int l = 0; l < M::kLanes; ++l) x[l] = draws.normals[static_cast<std::size_t>(l)][k];
    return x;
  };
  Pack taper = M::all(d.turns[j] * d.eta), wide;
  for (int c = 0; c < d.corners; ++c)
    taper += normal(c) * d.corner[j * static_cast<std::size_t>(d.corners) + static_cast<std::size_t>(c)];
  for (int l = 0; l < M::kLanes; ++l) wide[l] = draws.uniforms[static_cast<std::size_t>(l)][j];
  wide += d.wide[j];
  if (d.gaps) wide += taper * d.middle[j];
  const int first = d.first[j], spots = d.first[j + 1] - first;
  Pack mean[LaneDesign::kMostSpots], mean_width{}, slope{};
  for (int i = 0; i < spots; ++i) {
    const Pack edge = wide - taper * d.position[static_cast<std::size_t>(first + i)] + normal(at++) * d.saw;
    const int repeats = d.readings[static_cast<std::size_t>(first + i)];
    Pack reading[LaneDesign::kMostRepeats], sum{};
    for (int r = 0; r < repeats; ++r) {
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
    mean[i] = sum / static_cast<double>(repeats);
    sums.width += mean[i];
    for (int r = 0; r < repeats; ++r) sums.ss_pure += (reading[r] - mean[i]) * (reading[r] - mean[i]);
    mean_width += mean[i] / static_cast<double>(spots);
  }
  for (int i = 0; i < spots; ++i)
    slope += (mean[i] - mean_width) * d.from_middle[static_cast<std::size_t>(first + i)];
  slope /= d.sxx[j];
  for (int i = 0; i < spots; ++i) {
    const Pack e = mean[i] - mean_width - slope * d.from_middle[static_cast<std::size_t>(first + i)];
    sums.ss_line += e * e;
    if (classes == nullptr) continue;
    const double x = d.from_middle[static_cast<std::size_t>(first + i)];
    ClassSums<M>& of = classes[d.class_of[static_cast<std::size_t>(first + i)]];
    of.y += e;
    of.xy += e * x;
    of.yy += e * e;
    if (spots == 3) of.along += e * d.contrast[static_cast<std::size_t>(first + i)];
  }
  sums.taper[strip] = -slope;
}

/// (M16) of spots with so many readings.
template <class M>
QUARTERTURN_INLINE void branch(const LaneDesign& d, typename M::Pack s2, double repeats,
                               typename M::Pack& share, typename M::Pack& fixed) {
  using Pack = typename M::Pack;
  using L = Lane<Pack>;
  const double rounding = d.resolution * d.resolution / 12;
  const auto seen = (s2 > 0.0 && L::sqrt(s2) >= M::all(d.resolution / 2)) || s2 / repeats > rounding;
  share = L::select(seen, M::all(1 / repeats), Pack{});
  fixed = L::select(seen, Pack{}, M::all(rounding));
}

/// What stands outside, and the variance of a reading.
template <class M>
QUARTERTURN_INLINE void set_known(const LaneDesign& d, const LaneDraws& draws, const Sums<M>& sums,
                                  Problem<M>& p) {
  using Pack = typename M::Pack;
  const double nu = d.nu_pure + d.nu_outside[0];
  p.ss_reading = sums.ss_pure + M::load(draws.outside[0].data()) * d.nu_outside[0];
  p.nu_reading = nu;
  p.s2_reading = nu > 0 ? p.ss_reading / nu : Pack{};
  p.ss_line = d.nu_line > 0 ? sums.ss_line : Pack{};
  p.outside[0] = M::load(draws.outside[1].data());
  p.outside[1] = M::load(draws.outside[2].data());
}

/// Where to start, as start_values and seating_of_today of scatter.cpp, by the unweighted tapers.
/// \param shared   a spot somewhere shares the variance of a reading
/// \param fixed    mean of the rounding's part
/// \param per_mm2  of the seating of one strip for one turn
template <class M>
QUARTERTURN_INLINE void set_start(const LaneDesign& d, typename M::Mask shared, typename M::Pack fixed,
                                  typename M::Pack per_mm2, const typename M::Pack* taper, Problem<M>& p) {
  using Pack = typename M::Pack;
  using L = Lane<Pack>;
  p.free[0] = p.nu_reading > 0 ? shared : typename M::Mask{};
  p.free[1] = d.saw_free ? (typename M::Mask)(Pack{} == 0.0) : typename M::Mask{};
  p.free[2] = d.seating_free ? (typename M::Mask)(Pack{} == 0.0) : typename M::Mask{};
  const Pack floor = larger(larger(p.s2_reading, fixed), M::all(1e-8));
  p.start[0] = floor;
  p.start[1] = floor * 0.5;
  p.start[2] = d.nu_outside[2] > 0 ? p.outside[1] : M::all(kUsualSeatingMm2);
  const Pack usual = p.start[2];
  if (d.nu_line > 0) {
    const Pack line = p.ss_line / d.nu_line;
    p.start[1] = larger(line - floor / d.harmonic_repeats, line * 0.1 + floor * 1e-3);
    const auto bare = p.free[0] == 0 || p.s2_reading <= 0.0;
    p.start[0] = L::select(bare, larger(line, floor), p.start[0]);
  }
  if (d.strips > d.regressors) {
    Pack mean{}, ss{};
    for (int j = 0; j < d.strips; ++j) mean += taper[j] / (d.turns[static_cast<std::size_t>(j)] * d.strips);
    for (int j = 0; j < d.strips; ++j) {
      const Pack off = taper[j] / d.turns[static_cast<std::size_t>(j)] - mean;
      ss += off * off;
    }
    p.start[2] = larger(ss * (0.5 / (d.strips - 1)) / per_mm2, usual * 0.05);
  }
  p.seating_again = larger(usual, p.start[2]);
}

/// The tapers in the eigenbasis.
template <class M>
QUARTERTURN_INLINE void set_up(const LaneDesign& d, const Sums<M>& sums, EvenProblem<M>& p) {
  branch<M>(d, p.s2_reading, d.readings.front(), p.share, p.fixed);
  set_start<M>(d, (typename M::Mask)(p.share > 0.0), p.fixed, M::all(d.per_mm2), sums.taper, p);
  for (int i = 0; i < d.strips; ++i) {
    p.z[i] = typename M::Pack{};
    for (int j = 0; j < d.strips; ++j)
      p.z[i] += sums.taper[j] * d.rotation[static_cast<std::size_t>(i * d.strips + j)];
  }
}

/// T D T' where the contacts follow the widths as they are read (M14).
template <class M>
QUARTERTURN_INLINE void seat_on_bar(const LaneDesign& d, const Sums<M>& sums, UnevenProblem<M>& p) {
  using Pack = typename M::Pack;
  const Pack waste = sums.width / static_cast<double>(d.readings.size()) + kKerfMm;
  Pack per_mm2[LaneDesign::kMostCorners];
  for (int c = 0; c < d.corners; ++c) {
    const auto at = static_cast<std::size_t>(c);
    const Pack edge = d.bar->side[at] - waste * static_cast<double>(d.bar->taken[at]);
    const Pack within = Lane<Pack>::select(edge < d.bar->length, edge, M::all(d.bar->length));
    const Pack span = larger(within, M::all(kLeastEdgeMm));
    per_mm2[c] = 2.0 / (span * span);
  }
  for (int i = 0; i < d.strips; ++i) {
    for (int j = 0; j < d.strips; ++j) {
      Pack sum{};
      for (int c = 0; c < d.corners; ++c)
        sum += per_mm2[c] * (d.counts[static_cast<std::size_t>(i * d.corners + c)] *
                             d.counts[static_cast<std::size_t>(j * d.corners + c)]);
      p.seating[i * d.strips + j] = sum;
    }
  }
}

template <class M>
QUARTERTURN_INLINE void set_up(const LaneDesign& d, const Sums<M>& sums, UnevenProblem<M>& p) {
  using Pack = typename M::Pack;
  const int n = d.strips;
  for (int j = 0; j < n; ++j) p.taper[j] = sums.taper[j];
  if (d.bar) {
    seat_on_bar(d, sums, p);
  } else {
    for (int i = 0; i < n * n; ++i) p.seating[i] = M::all(d.seating[static_cast<std::size_t>(i)]);
  }
  Pack shared{}, fixed{};
  double spots = 0;
  for (std::size_t c = 0; c < d.repeats.size(); ++c) {
    branch<M>(d, p.s2_reading, d.repeats[c], p.share[c], p.fixed[c]);
    shared += p.share[c];
    fixed += p.fixed[c] * d.spots[c];
    spots += d.spots[c];
  }
  p.mean_fixed = fixed / spots;
  const double turns = d.turns.front();
  set_start<M>(d, (typename M::Mask)(shared > 0.0), p.mean_fixed, p.seating[0] / (turns * turns), p.taper, p);
}

/// q of (M25) at 1/dof = x, Clenshaw's recurrence.
template <class M>
QUARTERTURN_INLINE typename M::Pack quantile(const LaneDesign& d, typename M::Pack x) {
  const typename M::Pack y = x * 2.0 - 1.0;
  typename M::Pack b1{}, b2{};
  for (std::size_t k = d.quantile.size() - 1; k > 0; --k) {
    const typename M::Pack b = y * 2.0 * b1 - b2 + d.quantile[k];
    b2 = b1;
    b1 = b;
  }
  return y * b1 - b2 + d.quantile[0];
}

template <class M>
struct Told {
  typename M::Pack eta, half_width;
  typename M::Mask other_rule;  ///< (M28) has to be asked
};
/// (M27), (M96)
/// \param strip_of  a strip's taper, its variance, and how that changes with those of a reading and of saw
///                  marks
template <class M, class P, class StripOf>
QUARTERTURN_INLINE void tell_units(const LaneDesign& d, const Problem<M>& p, const P& at,
                                   const StripOf& strip_of, Told<M>& told) {
  using Pack = typename M::Pack;
  using L = Lane<Pack>;
  const double n = static_cast<double>(d.units.size()), turns = std::abs(d.turns[0]);
  Pack mean{}, ss{}, variance{}, gradient[3] = {Pack{}, Pack{}, Pack{}};
  const auto taper_of = [&](const std::array<int, 2>& unit) __attribute__((always_inline)) {
    return (strip_of(unit[0]).taper + strip_of(unit[1]).taper) * 0.5;
  };
  for (const auto& unit : d.units) mean += taper_of(unit);
  mean /= n;
  for (const auto& unit : d.units) {
    const Pack off = taper_of(unit) - mean;
    ss += off * off;
  }
  for (int j = 0; j < d.strips; ++j) {
    const double weight = d.unit_share[static_cast<std::size_t>(j)] / turns, square = weight * weight;
    const auto strip = strip_of(j);
    variance += strip.variance * square;
    for (int a = 0; a < 2; ++a) gradient[a] += strip.slope[a] * square;
  }
  const Pack between = L::sqrt(ss / (n * (n - 1))) * (d.quantile_units / turns);
  const Pack x = inverse_dof<M>(p, at, gradient, variance, false);
  const Pack within = quantile<M>(d, x) * L::sqrt(variance);
  told.eta = mean / d.turns[0];
  told.half_width = L::select(between >= within, between, within);
}

template <class M>
struct LaneStrip {
  typename M::Pack taper, variance, slope[2];
};

/// (M28) is asked where few degrees of freedom of saw marks carry much of the variance; few_df_case of
/// fit.cpp.
template <class M>
QUARTERTURN_INLINE typename M::Mask few_df(const LaneDesign& d, const Problem<M>& p, typename M::Pack fixed,
                                           typename M::Pack variance, typename M::Pack per_spot) {
  if (!(d.nu_line > 0 && d.nu_line < 3)) return typename M::Mask{};
  const auto spot = larger(larger(p.ss_line / d.nu_line, p.s2_reading / d.harmonic_repeats), fixed);
  return (typename M::Mask)(per_spot * spot > variance / 5.0);
}

template <class M>
QUARTERTURN_INLINE void tell(const LaneDesign& d, const Sums<M>& sums, const EvenProblem<M>& p,
                             const Solution<M, Point<M>>& s, Told<M>& told) {
  using Pack = typename M::Pack;
  const Pack spot = s.theta[1] + p.share * s.theta[0] + p.fixed;
  told.other_rule = typename M::Mask{};
  if (d.panels) {
    tell_units<M>(
        d, p, s.at,
        [&](int j) __attribute__((always_inline)) {
          const double each = 1 / d.sxx[static_cast<std::size_t>(j)];
          return LaneStrip<M>{sums.taper[j], spot * each, {p.share * each, M::all(each)}};
        },
        told);
    return;
  }
  Pack variance, gradient[3];
  corner_error(d, p, s, told.eta, variance, gradient);
  told.half_width =
      quantile<M>(d, inverse_dof<M>(p, s.at, gradient, variance, true)) * Lane<Pack>::sqrt(variance);
  told.other_rule = few_df<M>(d, p, p.fixed, variance, gradient[1]);
}

template <class M>
QUARTERTURN_INLINE void tell(const LaneDesign& d, const Sums<M>&, const UnevenProblem<M>& p,
                             const Solution<M, UnevenPoint<M>>& s, Told<M>& told) {
  using Pack = typename M::Pack;
  told.other_rule = typename M::Mask{};
  if (d.panels) {
    tell_units<M>(
        d, p, s.at,
        [&](int j) __attribute__((always_inline))->const typename UnevenPoint<M>::Strip& {
          return s.at.strip[j];
        },
        told);
    return;
  }
  Pack variance, gradient[3], per_spot{};
  corner_error(d, p, s, told.eta, variance, gradient);
  told.half_width =
      quantile<M>(d, inverse_dof<M>(p, s.at, gradient, variance, true)) * Lane<Pack>::sqrt(variance);
  for (int j = 0; j < d.strips; ++j)
    per_spot += s.at.strip[j].weight * s.at.strip[j].weight / d.sxx[static_cast<std::size_t>(j)];
  told.other_rule = few_df<M>(d, p, p.mean_fixed, variance, per_spot);
}

template <class M, class P>
QUARTERTURN_INLINE void fit_drawn(const LaneDesign& d, const LaneDraws& draws, const Sums<M>& sums,
                                  P& problem, LaneFits& fits) {
  using Pack = typename M::Pack;
  using At = std::conditional_t<std::is_same_v<P, EvenProblem<M>>, Point<M>, UnevenPoint<M>>;
  set_known<M>(d, draws, sums, problem);
  set_up(d, sums, problem);
  Solution<M, At> solution;
  maximise_lanes<M>(
      problem,
      [&](const Pack(&theta)[3], At& out)
          __attribute__((always_inline)) { evaluate(d, problem, theta, out); },
      solution);
  Told<M> told;
  tell(d, sums, problem, solution, told);
  // Repeats that all agree count in another way (M17), and steps that were coarser are found again (M15).
  auto here = solution.converged & ~told.other_rule & (typename M::Mask)(sums.off_two > 0.0) &
              (typename M::Mask)(sums.off_five > 0.0) &
              (typename M::Mask)(solution.at.minus < std::numeric_limits<double>::infinity());
  if (d.nu_pure > 0) here &= (typename M::Mask)(sums.ss_pure >= 1e-20);
  for (int l = 0; l < M::kLanes; ++l) {
    const auto at = static_cast<std::size_t>(l);
    fits.eta[at] = told.eta[l];
    fits.half_width[at] = told.half_width[l];
    for (std::size_t k = 0; k < 3; ++k) fits.theta[k][at] = solution.theta[k][l];
    fits.told[at] = here[l] != 0;
  }
}

template <class M>
QUARTERTURN_INLINE void body(const LaneDesign& d, const LaneDraws& draws, LaneFits& fits) {
  using Pack = typename M::Pack;
  Sums<M> sums;
  sums.ss_pure = sums.ss_line = sums.off_two = sums.off_five = sums.width = Pack{};
  int at = d.corners;
  if (d.even) {
    EvenProblem<M> problem;
    for (int j = 0; j < d.strips; ++j) draw_strip<M>(d, draws, j, at, sums, nullptr);
    return fit_drawn<M>(d, draws, sums, problem, fits);
  }
  UnevenProblem<M> problem;
  for (std::size_t c = 0; c < d.classes.size(); ++c)
    problem.sums[c].y = problem.sums[c].xy = problem.sums[c].yy = problem.sums[c].along = Pack{};
  for (int j = 0; j < d.strips; ++j) draw_strip<M>(d, draws, j, at, sums, problem.sums);
  fit_drawn<M>(d, draws, sums, problem, fits);
}

void plain(const LaneDesign& d, const LaneDraws& draws, LaneFits& fits) {
  body<stats::Wide<2>>(d, draws, fits);
}
#if defined(__x86_64__)
QUARTERTURN_AVX2 void avx2(const LaneDesign& d, const LaneDraws& draws, LaneFits& fits) {
  body<stats::Wide<4>>(d, draws, fits);
}
QUARTERTURN_AVX512 void avx512(const LaneDesign& d, const LaneDraws& draws, LaneFits& fits) {
  body<stats::Wide<8>>(d, draws, fits);
}
#endif

}  // namespace

int lanes_of(stats::Isa isa) {
  return isa == stats::Isa::avx512 ? 8 : isa == stats::Isa::avx2 ? 4 : 2;
}

void fit_lanes(const LaneDesign& design, const LaneDraws& draws, LaneFits& fits, stats::Isa isa) {
#if defined(__x86_64__)
  if (isa == stats::Isa::avx512) return avx512(design, draws, fits);
  if (isa == stats::Isa::avx2) return avx2(design, draws, fits);
#endif
  plain(design, draws, fits);
}

}  // namespace quarterturn::check
