// SPDX-License-Identifier: MIT
#include "check/taper_stage.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace quarterturn::check {

namespace {

/// y += c x
void add(double c, const double* x, double* y, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) y[i] += c * x[i];
}

double dot(const double* x, const double* y, std::size_t n) {
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) sum += x[i] * y[i];
  return sum;
}

/// Cholesky factor of the symmetric n x n matrix a, row-major, of which the lower half is read and becomes
/// the factor with the reciprocals of its diagonal. Adds ln|a|. \returns false: not positive definite
bool factor(double* a, std::size_t n, double& log_det) {
  double determinant = 1;
  for (std::size_t i = 0; i < n; ++i) {
    double* const row = a + i * n;
    double pivot = row[i];
    for (std::size_t j = 0; j < i; ++j) {
      row[j] = (row[j] - dot(row, a + j * n, j)) * a[j * n + j];
      pivot -= row[j] * row[j];
    }
    if (!(pivot > 0)) return false;
    determinant *= pivot;
    if (!(determinant > 1e-150 &&
          determinant < 1e150)) {  // one logarithm for as many pivots as go into a number
      log_det += std::log(determinant);
      determinant = 1;
    }
    row[i] = 1 / std::sqrt(pivot);
  }
  log_det += std::log(determinant);
  return true;
}

/// The inverse of the matrix that has this factor, whole; the factor becomes its own inverse.
void invert(double* l, double* inverse, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    double *const row = l + i * n, *const sum = inverse + i * n;
    std::fill(sum, sum + i, 0.0);
    for (std::size_t k = 0; k < i; ++k) add(-row[k], l + k * n, sum, k + 1);
    for (std::size_t j = 0; j < i; ++j) row[j] = sum[j] * row[i];
  }
  std::fill(inverse, inverse + n * n, 0.0);
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = 0; i <= k; ++i) add(l[k * n + i], l + k * n, inverse + i * n, i + 1);
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < i; ++j) inverse[j * n + i] = inverse[i * n + j];
  }
}

}  // namespace

TaperStage::TaperStage(std::span<const double> taper, std::span<const double> variance,
                       std::span<const double> seating, double theta, std::span<const double> x,
                       std::size_t regressors)
    : n_(taper.size()),
      p_(regressors),
      room_(3 * n_ * n_ + n_ * (p_ + 2) + p_ * (2 * p_ + 2)),
      k_(seating.data()) {
  double* next = room_.data();
  const auto take = [&next](std::size_t count) { return std::exchange(next, next + count); };
  double* const v = take(n_ * n_);
  inverse_ = v;
  p3_ = take(n_ * n_);
  pk_ = take(n_ * n_);
  vx_ = take(n_ * p_);
  u_ = take(n_);
  pkp_ = take(n_);
  double* const small = take(p_ * p_);
  covariance_ = take(p_ * p_);
  beta_ = take(p_);
  double* const sums = take(p_);

  double* const l = pk_;  // not needed for itself yet
  for (std::size_t i = 0; i < n_ * n_; ++i) l[i] = theta * k_[i];
  for (std::size_t i = 0; i < n_; ++i) l[i * n_ + i] += variance[i];
  if (!factor(l, n_, log_det_)) return;
  invert(l, inverse_, n_);
  for (std::size_t i = 0; i < n_; ++i) {
    for (std::size_t k = 0; k < n_; ++k) add(inverse_[i * n_ + k], x.data() + k * p_, vx_ + i * p_, p_);
  }
  for (std::size_t i = 0; i < n_; ++i) {
    for (std::size_t r = 0; r < p_; ++r) add(x[i * p_ + r], vx_ + i * p_, small + r * p_, p_);
    add(taper[i], vx_ + i * p_, sums, p_);
  }
  if (!factor(small, p_, log_det_)) return;
  invert(small, covariance_, p_);
  for (std::size_t r = 0; r < p_; ++r) beta_[r] = dot(covariance_ + r * p_, sums, p_);
  std::copy(inverse_, inverse_ + n_ * n_, p3_);
  for (std::size_t i = 0; i < n_; ++i) {
    for (std::size_t r = 0; r < p_; ++r) {
      const double c = dot(covariance_ + r * p_, vx_ + i * p_, p_);
      for (std::size_t j = 0; j < n_; ++j) p3_[i * n_ + j] -= c * vx_[j * p_ + r];
    }
  }
  for (std::size_t i = 0; i < n_; ++i) u_[i] = dot(p3_ + i * n_, taper.data(), n_);
  quadratic_ = dot(u_, taper.data(), n_);
  ok_ = true;
}

std::vector<double> TaperStage::weights(std::size_t row) const {
  std::vector<double> a(n_);
  for (std::size_t i = 0; i < n_; ++i) a[i] = dot(vx_ + i * p_, covariance_ + row * p_, p_);
  return a;
}

TaperStage::Seating TaperStage::seating() {
  std::fill(pk_, pk_ + n_ * n_, 0.0);
  Seating out;
  for (std::size_t i = 0; i < n_; ++i) {
    double* const row = pk_ + i * n_;
    for (std::size_t k = 0; k < n_; ++k) add(p3_[i * n_ + k], k_ + k * n_, row, n_);
    out.trace += row[i];
    pkp_[i] = dot(row, p3_ + i * n_, n_);
    out.quadratic += u_[i] * dot(k_ + i * n_, u_, n_);
  }
  for (std::size_t i = 0; i < n_; ++i) {
    out.square += pk_[i * n_ + i] * pk_[i * n_ + i];
    for (std::size_t j = 0; j < i; ++j) out.square += 2 * pk_[i * n_ + j] * pk_[j * n_ + i];
  }
  out.pkp = {pkp_, n_};
  return out;
}

}  // namespace quarterturn::check
