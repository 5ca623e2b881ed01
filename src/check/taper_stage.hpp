// SPDX-License-Identifier: MIT
/// \file taper_stage.hpp
/// The tapers of one group at one theta: V, its inverse, the projection that leaves the regressors out.
///
/// In       tapers [rad] with their own variances; seating matrix K [1/mm^2], variance s^2 [mm^2]; regressors
/// Out      V = diag + s^2 K: inverse, determinant, GLS estimate, P3 = V^-1 - V^-1 X (X'V^-1 X)^-1 X'V^-1
/// Maths    METHOD.md (M13), (M14)
/// Accuracy 1e-11 of Eigen's dense algebra (tests/check/taper_stage_test.cpp)
/// Gain     a dozen strips need loops over rows, not a library's blocks, and one piece of memory
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace quarterturn::check {

class TaperStage {
 public:
  TaperStage(const TaperStage&) = delete;  // points into its own memory
  TaperStage& operator=(const TaperStage&) = delete;
  /// \param x           strips x regressors, row-major
  /// \param seating     strips x strips; has to outlive the stage
  /// \param theta       s^2
  TaperStage(std::span<const double> taper, std::span<const double> variance, std::span<const double> seating,
             double theta, std::span<const double> x, std::size_t regressors);

  /// V and X'V^-1 X are positive definite; nothing else holds without.
  [[nodiscard]] bool ok() const { return ok_; }
  [[nodiscard]] double log_det() const { return log_det_; }      ///< ln|V| + ln|X'V^-1 X|
  [[nodiscard]] double quadratic() const { return quadratic_; }  ///< taper' P3 taper
  [[nodiscard]] std::span<const double> beta() const { return {beta_, p_}; }
  [[nodiscard]] std::span<const double> covariance() const { return {covariance_, p_ * p_}; }
  [[nodiscard]] double u(std::size_t i) const { return u_[i]; }  ///< (P3 taper)_i
  [[nodiscard]] double p3(std::size_t i, std::size_t j) const { return p3_[i * stride_ + j]; }
  /// Row of (X'V^-1 X)^-1 X'V^-1: the weights by which beta[row] sums the tapers.
  [[nodiscard]] std::vector<double> weights(std::size_t row) const;

  /// What the derivatives by s^2 need.
  struct Seating {
    double trace = 0;             ///< tr(P3 K)
    double square = 0;            ///< tr(P3 K P3 K)
    double quadratic = 0;         ///< u' K u
    std::span<const double> pkp;  ///< diagonal of P3 K P3
  };
  [[nodiscard]] Seating seating();

 private:
  template <typename Work>
  void with_length(Work work);
  template <typename Length>
  void invert_all(Length n, std::span<const double> x);

  std::size_t n_, p_, stride_;
  std::unique_ptr<double[]> room_;
  const double* k_ = nullptr;                                  // stride x stride
  double *inverse_ = nullptr, *p3_ = nullptr, *pk_ = nullptr;  // the same
  double *vx_ = nullptr, *row_ = nullptr;  // regressors x stride; the same below a row to spare
  double *u_ = nullptr, *pkp_ = nullptr, *taper_ = nullptr;
  double *covariance_ = nullptr, *beta_ = nullptr, *small_ = nullptr, *sums_ = nullptr;
  double log_det_ = 0, quadratic_ = 0;
  bool ok_ = false;
};

}  // namespace quarterturn::check
