// SPDX-License-Identifier: MIT
#include "stats/least_squares.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <map>
#include <stdexcept>
#include <string>

namespace quarterturn::stats {
namespace {

using Matrix = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
using Vector = Eigen::Matrix<long double, Eigen::Dynamic, 1>;

void require_finite(std::span<const long double> values, const char* what) {
  for (long double v : values)
    if (!std::isfinite(v)) throw std::domain_error(std::string(what) + ": a value is not finite");
}

/// The power of two next above x > 0: dividing by it loses no digit.
long double power_of_two(long double x) {
  int exponent = 0;
  std::frexp(x, &exponent);
  return std::ldexp(1.0L, exponent);
}

/// Columns scaled to lengths between 1/2 and 1, so that the rank is judged apart from units.
struct Scaled {
  Matrix x;
  Vector length;
};

Scaled scale_columns(Matrix x) {
  Vector length = x.colwise().norm();
  for (Eigen::Index j = 0; j < x.cols(); ++j) {
    if (length[j] == 0) throw std::domain_error("least squares: a column is zero");
    length[j] = power_of_two(length[j]);
    x.col(j) /= length[j];
  }
  return {std::move(x), std::move(length)};
}

/// (M51) X P = Q R, beta = P R^-1 Q'y, once refined on its residuals; cov = s^2 L L' with L = P R^-1.
/// \param back  what turns the coefficients of X into those wanted; it multiplies L, so that the covariance
/// is
///              formed as a product and keeps its digits
LinearFit solve(const Matrix& design, const Vector& y, const Matrix& back) {
  const Eigen::Index n = design.rows(), p = design.cols();
  const Scaled scaled = scale_columns(design);
  const Eigen::ColPivHouseholderQR<Matrix> qr(scaled.x);
  if (qr.rank() < p) throw std::domain_error("least squares: columns depend on each other");

  Vector beta = qr.solve(y);
  beta += qr.solve(y - scaled.x * beta);
  const Vector residual = y - scaled.x * beta;

  const Matrix inverse_r =
      qr.matrixR().topLeftCorner(p, p).triangularView<Eigen::Upper>().solve(Matrix::Identity(p, p));
  const Matrix to_wanted = back * scaled.length.cwiseInverse().asDiagonal();
  const Matrix l = to_wanted * (qr.colsPermutation() * inverse_r);
  const Vector wanted = to_wanted * beta;

  LinearFit fit;
  fit.dof = static_cast<int>(n - p);
  const long double ss = residual.squaredNorm();
  const long double variance = fit.dof > 0 ? ss / static_cast<long double>(fit.dof) : 0.0L;
  const Matrix covariance = variance * (l * l.transpose());
  fit.residual_ss = static_cast<double>(ss);
  fit.residual_sd = static_cast<double>(std::sqrt(variance));
  for (Eigen::Index i = 0; i < p; ++i) {
    fit.beta.push_back(static_cast<double>(wanted[i]));
    fit.standard_error.push_back(static_cast<double>(std::sqrt(covariance(i, i))));
    for (Eigen::Index j = 0; j < p; ++j) fit.covariance.push_back(static_cast<double>(covariance(i, j)));
  }
  return fit;
}

/// Row k, column j: the share of u^j in x^k, where u = (x - centre)/half.
/// u^j = sum_k C(j,k) x^k (-centre)^(j-k) / half^j
Matrix powers_back(int degree, long double centre, long double half) {
  Matrix back = Matrix::Zero(degree + 1, degree + 1);
  back(0, 0) = 1;
  for (int j = 1; j <= degree; ++j)
    for (int k = 0; k <= j; ++k)
      back(k, j) = ((k > 0 ? back(k - 1, j - 1) : 0.0L) - centre * back(k, j - 1)) / half;
  return back;
}

Eigen::Map<const Vector> as_vector(std::span<const long double> y) {
  return {y.data(), static_cast<Eigen::Index>(y.size())};
}

}  // namespace

LinearFit fit_linear(std::span<const long double> x, std::span<const long double> y, int p) {
  if (p < 1 || y.size() < static_cast<std::size_t>(p) || x.size() != y.size() * static_cast<std::size_t>(p))
    throw std::domain_error("least squares: the design must be n x p with 1 <= p <= n");
  require_finite(x, "least squares, design");
  require_finite(y, "least squares, y");
  using RowMajor = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const Eigen::Map<const RowMajor> design(x.data(), static_cast<Eigen::Index>(y.size()), p);
  return solve(design, as_vector(y), Matrix::Identity(p, p));
}

LinearFit fit_polynomial(std::span<const long double> x, std::span<const long double> y, int degree) {
  if (degree < 0 || x.size() != y.size() || y.size() < static_cast<std::size_t>(degree) + 1)
    throw std::domain_error("least squares: x and y must be of one length, more than the degree");
  require_finite(x, "least squares, x");
  require_finite(y, "least squares, y");
  // Powers of x on an interval away from zero are nearly parallel; those of u on [-1, 1] are not.
  const auto [low, high] = std::minmax_element(x.begin(), x.end());
  const long double centre = (*low + *high) / 2;
  const long double half = *high > *low ? power_of_two((*high - *low) / 2) : 1.0L;
  Matrix design(static_cast<Eigen::Index>(x.size()), degree + 1);
  for (Eigen::Index i = 0; i < design.rows(); ++i) {
    const long double u = (x[static_cast<std::size_t>(i)] - centre) / half;
    design(i, 0) = 1;
    for (int k = 1; k <= degree; ++k) design(i, k) = design(i, k - 1) * u;
  }
  return solve(design, as_vector(y), powers_back(degree, centre, half));
}

namespace {

struct Group {
  int n = 0;
  long double mean = 0, squares = 0;
};

/// Means and sums of squares about them in two passes, about a value of the data: a common level costs no
/// digits.
std::map<int, Group> group_up(std::span<const int> group, std::span<const long double> value,
                              long double level) {
  std::map<int, Group> groups;
  for (std::size_t i = 0; i < value.size(); ++i) {
    Group& g = groups[group[i]];
    ++g.n;
    g.mean += value[i] - level;
  }
  for (auto& [label, g] : groups) g.mean /= g.n;
  for (std::size_t i = 0; i < value.size(); ++i) {
    Group& g = groups[group[i]];
    const long double e = value[i] - level - g.mean;
    g.squares += e * e;
  }
  return groups;
}

}  // namespace

// (M52) SS_between = sum n_g (mean_g - mean)^2, SS_within = sum (y - mean_g)^2, F = MS_between / MS_within.
OneWayAnova one_way_anova(std::span<const int> group, std::span<const long double> value) {
  if (group.size() != value.size() || value.empty())
    throw std::domain_error("analysis of variance: one group label a value");
  require_finite(value, "analysis of variance");
  const std::map<int, Group> groups = group_up(group, value, value.front());

  OneWayAnova out;
  out.dof_between = static_cast<int>(groups.size()) - 1;
  out.dof_within = static_cast<int>(value.size() - groups.size());
  if (out.dof_between < 1 || out.dof_within < 1)
    throw std::domain_error("analysis of variance: two groups are needed, and one with two values");
  const auto n = static_cast<long double>(value.size());
  long double mean = 0, between = 0, within = 0;
  for (const auto& [label, g] : groups) mean += g.n * g.mean / n;
  for (const auto& [label, g] : groups) {
    between += g.n * (g.mean - mean) * (g.mean - mean);
    within += g.squares;
  }
  const long double ms_between = between / out.dof_between, ms_within = within / out.dof_within;
  out.ss_between = static_cast<double>(between);
  out.ss_within = static_cast<double>(within);
  out.ms_between = static_cast<double>(ms_between);
  out.ms_within = static_cast<double>(ms_within);
  out.f = static_cast<double>(ms_between / ms_within);
  out.r_squared = static_cast<double>(between / (between + within));
  out.residual_sd = static_cast<double>(std::sqrt(ms_within));
  return out;
}

// (M53) median over i < j with x_i != x_j of (y_j - y_i)/(x_j - x_i)
double theil_sen_slope(std::span<const double> x, std::span<const double> y) {
  if (x.size() != y.size()) throw std::domain_error("robust slope: x and y must be of one length");
  std::vector<double> slopes;
  for (std::size_t i = 0; i < x.size(); ++i)
    for (std::size_t j = i + 1; j < x.size(); ++j)
      if (x[i] != x[j]) slopes.push_back((y[j] - y[i]) / (x[j] - x[i]));
  if (slopes.empty()) throw std::domain_error("robust slope: fewer than two distinct x");
  const auto middle = slopes.begin() + static_cast<std::ptrdiff_t>(slopes.size() / 2);
  std::nth_element(slopes.begin(), middle, slopes.end());
  if (slopes.size() % 2 == 1) return *middle;
  return (*std::max_element(slopes.begin(), middle) + *middle) / 2;
}

}  // namespace quarterturn::stats
