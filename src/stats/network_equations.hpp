// SPDX-License-Identifier: MIT
/// \file network_equations.hpp
/// The linearised equations of a network at one set of parameters; a part of network_adjustment.
///
/// In       a network, parameters x
/// Out      computed values, residuals, derivatives by the free parameters; the step that lowers the squares
/// Maths    METHOD.md (M103)
/// Assumes  the network outlives the equations
#pragma once

#include <cstddef>
#include <span>
#include <stdexcept>
#include <vector>

#include "stats/bordered.hpp"
#include "stats/network_adjustment.hpp"

namespace quarterturn::stats {

inline std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

/// \throws std::domain_error
inline void require(bool holds, const char* otherwise) {
  if (!holds) throw std::domain_error(otherwise);
}

/// An observation or a prior at one x.
struct NetworkLine {
  double computed = 0, residual = 0, sigma = 1;
  std::vector<Entry> derivatives;  ///< by place among the free parameters
};

class NetworkEquations {
 public:
  /// \throws std::domain_error as adjust_network
  explicit NetworkEquations(const Network& network);

  [[nodiscard]] int size() const { return n_; }  ///< free parameters
  [[nodiscard]] int conditions() const { return static_cast<int>(network_.datum.size()); }
  /// Place of each parameter among the free ones; -1: fixed.
  [[nodiscard]] const std::vector<int>& places() const { return free_; }

  /// Observations, then priors.
  [[nodiscard]] std::vector<NetworkLine> lines(std::span<const double> x) const;
  /// Into lines that may have been used before, with the room they have.
  void lines(std::span<const double> x, std::vector<NetworkLine>& all) const;
  [[nodiscard]] BorderedCholesky normal(std::span<const NetworkLine> lines) const;
  /// By free parameter.
  [[nodiscard]] std::vector<double> step(const BorderedCholesky& normal, std::span<const NetworkLine> lines,
                                         std::span<const double> x) const;
  [[nodiscard]] std::vector<double> moved(std::span<const double> x, std::span<const double> dx,
                                          double share) const;

  static double weighted_squares(std::span<const NetworkLine> lines);
  /// Length of a step in standard deviations: sqrt(dx' N dx).
  static double length(std::span<const NetworkLine> lines, std::span<const double> dx);

 private:
  const Network& network_;
  std::vector<int> free_;
  int n_ = 0;
  std::vector<double> border_;
};

}  // namespace quarterturn::stats
