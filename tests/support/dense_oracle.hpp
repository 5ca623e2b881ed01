// SPDX-License-Identifier: MIT
/// \file dense_oracle.hpp
/// Inverse, determinant and pseudo-inverse of full matrices the naive way, in extended precision.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <stdexcept>
#include <utility>
#include <vector>

namespace quarterturn::test {

class Dense {
 public:
  Dense(std::size_t rows, std::size_t columns) : rows_(rows), columns_(columns), values_(rows * columns) {}
  [[nodiscard]] std::size_t rows() const { return rows_; }
  [[nodiscard]] std::size_t columns() const { return columns_; }
  long double& operator()(std::size_t i, std::size_t j) { return values_[i * columns_ + j]; }
  long double operator()(std::size_t i, std::size_t j) const { return values_[i * columns_ + j]; }

 private:
  std::size_t rows_, columns_;
  std::vector<long double> values_;
};

inline Dense operator*(const Dense& a, const Dense& b) {
  Dense c(a.rows(), b.columns());
  for (std::size_t i = 0; i < a.rows(); ++i)
    for (std::size_t k = 0; k < a.columns(); ++k)
      for (std::size_t j = 0; j < b.columns(); ++j) c(i, j) += a(i, k) * b(k, j);
  return c;
}

inline Dense transposed(const Dense& a) {
  Dense t(a.columns(), a.rows());
  for (std::size_t i = 0; i < a.rows(); ++i)
    for (std::size_t j = 0; j < a.columns(); ++j) t(j, i) = a(i, j);
  return t;
}

struct DenseInverse {
  Dense inverse;
  double log_abs_determinant = 0;
};

/// Gauss and Jordan, row pivots. \throws std::runtime_error on a zero pivot
inline DenseInverse gauss_jordan(Dense a) {
  const std::size_t n = a.rows();
  DenseInverse out{Dense(n, n), 0};
  for (std::size_t i = 0; i < n; ++i) out.inverse(i, i) = 1;
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    for (std::size_t i = k + 1; i < n; ++i)
      if (std::fabs(a(i, k)) > std::fabs(a(best, k))) best = i;
    if (a(best, k) == 0) throw std::runtime_error("singular");
    for (std::size_t j = 0; j < n; ++j) {
      std::swap(a(k, j), a(best, j));
      std::swap(out.inverse(k, j), out.inverse(best, j));
    }
    const long double pivot = a(k, k);
    out.log_abs_determinant += static_cast<double>(std::log(std::fabs(pivot)));
    for (std::size_t j = 0; j < n; ++j) {
      a(k, j) /= pivot;
      out.inverse(k, j) /= pivot;
    }
    for (std::size_t i = 0; i < n; ++i) {
      const long double share = a(i, k);
      if (i == k || share == 0) continue;
      for (std::size_t j = 0; j < n; ++j) {
        a(i, j) -= share * a(k, j);
        out.inverse(i, j) -= share * out.inverse(k, j);
      }
    }
  }
  return out;
}

struct Spectrum {
  std::vector<long double> values;
  Dense vectors;  ///< in columns
};

/// Jacobi's rotations of a symmetric matrix.
inline Spectrum jacobi(Dense a) {
  const std::size_t n = a.rows();
  Spectrum out{std::vector<long double>(n), Dense(n, n)};
  for (std::size_t i = 0; i < n; ++i) out.vectors(i, i) = 1;
  for (int sweep = 0; sweep < 60; ++sweep) {
    long double off = 0, on = 0;
    for (std::size_t p = 0; p < n; ++p)
      for (std::size_t q = 0; q < n; ++q) (p == q ? on : off) += a(p, q) * a(p, q);
    if (off <= 1e-36L * on) break;
    for (std::size_t p = 0; p + 1 < n; ++p)
      for (std::size_t q = p + 1; q < n; ++q) {
        if (a(p, q) == 0) continue;
        const long double theta = (a(q, q) - a(p, p)) / (2 * a(p, q));
        const long double t = (theta < 0 ? -1 : 1) / (std::fabs(theta) + std::hypot(theta, 1.0L));
        const long double c = 1 / std::hypot(t, 1.0L), s = t * c;
        const auto rotate = [c, s](long double& x, long double& y) {
          const long double old = x;
          x = c * old - s * y;
          y = s * old + c * y;
        };
        for (std::size_t k = 0; k < n; ++k) rotate(a(k, p), a(k, q));
        for (std::size_t k = 0; k < n; ++k) rotate(a(p, k), a(q, k));
        for (std::size_t k = 0; k < n; ++k) rotate(out.vectors(k, p), out.vectors(k, q));
      }
  }
  for (std::size_t i = 0; i < n; ++i) out.values[i] = a(i, i);
  return out;
}

/// Pseudo-inverse of a symmetric matrix: eigenvalues under `share` of the largest count as zero.
inline Dense pseudo_inverse(const Dense& a, long double share = 1e-12L) {
  const Spectrum spectrum = jacobi(a);
  long double largest = 0;
  for (long double v : spectrum.values) largest = std::max(largest, std::fabs(v));
  Dense scaled = transposed(spectrum.vectors);
  for (std::size_t i = 0; i < a.rows(); ++i)
    for (std::size_t j = 0; j < a.rows(); ++j)
      scaled(i, j) *= std::fabs(spectrum.values[i]) > share * largest ? 1 / spectrum.values[i] : 0;
  return spectrum.vectors * scaled;
}

}  // namespace quarterturn::test
