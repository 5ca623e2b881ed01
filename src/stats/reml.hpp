// SPDX-License-Identifier: MIT
/// \file reml.hpp
/// Restricted maximum likelihood for a few variances that may not fall below zero.
///
/// In       a model that gives, for variances theta, its -log restricted likelihood, gradient and expected
/// information Out      the maximising theta, with the information there Maths    METHOD.md (M20)–(M24),
/// (M26); [PATT], [HARV], [SATT]; Fisher scoring on the box theta >= 0 with an active set, step halving
/// Assumes  the expected information is that of the same likelihood; few variances (at most 8)
/// Accuracy 1e-8 relative in theta against closed forms and R (tests/stats/reml_test.cpp)
#pragma once

#include <functional>
#include <span>
#include <vector>

namespace quarterturn::stats {

/// -log likelihood and its derivatives at one theta. `information` is row-major, n x n.
struct RemlPoint {
  double minus_log = 0;
  std::vector<double> gradient;
  std::vector<double> information;
};

/// Evaluates a model at theta (all >= 0). minus_log may be +infinity where the model is not defined.
using RemlModel = std::function<void(std::span<const double> theta, RemlPoint& out)>;

struct RemlFit {
  std::vector<double> theta;
  RemlPoint at;
  int iterations = 0;
  bool converged = false;
};

/// \param start   starting values > 0, one for each variance
RemlFit maximise_reml(const RemlModel& model, std::span<const double> start);

/// The plain dense model y ~ N(X beta, sum theta_k V_k): the naive form, for small data and as an oracle.
/// \param y n values; \param x n x p row-major; \param v each n x n row-major, positive semidefinite
struct DenseModel {
  int n = 0, p = 0;
  std::vector<double> y, x;
  std::vector<std::vector<double>> v;
  void evaluate(std::span<const double> theta, RemlPoint& out) const;
};

struct Gls {
  std::vector<double> beta;
  std::vector<double> covariance;  ///< p x p
};
Gls generalised_least_squares(const DenseModel& model, std::span<const double> theta);

/// Satterthwaite degrees of freedom of the variance of contrast c'beta: 2 var^2 / (g' I^-1 g), METHOD.md
/// (M26).
double satterthwaite_dof(const DenseModel& model, std::span<const double> theta,
                         std::span<const double> contrast);

/// 2 var^2 / (g' I^-1 g) for a variance with gradient g; rows of `information` that are all zero are left
/// out. Never below `floor`.
double satterthwaite(double variance, std::span<const double> gradient, std::span<const double> information,
                     double floor = 1.0);

}  // namespace quarterturn::stats
