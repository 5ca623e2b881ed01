// SPDX-License-Identifier: MIT
#include "survey/greedy.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quarterturn::survey {
namespace {

constexpr std::size_t kAnew =
    64;                          ///< solutions that are put right by so many taken before N is factored anew
constexpr double kEqual = 1e-9;  ///< gains closer than this share are equal but for rounding

double inner(const Wide::Entries& a, const std::vector<double>& b) {
  double sum = 0;
  for (const stats::Entry& e : a) sum += e.value * b[static_cast<std::size_t>(e.index)];
  return sum;
}

std::vector<Observation> observations_in(const std::vector<Candidate>& list) {
  std::vector<Observation> out;
  for (const Candidate& one : list) out.push_back(one.observation);
  return out;
}

/// Middle of its holes, in pitches.
Vec middle(const Observation& o) {
  Vec sum;
  const std::vector<Hole> holes = o.holes();
  for (const Hole& hole : holes) {
    sum.x += hole.column;
    sum.y += hole.row;
  }
  const auto count = static_cast<double>(holes.size());
  return {sum.x / count, sum.y / count};
}

}  // namespace

std::optional<double> u_of(const Known& known, const Wanted& wanted) {
  const MixedModel model(known.station, known.made, known.terms, known.caliper_scale, {}, known.set_aside);
  const Row row = wanted(model);
  if (!model.undetermined(row).empty()) return std::nullopt;
  const std::vector<stats::Entry> c = model.scaled(row, known.theta);
  return std::sqrt(model.factor(known.theta).equations->bilinear(c, c) +
                   MixedModel::besides(row, known.theta));
}

Wide::Wide(const Known& known, const MixedModel& model) : model_(model), theta_(known.theta) {
  for (std::size_t k = 0; k < model.fixed_names().size(); ++k) {
    const bool dog = k >= kEffects + (known.caliper_scale ? 1 : 0);
    sd_.push_back((dog ? kWideOversizeMm : kWideEffect) / model.fixed_scale(k));
  }
  unknowns_ = model.random() + static_cast<int>(sd_.size());
  for (int i = 0; i < unknowns_; ++i) lower_.push_back({i, i, 1});
  for (int i = 0; i < model.observations(); ++i) add(entries(model.row(i)), model.u(i));
  factor();
}

Wide::Entries Wide::entries(const Row& row) const {
  Entries out;
  for (const stats::Entry& e : row.random) {
    out.push_back({e.index, e.value * model_.sd(e.index, theta_)});
  }
  for (std::size_t k = 0; k < sd_.size(); ++k) {
    const double share = row.fixed(static_cast<Eigen::Index>(k));
    if (share != 0) out.push_back({model_.random() + static_cast<int>(k), share * sd_[k]});
  }
  return out;
}

void Wide::add(const Entries& z, double u) {
  const double weight = 1 / (u * u);
  for (std::size_t a = 0; a < z.size(); ++a) {
    for (std::size_t b = 0; b <= a; ++b) {
      lower_.push_back({z[a].index, z[b].index, weight * z[a].value * z[b].value});
    }
  }
}

void Wide::factor() {
  factor_ = stats::SparseCholesky::of(unknowns_, lower_);
}

std::vector<double> Wide::expected() const {
  std::vector<double> right(static_cast<std::size_t>(unknowns_), 0.0);
  for (int i = 0; i < model_.observations(); ++i) {
    const double weighted = model_.y(i) / (model_.u(i) * model_.u(i));
    for (const stats::Entry& e : entries(model_.row(i)))
      right[static_cast<std::size_t>(e.index)] += e.value * weighted;
  }
  return factor_->solve(std::span<const double>(right));
}

Greedy::Greedy(const Known& known, const std::vector<Candidate>& list, const Wanted& wanted)
    : list_(list),
      model_(known.station, known.made, known.terms, known.caliper_scale, observations_in(list),
             known.set_aside),
      wide_(known, model_),
      whole_(!wanted) {
  std::vector<double> solved;
  if (!whole_) {
    const Wide::Entries g = wide_.entries(wanted(model_));
    solved = wide_.solve(g);
    left_ = inner(g, solved);
  }
  for (const Candidate& one : list) {
    Considered c{wide_.entries(model_.row_of(functional_of(known.station, one.observation)))};
    if (!whole_) c.covariance = inner(c.entries, solved);
    c.variance = inner(c.entries, wide_.solve(c.entries));
    c.u = one.observation.u;
    c.nearest = std::numeric_limits<double>::infinity();
    considered_.push_back(std::move(c));
  }
  for (const Observation& made : known.made) mark(made);
}

/// Information for a minute (M118): on the whole, -ln of the share of its variance that is left once it is
/// read; on a wanted function (M113), the same of that one's.
double Greedy::gain(std::size_t at) const {
  const Considered& c = considered_[at];
  if (whole_) return std::log1p(c.variance / (c.u * c.u)) / list_[at].minutes;
  const double share = c.covariance * c.covariance / ((c.variance + c.u * c.u) * left_);
  return -std::log1p(-std::min(share, 1 - 1e-15)) / list_[at].minutes;
}

int Greedy::touched(std::size_t at) const {
  int count = 0;
  for (const Hole& hole : list_[at].observation.holes()) {
    const auto found = touches_.find(hole);
    if (found != touches_.end()) count += found->second;
  }
  return count;
}

std::optional<std::size_t> Greedy::best() const {
  std::optional<std::size_t> best;
  double most = 0;
  int least = 0;
  for (std::size_t i = 0; i < considered_.size(); ++i) {
    if (considered_[i].taken) continue;
    const double here = gain(i);
    if (!(here > 0) || here < most * (1 - kEqual)) continue;
    const int touches = touched(i);
    const bool better =
        !best || here > most * (1 + kEqual) || touches < least ||
        (touches == least && considered_[i].nearest > considered_[*best].nearest * (1 + kEqual));
    if (!better) continue;
    most = std::max(most, here);
    least = touches;
    best = i;
  }
  return best;
}

void Greedy::mark(const Observation& made) {
  for (const Hole& hole : made.holes()) ++touches_[hole];
  const Vec at = middle(made);
  for (std::size_t i = 0; i < considered_.size(); ++i) {
    const Vec here = middle(list_[i].observation);
    considered_[i].nearest = std::min(considered_[i].nearest, std::hypot(here.x - at.x, here.y - at.y));
  }
}

void Greedy::take(std::size_t at) {
  Considered& taken = considered_[at];
  std::vector<double> solved = wide_.solve(taken.entries);
  for (const auto& [before, denominator] : taken_) {
    const double share = inner(taken.entries, before) / denominator;
    for (std::size_t i = 0; i < solved.size(); ++i) solved[i] -= share * before[i];
  }
  const double denominator = taken.variance + taken.u * taken.u, covariance = taken.covariance;
  for (Considered& c : considered_) {
    const double with = inner(c.entries, solved);
    c.covariance -= with * covariance / denominator;
    c.variance = std::max(0.0, c.variance - with * with / denominator);
  }
  left_ -= covariance * covariance / denominator;
  taken.taken = true;
  wide_.add(taken.entries, taken.u);
  taken_.emplace_back(std::move(solved), denominator);
  if (taken_.size() >= kAnew) {
    wide_.factor();
    taken_.clear();
  }
  mark(list_[at].observation);
}

// (M119)
Foretold foretold(const Known& known, const Observation& observation) {
  const std::vector<Observation> also{observation};
  const MixedModel model(known.station, known.made, known.terms, known.caliper_scale, also, known.set_aside);
  const Wide wide(known, model);
  const Wide::Entries c = wide.entries(model.row_of(functional_of(known.station, observation)));
  const double variance = inner(c, wide.solve(c));
  return {nominal_value(known.station, observation) + inner(c, wide.expected()),
          std::sqrt(variance + observation.u * observation.u)};
}

}  // namespace quarterturn::survey
