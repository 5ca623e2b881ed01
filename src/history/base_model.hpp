// SPDX-License-Identifier: MIT
/// \file base_model.hpp
/// What the checks of a station look like while nothing is wrong, and how much better a hypothesis explains
/// them.
///
/// In       a Scene; a Hypothesis
/// Out      log density of the checks under it, and the size it would have
/// Maths    METHOD.md (M79), on (M77), (M78)
/// Assumes  faults in good order are normal and independent; what lies between checks is one of a few sizes
/// with
///          weights that are common practice, no source
/// Range    some sixty checks: hypotheses without scatter of their own share four factors, others cost four
/// each
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "history/causes.hpp"
#include "history/scene.hpp"
#include "stats/gaussian_evidence.hpp"

namespace quarterturn::history {

/// ln sum exp; -infinity when all are.
double log_sum(std::span<const double> logs);

/// A table in good order, but for what was done to it knowingly.
class BaseModel {
 public:
  explicit BaseModel(const Scene& scene);

  struct Scored {
    double log_density = 0, size = 0;
  };
  [[nodiscard]] Scored score(const Hypothesis& h) const;
  /// eps less the corrections of known size made so far [rad].
  [[nodiscard]] const std::vector<double>& y() const { return model_.y; }

 private:
  void add_column(std::vector<double> x, double sd);
  void add_part(const Scene& scene, std::size_t part);
  void add_move(const Scene& scene, const Happened& event);
  void add_what_was_corrected(const Scene& scene, const Happened& event);
  void add_events(const Scene& scene);
  [[nodiscard]] stats::GaussianEvidence rebuilt(const Hypothesis& h, std::size_t t) const;

  std::size_t n_;
  stats::GaussianModel model_;
  std::vector<stats::GaussianEvidence> evidence_;
  std::vector<double> log_weight_, tau2_;
};

}  // namespace quarterturn::history
