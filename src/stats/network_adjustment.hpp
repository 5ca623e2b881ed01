// SPDX-License-Identifier: MIT
/// \file network_adjustment.hpp
/// Least squares where each observation depends on a few of many parameters, not necessarily in a straight
/// line.
///
/// In       observations with their standard deviations, a model with its derivatives, approximate
/// parameters;
///          what holds the parameters: fixed ones, ones observed beforehand, or conditions G'(x - start) = 0
/// Out      parameters, residuals, sigma0, covariances, redundancies, w tests, least errors that would show
/// Maths    METHOD.md (M103)–(M104); Gauss-Newton; [BAARDA], [MIKHAIL]
/// Assumes  independent observations of the given standard deviations up to one factor
/// Range    approximations near enough for steps that lower the weighted squares
/// Accuracy 13 published networks to their printed digits (tests/stats/network_adjustment_test.cpp)
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "stats/bordered.hpp"

namespace quarterturn::stats {

struct Observed {
  double value = 0, sigma = 1;
};

/// A parameter known beforehand, as an observation of itself.
struct Prior {
  int parameter = 0;
  double value = 0, sigma = 1;
};

/// The value of observation i at x, and its derivatives. An angle is to be returned in the revolution next to
/// what was observed.
using NetworkModel = std::function<double(int i, std::span<const double> x, std::vector<Entry>& derivatives)>;

struct Network {
  std::vector<double> start;  ///< approximate parameters
  std::vector<Observed> observations;
  NetworkModel model;
  std::vector<int> fixed;                  ///< parameters that stay at start
  std::vector<Prior> priors;               ///< stochastic datum
  std::vector<std::vector<double>> datum;  ///< columns of G, a value a parameter: G'(x - start) = 0
};

struct NetworkOptions {
  bool a_posteriori = true;            ///< covariances times sigma0^2, where there are degrees of freedom
  double alpha = 0.001, power = 0.80;  ///< of the w test, for the least error that would show
  int most_steps = 50;
};

/// What one observation showed; priors follow the observations.
struct Residual {
  double computed = 0;
  double residual = 0;      ///< observed minus computed
  double redundancy = 0;    ///< share of an error that shows in its own residual, 0 to 1
  std::optional<double> w;  ///< residual over its standard deviation, sigma as given; none: not controlled
  std::optional<double> detectable;  ///< error found with `power` by a w test at `alpha`, same unit
};

/// Of two parameters as coordinates x, y.
struct ErrorEllipse {
  double major = 0, minor = 0;  ///< half axes, one standard deviation
  double bearing = 0;           ///< of the major axis, from the y axis towards the x axis [rad], 0 to pi
};

class NetworkAdjustment {
 public:
  std::vector<double> parameters;
  std::vector<Residual> residuals;  ///< observations, then priors
  double weighted_squares = 0;      ///< sum of (residual / sigma)^2
  int dof = 0;
  double sigma0 = 1;           ///< sqrt(weighted_squares / dof); 1 without degrees of freedom
  double variance_factor = 1;  ///< in all covariances: sigma0^2 or 1
  bool converged = false;
  int steps = 0;
  double last_step = 0;  ///< in standard deviations
  /// Changes of the parameters that no observation and no condition feels; none: all is determined.
  std::vector<std::vector<double>> undetermined;

  /// Covariance of two parameters; 0 with a fixed one, empty where one of them is not determined.
  [[nodiscard]] std::optional<double> covariance(int i, int j) const;
  [[nodiscard]] std::optional<double> standard_deviation(int i) const;
  [[nodiscard]] std::optional<ErrorEllipse> ellipse(int x, int y) const;
  /// Covariance of two linear functions of the parameters; empty where one of them is not determined.
  [[nodiscard]] std::optional<double> covariance(std::span<const Entry> a, std::span<const Entry> b) const;

 private:
  friend NetworkAdjustment adjust_network(const Network&, const NetworkOptions&);
  struct Parts;
  std::shared_ptr<const Parts> parts_;
};

/// Largest |w| first: index of the residual, empty where none is controlled.
std::optional<std::size_t> largest_w(std::span<const Residual> residuals);

/// \throws std::domain_error on shapes that do not fit, a sigma not above 0, a value not finite, columns of
/// the datum that depend on each other, or more than 64 missing conditions
NetworkAdjustment adjust_network(const Network& network, const NetworkOptions& options = {});

}  // namespace quarterturn::stats
