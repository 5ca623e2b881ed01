// SPDX-License-Identifier: MIT
#include "check/taper_stage.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <memory>
#include <type_traits>
#include <utility>

namespace quarterturn::check {

namespace {

constexpr std::size_t kMostFixed = 12;

/// out = sum of count rows of length n, each by its weight. \param step  from one weight to the next
template <typename Length>
inline void combine(const double* weight, std::size_t step, std::size_t count, const double* rows,
                    double* out, Length n) {
  if constexpr (std::is_same_v<Length, std::size_t>) {
    std::fill_n(out, n, 0.0);
    for (std::size_t k = 0; k < count; ++k) {
      for (std::size_t i = 0; i < n; ++i) out[i] += weight[k * step] * rows[k * n + i];
    }
  } else {  // the sum stays in registers
    using Row = Eigen::Array<double, static_cast<int>(Length::value), 1>;
    Row sum = Row::Zero();
    for (std::size_t k = 0; k < count; ++k) sum += weight[k * step] * Eigen::Map<const Row>(rows + k * n);
    Eigen::Map<Row> result(out);
    result = sum;
  }
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

/// The inverse of the matrix that has this factor, whole; the factor becomes its own inverse, zeros above.
template <typename Length>
void invert(double* l, double* inverse, Length n) {
  for (std::size_t i = 0; i < n; ++i) {
    double* const row = l + i * n;
    double* const sum = inverse;  // not needed for itself yet
    combine(row, 1, i, l, sum, n);
    const double reciprocal = row[i];
    for (std::size_t j = 0; j < n; ++j) row[j] = -reciprocal * sum[j];
    row[i] = reciprocal;
  }
  for (std::size_t i = 0; i < n; ++i) combine(l + i * n + i, n, n - i, l + i * n, inverse + i * n, n);
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
      room_(std::make_unique_for_overwrite<double[]>(4 * stride_ * stride_ + stride_ * (2 * p_ + 4) +
                                                     p_ * (2 * p_ + 2))) {
  double* next = room_.get();
  const auto take = [&next](std::size_t count) { return std::exchange(next, next + count); };
  double* const k = take(stride_ * stride_);
  inverse_ = take(stride_ * stride_);
  p3_ = take(stride_ * stride_);
  pk_ = take(stride_ * stride_);
  vx_ = take(p_ * stride_);
  row_ = take(stride_ + p_ * stride_);
  u_ = take(stride_);
  pkp_ = take(stride_);
  taper_ = take(stride_);
  covariance_ = take(p_ * p_);
  beta_ = take(p_);
  small_ = take(p_ * p_);
  sums_ = take(p_);
  std::copy(taper.begin(), taper.end(), taper_);
  std::fill(taper_ + n_, taper_ + stride_, 0.0);
  k_ = seating.data();
  if (stride_ != n_) {
    std::fill_n(k, stride_ * stride_, 0.0);
    for (std::size_t i = 0; i < n_; ++i) std::copy_n(seating.data() + i * n_, n_, k + i * stride_);
    k_ = k;
  }
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
  for (std::size_t r = 0; r < p_; ++r) combine(x.data() + r, p_, n_, inverse_, vx_ + r * n, n);
  for (std::size_t r = 0; r < p_; ++r) {
    const double* const vx = vx_ + r * n;
    combine(vx, 1, n_, x.data(), small_ + r * p_, p_);
    sums_[r] = dot(vx, taper_, n);
  }
  if (!factor(small_, p_, log_det_)) return;
  invert(small_, covariance_, p_);
  for (std::size_t r = 0; r < p_; ++r) beta_[r] = dot(covariance_ + r * p_, sums_, p_);
  double* const cvx = row_ + n;  // the weights of beta, as rows
  for (std::size_t r = 0; r < p_; ++r) combine(covariance_ + r * p_, 1, p_, vx_, cvx + r * n, n);
  for (std::size_t i = 0; i < n; ++i) {
    combine(vx_ + i, n, p_, cvx, row_, n);
    for (std::size_t j = 0; j < n; ++j) p3_[i * n + j] = inverse_[i * n + j] - row_[j];
  }
  combine(taper_, 1, n_, p3_, u_, n);
  quadratic_ = dot(u_, taper_, n);
  ok_ = true;
}

std::vector<double> TaperStage::weights(std::size_t row) const {
  const double* const cvx = row_ + stride_ + row * stride_;
  return {cvx, cvx + n_};
}

TaperStage::Seating TaperStage::seating() {
  Seating out;
  with_length([&](auto n) {
    for (std::size_t i = 0; i < n_; ++i) {
      double* const row = pk_ + i * n;
      combine(p3_ + i * n, 1, n_, k_, row, n);
      out.trace += row[i];
      pkp_[i] = dot(row, p3_ + i * n, n);
    }
    for (std::size_t i = 0; i < n_; ++i) {
      out.square += pk_[i * n + i] * pk_[i * n + i];
      for (std::size_t j = 0; j < i; ++j) out.square += 2 * pk_[i * n + j] * pk_[j * n + i];
    }
    combine(u_, 1, n_, k_, row_, n);
    out.quadratic = dot(u_, row_, n);
  });
  out.pkp = {pkp_, n_};
  return out;
}

}  // namespace quarterturn::check
