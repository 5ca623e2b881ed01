// SPDX-License-Identifier: MIT
#include "check/rail_test.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "check/interval.hpp"
#include "check/resolution.hpp"
#include "stats/distributions.hpp"
#include "stats/root.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::check {
namespace {

using units::InputError;
using units::Place;

constexpr std::size_t kFewestPlaces = 3;
constexpr double kLeastApartMm = 1, kLeastLengthMm = 200, kMostGapMm = 5;

std::vector<Spot> by_position(const Strip& gaps) {
  std::vector<Spot> spots = gaps.spots;
  std::ranges::sort(spots, {}, &Spot::position_mm);
  return spots;
}

Place place_of(const std::string& source, const Spot& spot) {
  if (spot.readings.empty()) return {source, 0, 0};
  return {source, spot.readings.front().line, spot.readings.front().column};
}

std::string mm(double length) {
  return units::shortest(length) + " mm";
}

void validate_spot(const Spot& spot, const std::string& source) {
  if (!(spot.position_mm >= 0 && spot.position_mm <= kMostPositionMm)) {
    throw InputError("position", mm(spot.position_mm), "0 to 10 m along the edge", place_of(source, spot),
                     "how far the place measured lies from one end of the edge");
  }
  if (spot.readings.empty()) {
    throw InputError("place at " + mm(spot.position_mm), "empty", "measured at least once", {source, 0, 0},
                     "leave the place out, or give its gap; 0 where the edge touches");
  }
  for (const Reading& reading : spot.readings) {
    if (!(reading.mm >= 0 && reading.mm <= kMostGapMm)) {
      throw InputError("gap", reading.as_typed, "0 to 5 mm", {source, reading.line, reading.column},
                       "the gap is twice the bow, tenths as a rule: a unit or a decimal mark?");
    }
  }
}

void validate_gaps(const std::vector<Spot>& spots, const std::string& source) {
  for (const Spot& spot : spots) validate_spot(spot, source);
  if (spots.size() < kFewestPlaces) {
    throw InputError("gaps", "read at " + std::to_string(spots.size()) + " places", "read at three or more",
                     {source, 0, 0}, "read both ends and the middle of the edge");
  }
  for (std::size_t i = 1; i < spots.size(); ++i) {
    if (!(spots[i].position_mm - spots[i - 1].position_mm >= kLeastApartMm)) {
      throw InputError("position", mm(spots[i].position_mm), "1 mm or more from the next place",
                       place_of(source, spots[i]), "give readings of one place together");
    }
  }
  const double length = spots.back().position_mm - spots.front().position_mm;
  if (!(length >= kLeastLengthMm)) {
    throw InputError("places", mm(length) + " apart in all", "200 mm or more from the first to the last",
                     place_of(source, spots.front()),
                     "a bow over a short piece tells nothing of the rail: read near both its ends");
  }
}

/// (M98) h = sum of g_i times the mean at spot i, and what the readings say of their scatter.
struct Parabola {
  std::vector<double> g, repeats;
  double h_mm = 0, length_mm = 0;
  double ss_pure = 0, nu_pure = 0;  ///< (M10)
  double ss_line = 0, nu_line = 0;  ///< spot means about the parabola, weighted by their readings
  double sum_g2 = 0;
  double share = 0;  ///< sum of g^2/k over sum of g^2: readings of a spot that count, inverted
};

/// Weighted Gram-Schmidt on 1, u, u^2 with u in -1 to 1; the gap's ends stand `2h` above its middle, which
/// is the coefficient of u^2.
Parabola parabola_of(const std::vector<Spot>& spots) {
  Parabola out;
  const double first = spots.front().position_mm, last = spots.back().position_mm;
  out.length_mm = last - first;
  double weight = 0, mean_u = 0, mean_y = 0;
  std::vector<double> u, y;
  for (const Spot& spot : spots) {
    const auto k = static_cast<double>(spot.readings.size());
    const double mean = mean_mm(spot.readings);
    for (const Reading& r : spot.readings) out.ss_pure += (r.mm - mean) * (r.mm - mean);
    out.nu_pure += k - 1;
    out.repeats.push_back(k);
    u.push_back((2 * spot.position_mm - first - last) / out.length_mm);
    y.push_back(mean);
    weight += k;
    mean_u += k * u.back();
    mean_y += k * mean;
  }
  mean_u /= weight;
  mean_y /= weight;
  // Repeats that agree to rounding of the arithmetic agree exactly.
  if (out.ss_pure < 1e-20) out.ss_pure = 0;
  const std::size_t n = spots.size();
  std::vector<double> linear(n), square(n);
  double ll = 0, ly = 0, mean_square = 0;
  for (std::size_t i = 0; i < n; ++i) {
    linear[i] = u[i] - mean_u;
    ll += out.repeats[i] * linear[i] * linear[i];
    ly += out.repeats[i] * linear[i] * (y[i] - mean_y);
    mean_square += out.repeats[i] * u[i] * u[i] / weight;
  }
  double ls = 0, ss = 0, sy = 0;
  for (std::size_t i = 0; i < n; ++i) ls += out.repeats[i] * linear[i] * (u[i] * u[i] - mean_square);
  for (std::size_t i = 0; i < n; ++i) {
    square[i] = u[i] * u[i] - mean_square - ls / ll * linear[i];
    ss += out.repeats[i] * square[i] * square[i];
  }
  for (std::size_t i = 0; i < n; ++i) {
    sy += out.repeats[i] * square[i] * (y[i] - mean_y);
    out.g.push_back(0.5 * out.repeats[i] * square[i] / ss);
    out.sum_g2 += out.g[i] * out.g[i];
    out.share += out.g[i] * out.g[i] / out.repeats[i];
  }
  out.h_mm = 0.5 * sy / ss;
  out.share /= out.sum_g2;
  out.nu_line = static_cast<double>(n) - 3;
  if (n > 3) {
    for (std::size_t i = 0; i < n; ++i) {
      const double e = y[i] - mean_y - ly / ll * linear[i] - sy / ss * square[i];
      out.ss_line += out.repeats[i] * e * e;
    }
  }
  return out;
}

/// A variance on degrees of freedom; nu = 0: nothing informs it.
struct Known {
  double s2 = 0, nu = 0;
  void pool(double sum, double dof) {
    if (!(dof > 0)) return;
    s2 = (s2 * nu + sum) / (nu + dof);
    nu += dof;
  }
};

Known evidence_on(Component component, std::span<const Evidence> evidence) {
  Known out;
  for (const Evidence& e : evidence) {
    if (e.component == component) out.pool(e.s2 * e.nu, e.nu);
  }
  return out;
}

/// Degrees of freedom nu at which q(nu) u is the half-width at 95 %; and a larger u where even one is too
/// many.
void matched_dof(Bow& bow, double half_width_95) {
  constexpr double kP = 0.975, kMost = 1e6;
  const double factor = half_width_95 / bow.u_mm;
  const auto over = [&](double inverse) { return stats::t_quantile(kP, 1 / inverse) - factor; };
  if (factor <= stats::t_quantile(kP, kMost)) {
    bow.dof = kUnbounded;
  } else if (over(1) <= 0) {
    bow.dof = 1;
    bow.u_mm = half_width_95 / stats::t_quantile(kP, 1);
  } else {
    bow.dof = 1 / stats::root(over, {1 / kMost, over(1 / kMost)}, {1, over(1)});
  }
}

/// u, dof and half-width of h. \param reading  pooled, of a single reading; \param marks  saw marks known
/// from outside; \param spots  of spot means about the parabola where they are not pooled into `reading`
void set_interval(Bow& bow, const Parabola& p, const Known& reading, const Known& marks, const Known& spots,
                  double resolution) {
  double variance = 0;
  for (std::size_t i = 0; i < p.g.size(); ++i) {
    const SpotVariance v = spot_variance(reading.s2, static_cast<int>(p.repeats[i]), resolution);
    variance += p.g[i] * p.g[i] * (v.share * reading.s2 + v.fixed);
  }
  variance = std::max(variance, p.sum_g2 * spots.s2) + p.sum_g2 * marks.s2;
  if (!(reading.nu > 0 || spots.nu > 0) || !(variance > 0)) {
    bow.unknown = kReadingUnseen;
    bow.u_mm = bow.half_width_mm = kUnbounded;
    bow.dof = 0;
    return;
  }
  bow.u_mm = std::sqrt(variance);
  const bool rounded = std::sqrt(reading.s2) < resolution / 2;
  if (!rounded && !(marks.nu > 0) && !(spots.nu > 0)) {
    bow.dof = reading.nu;
    bow.half_width_mm = stats::t_quantile(0.5 * (1 + bow.confidence), bow.dof) * bow.u_mm;
    return;
  }
  // (M28): whether rounding rules is itself known only as well as s^2.
  FewDfTerms terms;
  terms.c_r = p.sum_g2, terms.s2_r = marks.s2, terms.nu_r = marks.nu;
  terms.c_b = p.sum_g2, terms.s2_l = spots.s2, terms.nu_l = spots.nu;
  terms.s2_e_over_k = reading.s2 * p.share, terms.nu_e = reading.nu;
  if (rounded) terms.fixed = resolution * resolution / 12;
  const FewDf distribution(terms);
  bow.half_width_mm = distribution.half_width(bow.confidence);
  matched_dof(bow, bow.confidence == 0.95 ? bow.half_width_mm : distribution.half_width(0.95));
}

/// (M98) F of the spot means about the parabola, on what else is known of a reading.
void test_parabola(Bow& bow, const Parabola& p, const Known& reading, double resolution) {
  if (!(p.nu_line > 0 && reading.nu > 0)) return;
  double mean_repeats = 0;
  for (const double k : p.repeats) mean_repeats += k / static_cast<double>(p.repeats.size());
  double s2 = reading.s2;
  if (std::sqrt(s2) < resolution / 2) s2 = std::max(s2, mean_repeats * resolution * resolution / 12);
  const double mean_square = p.ss_line / p.nu_line;
  bow.parabola_p =
      s2 > 0 ? stats::f_upper(mean_square / s2, p.nu_line, reading.nu) : (mean_square > 0 ? 0.0 : 1.0);
  bow.kinked = *bow.parabola_p < kNoParabola;
}

Bow bow_from(const Parabola& p, double confidence) {
  Bow bow;
  bow.h_mm = p.h_mm;
  bow.over_mm = p.length_mm;
  bow.confidence = confidence;
  return bow;
}

}  // namespace

Bow rail_bow(const Strip& gaps, std::span<const Evidence> evidence, double resolution, double confidence,
             const std::string& source) {
  const std::vector<Spot> spots = by_position(gaps);
  validate_gaps(spots, source);
  const Parabola p = parabola_of(spots);
  Bow bow = bow_from(p, confidence);
  Known reading = evidence_on(Component::reading, evidence);
  reading.pool(p.ss_pure, p.nu_pure);
  test_parabola(bow, p, reading, resolution);
  Known left;
  if (bow.kinked) {
    left = {p.ss_line / p.nu_line * p.share, p.nu_line};
  } else {
    reading.pool(p.ss_line, p.nu_line);
  }
  set_interval(bow, p, reading, {}, left, resolution);
  return bow;
}

std::optional<Bow> curvature_of(const Strip& gaps, std::span<const Evidence> evidence, double resolution,
                                double confidence, const std::string& source) {
  if (gaps.spots.size() < kFewestPlaces) return std::nullopt;
  const std::vector<Spot> spots = by_position(gaps);
  validate_gaps(spots, source);
  const Parabola p = parabola_of(spots);
  Bow bow = bow_from(p, confidence);
  Known reading = evidence_on(Component::reading, evidence);
  reading.pool(p.ss_pure, p.nu_pure);
  const Known marks = evidence_on(Component::saw_marks, evidence);
  Known about;
  if (!(marks.nu > 0)) about.pool(p.ss_line * p.share, p.nu_line);
  set_interval(bow, p, reading, marks, about, resolution);
  return bow;
}

}  // namespace quarterturn::check
