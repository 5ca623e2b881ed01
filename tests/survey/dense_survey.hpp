// SPDX-License-Identifier: MIT
/// \file dense_survey.hpp
/// The mixed model of a survey in full matrices, written out naively: the oracle of the sparse one.
///
/// Distances, comparisons and corners of square setups only; random terms of holes and rows.
#pragma once

#include <Eigen/Core>
#include <array>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "survey/observation.hpp"

namespace quarterturn::test {

/// A function of all displacements (x and y of each hole of the grid) and of the dogs.
struct DenseRow {
  Eigen::VectorXd holes, dogs;
};

class DenseSurvey {
 public:
  DenseSurvey(const station::Station& station, const std::vector<survey::Observation>& observations);
  ~DenseSurvey();
  DenseSurvey(const DenseSurvey&) = delete;
  DenseSurvey& operator=(const DenseSurvey&) = delete;

  [[nodiscard]] Eigen::Index unknowns() const { return 2 * grid_.columns * grid_.rows; }
  [[nodiscard]] Eigen::Index at(survey::Hole h) const {
    return 2 * ((h.column - 1) * grid_.rows + h.row - 1);
  }
  [[nodiscard]] DenseRow none() const;
  [[nodiscard]] int dog(const std::string& name) const { return dog_.at(name); }
  [[nodiscard]] const Eigen::MatrixXd& design() const { return a_; }
  [[nodiscard]] const Eigen::MatrixXd& effects() const { return f_; }
  /// What was read less what it would be on a perfect table [mm, rad].
  [[nodiscard]] const Eigen::VectorXd& misclosures() const { return y_; }

  /// eps of square lines by the text of METHOD.md (M1)-(M3): m of the rail (-1, 0), of the fence (0, 1).
  [[nodiscard]] DenseRow row_of(const survey::Observation& o) const;

  struct Value {
    double x, u;
    bool determined;
  };
  /// \param hole, row_shift, row_tilt  variances [mm^2]; tilt in mm at the ends of a row
  [[nodiscard]] Value estimate(const DenseRow& g, double hole, double row_shift = 0,
                               double row_tilt = 0) const;

  /// Covariance of the holes' displacements without fixed effects, and -log restricted likelihood.
  [[nodiscard]] Eigen::MatrixXd prior(double hole, double row_shift, double row_tilt) const;
  [[nodiscard]] double minus_log(double hole, double row_shift = 0, double row_tilt = 0) const;

 private:
  struct Solved;
  void solve(const std::array<double, 3>& theta) const;
  [[nodiscard]] double span(survey::Hole a, survey::Hole b) const;
  void add_length(DenseRow& row, survey::Hole a, survey::Hole b, double sign) const;
  [[nodiscard]] double nominal(const survey::Observation& o) const;
  void fill_effects();

  station::Grid grid_;
  std::map<std::string, int> dog_;
  Eigen::MatrixXd a_, d_, f_;
  Eigen::VectorXd u_, y_;
  mutable std::unique_ptr<const Solved> solved_;
};

/// Least squares of a x = y of least length, by a's singular values above 1e-9 of the greatest.
struct LeastSolution {
  Eigen::VectorXd x;
  Eigen::MatrixXd covariance;  ///< of x, where each of y has standard deviation 1
  double squares;              ///< |y - a x|^2
  Eigen::Index rank;
};
LeastSolution least_solution(const Eigen::MatrixXd& a, const Eigen::VectorXd& y);

/// Inverse of a symmetric matrix that has one; and of one that has none, Moore and Penrose's.
Eigen::MatrixXd inverse_of(const Eigen::MatrixXd& a);

}  // namespace quarterturn::test
