// SPDX-License-Identifier: MIT
#include "survey/next.hpp"

#include <cmath>
#include <functional>

#include "stats/sparse_cholesky.hpp"

namespace quarterturn::survey {
namespace {

using Entries = std::vector<stats::Entry>;
using Wanted = std::function<Row(const MixedModel&)>;

double inner(const Entries& a, const std::vector<double>& b) {
  double sum = 0;
  for (const stats::Entry& e : a) sum += e.value * b[static_cast<std::size_t>(e.index)];
  return sum;
}

/// All unknowns normal and scaled to variance 1: N = I + S Z'R^-1 Z S, fixed effects among Z.
class Wide {
 public:
  Wide(const Adjustment& adjustment, const MixedModel& model)
      : model_(model), theta_(adjustment.components().theta) {
    for (std::size_t k = 0; k < model.fixed_names().size(); ++k) {
      const bool dog = k >= kEffects + (adjustment.options().caliper_scale ? 1 : 0);
      sd_.push_back((dog ? kWideOversizeMm : kWideEffect) / model.fixed_scale(k));
    }
    const int n = model.random() + static_cast<int>(sd_.size());
    std::vector<stats::Triplet> lower;
    for (int i = 0; i < n; ++i) lower.push_back({i, i, 1});
    for (int i = 0; i < model.observations(); ++i) {
      const Entries z = entries(model.row(i));
      const double weight = 1 / (model.u(i) * model.u(i));
      for (std::size_t a = 0; a < z.size(); ++a) {
        for (std::size_t b = 0; b <= a; ++b) {
          lower.push_back({z[a].index, z[b].index, weight * z[a].value * z[b].value});
        }
      }
    }
    factor_ = stats::SparseCholesky::of(n, lower);
  }

  [[nodiscard]] Entries entries(const Row& row) const {
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
  [[nodiscard]] std::vector<double> solve(const Entries& c) const {
    return factor_->solve(std::span<const stats::Entry>(c));
  }

 private:
  const MixedModel& model_;
  const std::vector<double>& theta_;
  std::vector<double> sd_;
  std::optional<stats::SparseCholesky> factor_;
};

/// A candidate while the list grows: covariance with the wanted function, its own variance.
struct Considered {
  Entries entries;
  double covariance = 0, variance = 0, u2 = 0;
  bool taken = false;
};

/// (M113)
class Greedy {
 public:
  Greedy(const Adjustment& adjustment, const Wanted& wanted, const std::vector<Candidate>& list)
      : list_(list),
        model_(adjustment.station(), adjustment.observations(), adjustment.model().terms(),
               adjustment.options().caliper_scale, observations_in(list), adjustment.options().set_aside),
        wide_(adjustment, model_) {
    const Entries g = wide_.entries(wanted(model_));
    const std::vector<double> solved = wide_.solve(g);
    left_ = inner(g, solved);
    for (const Candidate& one : list) {
      Considered c{wide_.entries(model_.row_of(functional_of(adjustment.station(), one.observation)))};
      c.covariance = inner(c.entries, solved);
      c.variance = inner(c.entries, wide_.solve(c.entries));
      c.u2 = one.observation.u * one.observation.u;
      considered_.push_back(std::move(c));
    }
  }

  /// Information on the wanted function for a minute; the best not yet taken.
  [[nodiscard]] std::optional<std::size_t> best() const {
    std::optional<std::size_t> best;
    double most = 0;
    for (std::size_t i = 0; i < considered_.size(); ++i) {
      const Considered& c = considered_[i];
      const double share = c.covariance * c.covariance / ((c.variance + c.u2) * left_);
      const double gain = -std::log1p(-std::min(share, 1 - 1e-15)) / list_[i].minutes;
      if (!c.taken && gain > most) {
        most = gain;
        best = i;
      }
    }
    return best;
  }

  void take(std::size_t at) {
    Considered& taken = considered_[at];
    std::vector<double> solved = wide_.solve(taken.entries);
    for (const auto& [before, denominator] : taken_) {
      const double share = inner(taken.entries, before) / denominator;
      for (std::size_t i = 0; i < solved.size(); ++i) solved[i] -= share * before[i];
    }
    const double denominator = taken.variance + taken.u2, covariance = taken.covariance;
    for (Considered& c : considered_) {
      const double with = inner(c.entries, solved);
      c.covariance -= with * covariance / denominator;
      c.variance = std::max(0.0, c.variance - with * with / denominator);
    }
    left_ -= covariance * covariance / denominator;
    taken.taken = true;
    taken_.emplace_back(std::move(solved), denominator);
  }

 private:
  static std::vector<Observation> observations_in(const std::vector<Candidate>& list) {
    std::vector<Observation> out;
    for (const Candidate& one : list) out.push_back(one.observation);
    return out;
  }

  const std::vector<Candidate>& list_;
  MixedModel model_;
  Wide wide_;
  double left_ = 0;  ///< variance of the wanted function
  std::vector<Considered> considered_;
  std::vector<std::pair<std::vector<double>, double>> taken_;
};

/// Standard uncertainty of the wanted function with these observations, fixed effects flat.
std::optional<double> u_with(const Adjustment& adjustment, const Wanted& wanted,
                             const std::vector<Observation>& observations) {
  const std::vector<double>& theta = adjustment.components().theta;
  const MixedModel model(adjustment.station(), observations, adjustment.model().terms(),
                         adjustment.options().caliper_scale, {}, adjustment.options().set_aside);
  const Row row = wanted(model);
  if (!model.undetermined(row).empty()) return std::nullopt;
  const std::vector<stats::Entry> c = model.scaled(row, theta);
  return std::sqrt(model.factor(theta).equations->bilinear(c, c) + MixedModel::besides(row, theta));
}

std::vector<Suggestion> suggest(const Adjustment& adjustment, const Wanted& wanted,
                                const std::vector<Candidate>& list, int how_many) {
  std::vector<Suggestion> out;
  if (list.empty()) return out;
  Greedy greedy(adjustment, wanted, list);
  std::vector<Observation> made = adjustment.observations();
  while (static_cast<int>(out.size()) < how_many) {
    const std::optional<std::size_t> best = greedy.best();
    if (!best) break;
    greedy.take(*best);
    made.push_back(list[*best].observation);
    out.push_back({list[*best], u_with(adjustment, wanted, made)});
  }
  return out;
}

}  // namespace

std::vector<Suggestion> next_observations(const Adjustment& adjustment, const Functional& wanted,
                                          const std::vector<Candidate>& candidates, int how_many) {
  return suggest(
      adjustment, [&](const MixedModel& model) { return model.row_of(wanted); }, candidates, how_many);
}

std::vector<Suggestion> next_observations(const Adjustment& adjustment, Effect wanted,
                                          const std::vector<Candidate>& candidates, int how_many) {
  return suggest(
      adjustment, [&](const MixedModel& model) { return model.row_of(wanted); }, candidates, how_many);
}

}  // namespace quarterturn::survey
