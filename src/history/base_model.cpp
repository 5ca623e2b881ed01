// SPDX-License-Identifier: MIT
#include "history/base_model.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

namespace quarterturn::history {
namespace {

// Between checks, beyond u and play, in units of the median u, with weights; common practice, no source.
constexpr std::array<std::pair<double, double>, 4> kBetween{{{0, 0.6}, {0.5, 0.2}, {1, 0.15}, {2, 0.05}}};
constexpr double kFreeStepRad = 1e-3;  // where something was set anew by an amount nobody knows

bool of_setup(const Happened& event, const Seen& seen) {
  return event.setup.empty() || seen.setup == event.setup;
}
/// Done on purpose, so what it changed is nobody's question.
bool on_purpose(const std::string& kind) {
  return kind == "corrected" || kind == "re-bored" || kind == "shim on";
}
bool may_shift(const std::string& kind) {
  return kind == "shim off" || kind == "knocked" || kind == "moved" || kind == "loosened" ||
         kind == "tightened";
}

}  // namespace

double log_sum(std::span<const double> logs) {
  const double most = *std::ranges::max_element(logs);
  if (!std::isfinite(most)) return most;
  double sum = 0;
  for (const double value : logs) sum += std::exp(value - most);
  return most + std::log(sum);
}

BaseModel::BaseModel(const Scene& scene) : n_(scene.checks.size()) {
  for (const auto& seen : scene.checks) {
    model_.y.push_back(seen.eps);
    model_.v.push_back(seen.u * seen.u);
  }
  for (std::size_t k = 0; k < scene.parts.size(); ++k) add_part(scene, k);
  for (auto& x : play_columns(scene)) add_column(std::move(x), scene.play_mm);
  add_events(scene);
  auto u2 = model_.v;
  std::ranges::nth_element(u2, u2.begin() + static_cast<std::ptrdiff_t>(u2.size() / 2));
  const double median = u2[u2.size() / 2];
  for (const auto& [times, weight] : kBetween) {
    auto with_tau = model_;
    for (double& v : with_tau.v) v += times * times * median;
    log_weight_.push_back(std::log(weight));
    tau2_.push_back(times * times * median);
    evidence_.emplace_back(with_tau);
  }
}

// (M79)  p(y | h) = sum_t w_t N(y; mean x, C + tau_t^2 I + s^2 x x')
BaseModel::Scored BaseModel::score(const Hypothesis& h) const {
  std::vector<double> logs;
  Scored out;
  double best = -std::numeric_limits<double>::infinity();
  for (std::size_t t = 0; t < evidence_.size(); ++t) {
    const auto added = h.scatter.empty() && h.columns.empty() ? evidence_[t].with(h.x, h.mean, h.sd)
                                                              : rebuilt(h, t).with(h.x, h.mean, h.sd);
    logs.push_back(log_weight_[t] + added.log_density);
    if (logs.back() > best) {
      best = logs.back();
      out.size = added.size;
    }
  }
  out.log_density = log_sum(logs);
  return out;
}

void BaseModel::add_column(std::vector<double> x, double sd) {
  if (std::ranges::all_of(x, [](double value) { return value == 0; })) return;
  model_.columns.push_back(std::move(x));
  model_.sd.push_back(sd);
}

void BaseModel::add_part(const Scene& scene, std::size_t part) {
  std::vector<double> x(n_, 0.0);
  for (std::size_t i = 0; i < n_; ++i) {
    for (const auto& share : scene.checks[i].shares) x[i] += share.part == part ? share.per : 0;
  }
  add_column(std::move(x), scene.parts[part].in_order);
}

/// A correction moves its own setup as far as is known; others that stand on one of its lines may move too.
void BaseModel::add_move(const Scene& scene, const Happened& event) {
  std::vector<double> own(n_, 0.0), others(n_, 0.0);
  for (std::size_t i = event.before; i < n_; ++i) {
    const auto& seen = scene.checks[i];
    if (of_setup(event, seen)) {
      own[i] = 1;
      model_.y[i] -= *event.moved;
    } else {
      others[i] = std::ranges::any_of(scene.checks, [&](const Seen& one) {
        return of_setup(event, one) && (one.rail_pair == seen.rail_pair || one.fence_pair == seen.fence_pair);
      });
    }
  }
  add_column(std::move(own), event.u_action.value_or(0.1 * std::fabs(*event.moved)));
  add_column(std::move(others), std::fabs(*event.moved));
  add_what_was_corrected(scene, event);
}

/// It began with the run of checks before the correction that were not within, by an amount nobody knows.
void BaseModel::add_what_was_corrected(const Scene& scene, const Happened& event) {
  std::size_t first = event.before;
  bool within_before = false;
  for (std::size_t i = std::min(event.before, n_); i-- > 0;) {
    if (!of_setup(event, scene.checks[i])) continue;
    within_before = scene.checks[i].within;
    if (within_before) break;
    first = i;
  }
  if (!within_before) return;  // it was so from the start: parts explain it
  std::vector<double> x(n_, 0.0);
  for (std::size_t i = first; i < n_; ++i) x[i] = of_setup(event, scene.checks[i]) ? 1 : 0;
  add_column(std::move(x), kFreeStepRad);
}

void BaseModel::add_events(const Scene& scene) {
  const auto good = scene.good();
  const bool ever_within = good && scene.checks[*good].within;
  for (const auto& event : scene.events) {
    if (event.moved) {
      add_move(scene, event);
    } else if (on_purpose(event.kind) || (ever_within && event.before <= *good && may_shift(event.kind))) {
      std::vector<double> x(n_, 0.0);
      for (std::size_t i = event.before; i < n_; ++i) x[i] = of_setup(event, scene.checks[i]) ? 1 : 0;
      add_column(std::move(x), kFreeStepRad);
    }
  }
}

stats::GaussianEvidence BaseModel::rebuilt(const Hypothesis& h, std::size_t t) const {
  auto model = model_;
  for (std::size_t i = 0; i < n_; ++i) model.v[i] += tau2_[t] + (h.scatter.empty() ? 0.0 : h.scatter[i]);
  for (const auto& x : h.columns) {
    model.columns.push_back(x);
    model.sd.push_back(1.0);
  }
  return stats::GaussianEvidence(model);
}

}  // namespace quarterturn::history
