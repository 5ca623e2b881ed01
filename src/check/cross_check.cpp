// SPDX-License-Identifier: MIT
#include "check/cross_check.hpp"

#include <algorithm>
#include <cmath>

#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"

namespace quarterturn::check {
namespace {

constexpr double kLevel = 0.05;
/// b of a millimetre's bow so small is that of contacts symmetric about the edge's middle.
constexpr double kNoEffectPerMm = 1e-9;

struct Value {
  double x = 0, u = 0, dof = kUnbounded;
};

Value times(double k, const Value& v) {
  return {k * v.x, std::fabs(k) * v.u, v.dof};
}

/// (M26) of a difference of independent values.
Value minus(const Value& a, const Value& b) {
  const double va = a.u * a.u, vb = b.u * b.u;
  const double inverse = (va * va / a.dof + vb * vb / b.dof) / ((va + vb) * (va + vb));
  return {a.x - b.x, std::sqrt(va + vb), inverse > 0 ? 1 / inverse : kUnbounded};
}

double half_width(const Value& v) {
  return stats::t_quantile(1 - kLevel / 2, v.dof) * v.u;
}

/// What is known of h of the kept edge over the cut.
struct Known {
  std::optional<Value> rail, pair, difference;  ///< difference: strips minus turn-over [rad]
  std::optional<double> k;                      ///< difference = k h
  double rocks_up_to_rad = 0;                   ///< on a bar, where k is empty
};

std::optional<Value> over_cut(const std::optional<Bow>& bow, const BowPlace& place, bool of_rail) {
  if (!bow || bow->unknown || !(bow->u_mm > 0)) return std::nullopt;
  const Bow there = bow_over_length(of_rail ? kept_edge_bow(*bow, place) : *bow, place.length_mm);
  return Value{there.h_mm, there.u_mm, there.dof};
}

/// (M100) k. The turn-over's corner is that at the chord of its own cut.
void set_k(Known& known, const CrossCheckInput& input) {
  const BowPlace& place = input.place;
  double highest = place.bar && !known.rail && !known.pair ? kUnbounded : -kUnbounded;
  for (const auto& h : {known.rail, known.pair}) {
    if (h) highest = std::max(highest, h->x + half_width(*h));
  }
  known.k = strips_minus_corner_per_mm(place, highest > 0);
  if (known.k) {
    const double joint = input.joint_length_mm > 0 ? input.joint_length_mm : place.length_mm;
    *known.k += 4 * (joint - place.length_mm) / (place.length_mm * place.length_mm);
  } else if (highest < kUnbounded) {
    known.rocks_up_to_rad = 4 * highest / place.length_mm;
  }
}

Known known_of(const CrossCheckInput& input) {
  Known known;
  known.rail = over_cut(input.rail, input.place, true);
  known.pair = over_cut(input.pair, input.place, false);
  if (input.strips && input.turn_over) {
    known.difference = minus({input.strips->rad, input.strips->u_rad, input.strips->dof},
                             {input.turn_over->rad, input.turn_over->u_rad, input.turn_over->dof});
  }
  set_k(known, input);
  return known;
}

Comparison compared(Compared which, const Value& found, const Value& expected) {
  const Value left = minus(found, expected);
  const double p = left.u > 0 ? 2 * stats::t_probability(-std::fabs(left.x) / left.u, left.dof)
                              : (left.x == 0 ? 1.0 : 0.0);
  return {which, found.x, expected.x, left.u, left.dof, p, true};
}

/// Holm: the smallest p against 0.05/m, the next against 0.05/(m - 1), until one is larger.
void set_agreement(std::vector<Comparison>& comparisons) {
  std::vector<Comparison*> by_p;
  for (Comparison& c : comparisons) by_p.push_back(&c);
  std::ranges::sort(by_p, {}, &Comparison::p);
  auto left = static_cast<double>(by_p.size());
  for (Comparison* c : by_p) {
    if (!(c->p < kLevel / left)) break;
    c->agrees = false;
    left -= 1;
  }
}

std::vector<Comparison> comparisons_of(const Known& known) {
  std::vector<Comparison> out;
  if (known.difference) {
    out.push_back(compared(Compared::strips_turn_over, *known.difference, {0, 0, kUnbounded}));
    if (known.k && known.rail) {
      out.push_back(
          compared(Compared::strips_turn_over_by_rail, *known.difference, times(*known.k, *known.rail)));
    }
    if (known.k && known.pair) {
      out.push_back(
          compared(Compared::strips_turn_over_by_pair, *known.difference, times(*known.k, *known.pair)));
    }
  }
  if (known.rail && known.pair) {
    Comparison c = compared(Compared::rail_pair, minus(*known.rail, {known.pair->x, 0, kUnbounded}),
                            {0, known.pair->u, known.pair->dof});
    out.push_back(c);
  }
  set_agreement(out);
  return out;
}

Bow bow_of(const Value& h, double length_mm) {
  Bow bow;
  bow.h_mm = h.x;
  bow.u_mm = h.u;
  bow.dof = h.dof;
  bow.half_width_mm = half_width(h);
  bow.over_mm = length_mm;
  return bow;
}

/// (M100) Weights 1/(half-width/1.96)^2, so that few degrees of freedom weigh less; [MEIER] for weights that
/// are themselves estimated, [BIRGE] where the routes differ by more than their u. Whether they are alike is
/// tested by u on their own degrees of freedom.
std::optional<BowRoutes> routes_of(const std::vector<Value>& routes, double length_mm) {
  if (routes.empty()) return std::nullopt;
  BowRoutes out;
  out.routes = static_cast<int>(routes.size());
  if (routes.size() == 1) {
    out.mean = bow_of(routes.front(), length_mm);
    return out;
  }
  const double normal = stats::normal_quantile(1 - kLevel / 2);
  std::vector<double> h, v, dof, wide;
  double total = 0, mean = 0;
  for (const Value& route : routes) {
    wide.push_back(std::pow(half_width(route) / normal, 2));
    total += 1 / wide.back();
    mean += route.x / wide.back();
    h.push_back(route.x);
    v.push_back(route.u * route.u);
    dof.push_back(route.dof);
  }
  mean /= total;
  double doubt = 1;
  for (std::size_t i = 0; i < h.size(); ++i) {
    const double share = 1 / (wide[i] * total);
    doubt += 4 * share * (1 - share) / dof[i];
  }
  const stats::Homogeneity q = stats::cochran_q(h, wide);
  out.birge = std::sqrt(q.q / q.dof);
  out.mean = bow_of({mean, std::sqrt(doubt / total) * std::max(1.0, *out.birge), kUnbounded}, length_mm);
  out.p = stats::welch_test(h, v, dof).p;
  return out;
}

bool fine_enough(const Comparison& c, const Known& known, const CrossCheckInput& input) {
  double width = half_width({0, c.u, c.dof});
  if (c.which == Compared::rail_pair) width *= known.k ? std::fabs(*known.k) : 4 / input.place.length_mm;
  return width <= input.tolerance_rad;
}

CrossVerdict verdict_of(const CrossCheck& found, const Known& known, const CrossCheckInput& input) {
  if (found.comparisons.empty()) return CrossVerdict::cannot_tell;
  const Comparison* straight = nullptr;
  bool contradicted = false, explained = false, wide = false, fine = false;
  for (const Comparison& c : found.comparisons) {
    const bool is_fine = fine_enough(c, known, input);
    if (c.which == Compared::strips_turn_over) {
      straight = &c;
      fine = is_fine;
      continue;
    }
    contradicted = contradicted || !c.agrees;
    if (c.which == Compared::rail_pair) {
      if (straight == nullptr) fine = is_fine;
      continue;
    }
    // A bow that leaves most of the difference standing does not explain it, however wide its ±.
    const bool accounts = std::fabs(c.found - c.expected) < std::fabs(c.found) / 2;
    explained = explained || (is_fine && accounts);
    wide = wide || !is_fine;
  }
  if (contradicted) return CrossVerdict::differ_unexplained;
  if (straight == nullptr || straight->agrees) return fine ? CrossVerdict::agree : CrossVerdict::cannot_tell;
  if (explained) return CrossVerdict::bow_explains;
  if (wide) return CrossVerdict::cannot_tell;
  const double beyond = std::fabs(straight->found) - half_width({0, straight->u, straight->dof});
  return beyond <= known.rocks_up_to_rad ? CrossVerdict::bow_explains : CrossVerdict::differ_unexplained;
}

}  // namespace

CrossCheck cross_check(const CrossCheckInput& input) {
  const Known known = known_of(input);
  CrossCheck out;
  out.k_per_mm = known.k;
  out.comparisons = comparisons_of(known);
  std::vector<Value> routes;
  if (known.rail) routes.push_back(*known.rail);
  if (known.pair) routes.push_back(*known.pair);
  if (known.difference && known.k && std::fabs(*known.k) > kNoEffectPerMm) {
    routes.push_back(times(1 / *known.k, *known.difference));
    out.implied = bow_of(routes.back(), input.place.length_mm);
  }
  out.bow = routes_of(routes, input.place.length_mm);
  out.verdict = verdict_of(out, known, input);
  return out;
}

}  // namespace quarterturn::check
