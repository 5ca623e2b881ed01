// SPDX-License-Identifier: MIT
/// \file gaussian_evidence.hpp
/// How likely numbers are under a linear model whose coefficients have normal priors.
///
/// In       y, its variances v; columns x_k with standard deviations s_k of their coefficients
/// Out      log density of y ~ N(0, diag(v) + sum s_k^2 x_k x_k'), and of the same with one column more
/// Maths    METHOD.md (M77), (M78); conjugate normal linear model [GELMAN], one column more by the matrix
///          determinant lemma [GOLVL]
/// Assumes  v > 0; a column added has a normal prior of its own mean and standard deviation
/// Range    up to a few hundred values: one dense Cholesky factor, then n^2 a column
/// Accuracy 1e-10 against the closed forms of small cases and against quadrature
///          (tests/stats/gaussian_evidence_test.cpp)
#pragma once

#include <memory>
#include <span>
#include <vector>

namespace quarterturn::stats {

struct GaussianModel {
  std::vector<double> y, v;
  std::vector<std::vector<double>> columns;  ///< each as long as y
  std::vector<double> sd;                    ///< one a column
};

class GaussianEvidence {
 public:
  /// \throws std::domain_error on lengths that differ or a variance that is not above 0
  explicit GaussianEvidence(const GaussianModel& model);
  ~GaussianEvidence();
  GaussianEvidence(GaussianEvidence&&) noexcept;

  [[nodiscard]] double log_density() const;

  /// With a further column x whose coefficient is N(mean, sd^2) beforehand.
  struct Added {
    double log_density = 0;
    double size = 0, size_u = 0;  ///< of the coefficient, given y
  };
  [[nodiscard]] Added with(std::span<const double> x, double mean, double sd) const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace quarterturn::stats
