// SPDX-License-Identifier: MIT
#include "survey/other_holes.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "stats/distributions.hpp"
#include "survey/solved_lines.hpp"

namespace quarterturn::survey {
namespace {

constexpr double kSameCheckRad = 1e-6;  ///< two results of one check: 0.0006 mm over 600

bool same(const station::Post& a, const station::Post& b) {
  return a.hole == b.hole && a.dog == b.dog;
}

double acting(const check::Estimate& e) {
  return e.half_width / stats::normal_quantile(0.5 * (1 + e.confidence));
}

/// (M116) Both conditioned on what the check tells of now.
NowAndThen given_check(NowAndThen k, const PresentPair& present, Opinions opinions) {
  const double u2 = present.u * present.u;
  if (opinions == Opinions::survey_has_it) return k;
  if (opinions == Opinions::difference_only) {
    const double change = k.then - k.now, v = k.v_now + k.v_then - 2 * k.covariance;
    return {present.eps, present.eps + change, u2, u2 + std::max(v, 0.0), u2};
  }
  const double total = k.v_now + u2, missed = present.eps - k.now;
  if (!(total > 0)) return k;
  k.now += k.v_now / total * missed;
  k.then += k.covariance / total * missed;
  k.v_then -= k.covariance * k.covariance / total;
  k.covariance *= u2 / total;
  k.v_now *= u2 / total;
  return k;
}

class Search {
 public:
  Search(const Adjustment& adjustment, const PresentPair& present, const PairOptions& options)
      : adjustment_(adjustment),
        present_(present),
        table_(adjustment, options),
        rail_(table_.line(present.lines.rail.first.hole, present.lines.rail.second.hole, true)),
        fence_(table_.line(present.lines.fence.first.hole, present.lines.fence.second.hole, false)) {
    now_ = table_.pair(rail_, fence_);
  }

  [[nodiscard]] bool tells_now() const { return table_.undetermined(rail_, fence_).empty(); }
  /// Of the lines in use, with the uncertainty that decisions use.
  [[nodiscard]] check::Estimate foretold() const {
    check::Estimate e =
        adjustment_.estimate_from(joined(rail_.row, fence_.row), joined(rail_.solved, fence_.solved));
    e.x = now_.eps;
    return e;
  }

  [[nodiscard]] std::vector<OtherHoles> best(Opinions opinions) const {
    std::vector<SolvedLine> rails = table_.rails(), fences = table_.fences();
    struct Kept {
      double left = 0;
      const SolvedLine *rail = nullptr, *fence = nullptr;
    };
    std::array<Kept, 4> kept;  // by which lines change: 1 rail, 2 fence, 3 both
    const std::vector<double> of_rails = with_present(rails), of_fences = with_present(fences);
    for (std::size_t r = 0; r < rails.size(); ++r) {
      const bool other_rail = !alike(rails[r], rail_);
      for (std::size_t f = 0; f < fences.size(); ++f) {
        const std::size_t kind = (other_rail ? 1u : 0u) + (alike(fences[f], fence_) ? 0u : 2u);
        if (kind == 0 || !table_.fit(rails[r], fences[f])) continue;
        if (!tells(rails[r], fences[f], opinions)) continue;
        const PairResult pair = table_.pair(rails[r], fences[f]);
        const NowAndThen known =
            given_check({now_.eps, pair.eps, now_.u * now_.u, pair.u * pair.u, of_rails[r] + of_fences[f]},
                        present_, opinions);
        const double left = known.then * known.then + known.v_then;
        if (kept[kind].rail != nullptr && left >= kept[kind].left) continue;
        kept[kind] = {left, &rails[r], &fences[f]};
      }
    }
    std::vector<OtherHoles> out;
    for (const Kept& one : kept) {
      if (one.rail != nullptr) out.push_back(finished(*one.rail, *one.fence, opinions));
    }
    const auto left = [](const OtherHoles& o) { return o.known.then * o.known.then + o.known.v_then; };
    std::stable_sort(out.begin(), out.end(),
                     [&](const OtherHoles& a, const OtherHoles& b) { return left(a) < left(b); });
    return out;
  }

 private:
  static bool alike(const SolvedLine& a, const SolvedLine& b) {
    return a.first == b.first && a.second == b.second;
  }
  [[nodiscard]] bool tells(const SolvedLine& rail, const SolvedLine& fence, Opinions opinions) const {
    if (opinions != Opinions::difference_only) return table_.undetermined(rail, fence).empty();
    Row change;
    change.fixed = rail.row.fixed + fence.row.fixed - rail_.row.fixed - fence_.row.fixed;
    change.size = rail.row.size + fence.row.size;
    for (const Row* row : {&rail.row, &fence.row})
      change.unseen_dogs.insert(change.unseen_dogs.end(), row->unseen_dogs.begin(), row->unseen_dogs.end());
    return adjustment_.model().undetermined(change).empty();
  }
  [[nodiscard]] std::vector<double> with_present(const std::vector<SolvedLine>& lines) const {
    std::vector<double> out;
    for (const SolvedLine& line : lines)
      out.push_back(table_.covariance(line, rail_) + table_.covariance(line, fence_));
    return out;
  }

  /// The scatter was fitted: variances are widened alike, by what that costs the difference, or eps then
  /// where the survey stands alone.
  [[nodiscard]] OtherHoles finished(const SolvedLine& rail, const SolvedLine& fence,
                                    Opinions opinions) const {
    const PairResult then = table_.finished(table_.pair(rail, fence), rail, fence);
    const double covariance = table_.covariance(rail, rail_) + table_.covariance(rail, fence_) +
                              table_.covariance(fence, rail_) + table_.covariance(fence, fence_);
    const double v_then = std::pow(table_.pair(rail, fence).u, 2), v_now = now_.u * now_.u;
    const double v_change = std::max(0.0, v_then + v_now - 2 * covariance);
    std::vector<double> solved = joined(rail.solved, fence.solved);
    const std::vector<double> before = joined(rail_.solved, fence_.solved);
    for (std::size_t i = 0; i < solved.size(); ++i) solved[i] -= before[i];
    const Functional change = rail.turn + fence.turn + -1.0 * (rail_.turn + fence_.turn);
    const check::Estimate e = adjustment_.estimate_from(adjustment_.model().row_of(change), solved);
    OtherHoles out;
    out.lines = present_.lines;
    out.lines.rail.first.hole = rail.first;
    out.lines.rail.second.hole = rail.second;
    out.lines.fence.first.hole = fence.first;
    out.lines.fence.second.hole = fence.second;
    out.rail = !alike(rail, rail_);
    out.fence = !alike(fence, fence_);
    out.change = then.eps - now_.eps;
    out.change_u = acting(e);
    const double confidence = adjustment_.options().confidence;
    const double wide = opinions == Opinions::survey_has_it
                            ? then.u * stats::t_quantile(0.5 * (1 + confidence), then.dof) /
                                  stats::normal_quantile(0.5 * (1 + confidence)) / std::sqrt(v_then)
                            : out.change_u / std::sqrt(v_change);
    const double k = std::isfinite(wide) ? std::max(1.0, wide * wide) : 1.0;
    out.known = given_check({now_.eps, then.eps, k * v_now, k * v_then, k * covariance}, present_, opinions);
    out.unseen = then.unseen;
    return out;
  }

  const Adjustment& adjustment_;
  const PresentPair& present_;
  SolvedLines table_;
  SolvedLine rail_, fence_;
  PairResult now_;
};

}  // namespace

// P(|then| < |now|): then given now is normal, now on either side of 90 degrees by Simpson's rule
double NowAndThen::improves() const {
  const double s = std::sqrt(std::max(v_now, 0.0));
  const double slope = v_now > 0 ? covariance / v_now : 0;
  const double rest = std::sqrt(std::max(v_then - slope * covariance, 1e-30));
  const auto given = [&](double z) {
    const double at = now + s * z, mean = then + slope * s * z, size = std::fabs(at);
    return stats::normal_probability((size - mean) / rest) - stats::normal_probability((-size - mean) / rest);
  };
  if (!(s > 0)) return given(0);
  const auto density = [](double z) {
    return std::exp(-0.5 * z * z) / std::sqrt(2 * 3.14159265358979323846);
  };
  constexpr double kFar = 8;
  constexpr int kSteps = 400;
  const double zero = std::clamp(-now / s, -kFar, kFar);
  double sum = 0;
  for (const auto& [a, b] : {std::pair{-kFar, zero}, {zero, kFar}}) {
    const double h = (b - a) / kSteps;
    for (int i = 0; i <= kSteps; ++i) {
      const double weight = i == 0 || i == kSteps ? 1 : i % 2 == 1 ? 4 : 2;
      sum += weight * h / 3 * given(a + i * h) * density(a + i * h);
    }
  }
  return std::clamp(sum, 0.0, 1.0);
}

double NowAndThen::within(double t) const {
  const double u = std::sqrt(std::max(v_then, 1e-30));
  return stats::normal_probability((t - then) / u) - stats::normal_probability((-t - then) / u);
}

// (M116)
OtherHolesFound other_holes(const Adjustment& adjustment, const PresentPair& present, PairOptions options) {
  const Lines& lines = present.lines;
  options.dogs = {lines.rail.first.dog, lines.rail.second.dog, lines.fence.first.dog, lines.fence.second.dog};
  options.rail_on_face = lines.rail_on_face;
  options.panel_side = lines.panel_side;
  OtherHolesFound out;
  out.opinions = present.opinions;
  const Search search(adjustment, present, options);
  if (search.tells_now()) {
    const check::Estimate foretold = search.foretold();
    out.foretold = foretold.x;
    out.foretold_u = acting(foretold);
    const double u = std::hypot(present.u, *out.foretold_u);
    if (out.opinions == Opinions::both && std::fabs(present.eps - foretold.x) > stats::kTwoSided95 * u)
      out.opinions = Opinions::difference_only;
  } else {
    out.opinions = Opinions::difference_only;
  }
  out.best = search.best(out.opinions);
  if (!out.best.empty()) return out;
  // What unequal dogs do is not parted from the holes: by the stated diameters then, and only the difference.
  options.dogs_as_stated = true;
  out.dogs_as_stated = true;
  out.opinions = Opinions::difference_only;
  out.best = Search(adjustment, present, options).best(out.opinions);
  return out;
}

bool has_check(const std::vector<Observation>& observations, const Lines& lines, double eps) {
  return std::any_of(observations.begin(), observations.end(), [&](const Observation& o) {
    if (o.kind != Kind::corner || o.dog_via.size() != 2) return false;
    return same({o.from, o.dog_from}, lines.rail.first) && same({o.to, o.dog_to}, lines.rail.second) &&
           same({o.via[0], o.dog_via[0]}, lines.fence.first) &&
           same({o.via[1], o.dog_via[1]}, lines.fence.second) && o.side == lines.rail_on_face &&
           o.panel_side == lines.panel_side && std::fabs(o.value - eps) < kSameCheckRad;
  });
}

}  // namespace quarterturn::survey
