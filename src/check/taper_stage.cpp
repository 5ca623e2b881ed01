// SPDX-License-Identifier: MIT
#include "check/taper_stage.hpp"

#include <algorithm>
#include <cmath>
#include <type_traits>
#include <utility>

namespace quarterturn::check {

namespace {

constexpr std::size_t kMostFixed = 12;

/// y += c x
template <typename Length>
inline void add(double c, const double* __restrict x, double* __restrict y, Length n) {
  for (std::size_t i = 0; i < n; ++i) y[i] += c * x[i];
}

template <typename Length>
inline double dot(const double* x, const double* y, Length n) {
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) sum += x[i] * y[i];
  return sum;
}

/// Cholesky factor of the symmetric n x n matrix a, row-major, of which the lower half is read and becomes
/// the factor with the reciprocals of its diagonal. Adds ln|a|. \returns false: not positive definite
template <typename Length>
bool factor(double* a, Length n, double& log_det) {
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
/// \param inverse  zeros
template <typename Length>
void invert(double* l, double* inverse, Length n) {
  for (std::size_t i = 0; i < n; ++i) {
    double *const row = l + i * n, *const sum = inverse + i * n;
    for (std::size_t k = 0; k < i; ++k) add(-row[k], l + k * n, sum, n);  // above the diagonal l is made zero
    const double reciprocal = row[i];
    for (std::size_t j = 0; j < n; ++j) row[j] = j < i ? sum[j] * reciprocal : 0.0;
    row[i] = reciprocal;
    for (std::size_t j = 0; j < n; ++j) sum[j] = 0;
  }
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = 0; i <= k; ++i) add(l[k * n + i], l + k * n, inverse + i * n, n);
  }
}

}  // namespace

// A few strips are filled up to a multiple of four with ones of variance 1 that nothing knows: loops of a
// length that the compiler knows take a third of the time.
TaperStage::TaperStage(std::span<const double> taper, std::span<const double> variance,
                       std::span<const double> seating, double theta, std::span<const double> x,
                       std::size_t regressors)
    : n_(taper.size()),
      p_(regressors),
      stride_(n_ > kMostFixed ? n_ : (n_ + 3) / 4 * 4),
      room_(4 * stride_ * stride_ + stride_ * (p_ + 3) + p_ * (2 * p_ + 2)) {
  double* next = room_.data();
  const auto take = [&next](std::size_t count) { return std::exchange(next, next + count); };
  k_ = take(stride_ * stride_);
  inverse_ = take(stride_ * stride_);
  p3_ = take(stride_ * stride_);
  pk_ = take(stride_ * stride_);
  vx_ = take(p_ * stride_);
  u_ = take(stride_);
  pkp_ = take(stride_);
  taper_ = take(stride_);
  covariance_ = take(p_ * p_);
  beta_ = take(p_);
  small_ = take(p_ * p_);
  sums_ = take(p_);
  std::copy(taper.begin(), taper.end(), taper_);
  for (std::size_t i = 0; i < n_; ++i) std::copy_n(seating.data() + i * n_, n_, k_ + i * stride_);
  double* const v = pk_;  // not needed for itself yet
  for (std::size_t i = 0; i < stride_ * stride_; ++i) v[i] = theta * k_[i];
  for (std::size_t i = 0; i < stride_; ++i) v[i * stride_ + i] += i < n_ ? variance[i] : 1.0;
  with_length([&](auto n) { invert_all(n, x); });
}

/// \param work  is called with the length of a row, as a constant where it is a usual one
template <typename Work>
void TaperStage::with_length(Work work) {
  switch (stride_) {
    case 4:
      return work(std::integral_constant<std::size_t, 4>{});
    case 8:
      return work(std::integral_constant<std::size_t, 8>{});
    case kMostFixed:
      return work(std::integral_constant<std::size_t, kMostFixed>{});
    default:
      return work(stride_);
  }
}

template <typename Length>
void TaperStage::invert_all(Length n, std::span<const double> x) {
  if (!factor(pk_, n, log_det_)) return;
  invert(pk_, inverse_, n);
  for (std::size_t k = 0; k < n_; ++k) {
    for (std::size_t r = 0; r < p_; ++r) add(x[k * p_ + r], inverse_ + k * n, vx_ + r * n, n);
  }
  for (std::size_t r = 0; r < p_; ++r) {
    for (std::size_t k = 0; k < n_; ++k) {
      for (std::size_t q = 0; q < p_; ++q) small_[r * p_ + q] += vx_[r * n + k] * x[k * p_ + q];
    }
    sums_[r] = dot(vx_ + r * n, taper_, n);
  }
  if (!factor(small_, p_, log_det_)) return;
  invert(small_, covariance_, p_);
  for (std::size_t r = 0; r < p_; ++r) beta_[r] = dot(covariance_ + r * p_, sums_, p_);
  std::copy_n(inverse_, n * n, p3_);
  for (std::size_t r = 0; r < p_; ++r) {
    for (std::size_t i = 0; i < n_; ++i) {
      double c = 0;
      for (std::size_t q = 0; q < p_; ++q) c += covariance_[r * p_ + q] * vx_[q * n + i];
      add(-c, vx_ + r * n, p3_ + i * n, n);
    }
  }
  for (std::size_t i = 0; i < n; ++i) add(taper_[i], p3_ + i * n, u_, n);
  quadratic_ = dot(u_, taper_, n);
  ok_ = true;
}

std::vector<double> TaperStage::weights(std::size_t row) const {
  std::vector<double> a(n_);
  for (std::size_t q = 0; q < p_; ++q) add(covariance_[row * p_ + q], vx_ + q * stride_, a.data(), n_);
  return a;
}

TaperStage::Seating TaperStage::seating() {
  Seating out;
  with_length([&](auto n) {
    std::fill_n(pk_, n * n, 0.0);
    for (std::size_t i = 0; i < n_; ++i) {
      double* const row = pk_ + i * n;
      for (std::size_t k = 0; k < n_; ++k) add(p3_[i * n + k], k_ + k * n, row, n);
      out.trace += row[i];
      pkp_[i] = dot(row, p3_ + i * n, n);
      out.quadratic += u_[i] * dot(k_ + i * n, u_, n);
    }
    for (std::size_t i = 0; i < n_; ++i) {
      out.square += pk_[i * n + i] * pk_[i * n + i];
      for (std::size_t j = 0; j < i; ++j) out.square += 2 * pk_[i * n + j] * pk_[j * n + i];
    }
  });
  out.pkp = {pkp_, n_};
  return out;
}

}  // namespace quarterturn::check
