// SPDX-License-Identifier: MIT
#include "stats/charts.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>

#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"
#include "stats/normal_score.hpp"

namespace quarterturn::stats {
namespace {

// tau^2 of the earlier values is fitted anew after each of them up to this many, and later only when they
// have become a tenth more: it then moves by less than its own uncertainty, and n values stay O(n).
constexpr std::size_t kFittedEachTime = 60;
constexpr std::size_t kShareOfGrowth = 10;
// Earlier values that scatter by less than a hundredth of their uncertainty are alike: what is left is the
// arithmetic's rounding, or readings that fell on one step.
constexpr double kAlike = 1e-2;

/// Weighted sums of the earlier values about the first of them, for one tau^2.
class Earlier {
 public:
  Earlier(std::span<const double> y, std::span<const double> v) : y_(y), v_(v) {}

  /// Holds the first `m` values, with tau^2 fitted to them or not long before.
  void grow_to(std::size_t m) {
    if (m <= kFittedEachTime || m >= fitted_ + std::max<std::size_t>(1, fitted_ / kShareOfGrowth)) {
      tau2_ = between_variance(y_.first(m), v_.first(m));
      fitted_ = m;
      count_ = 0;
      total_ = mean_ = squares_ = 0;
    }
    for (; count_ < m; ++count_) add(y_[count_], 1 / (v_[count_] + tau2_));
  }

  [[nodiscard]] double tau2() const { return tau2_; }
  [[nodiscard]] double total() const { return total_; }
  [[nodiscard]] double mean() const { return mean_; }
  [[nodiscard]] double q() const { return squares_ / static_cast<double>(count_ - 1); }

 private:
  // Sums about the running mean: those about zero lose digits where values differ by little.
  void add(double y, double w) {
    total_ += w;
    const double before = y - mean_;
    mean_ += w / total_ * before;
    squares_ += w * before * (y - mean_);
  }

  std::span<const double> y_, v_;
  std::size_t fitted_ = 0, count_ = 0;
  double tau2_ = 0, total_ = 0, mean_ = 0, squares_ = 0;
};

/// (M120) The first terms for many degrees of freedom, where the next one is nothing.
std::optional<double> normal_score_near(double t, double dof) {
  constexpr double kNothing = 1e-12;  // the next term is a thirtieth of this or less
  const double square = t * t, ratio = std::max(1.0, square) / dof;
  if (!(ratio * ratio * ratio * ratio * ratio * std::max(1.0, std::fabs(t)) < kNothing)) return std::nullopt;
  const double first = square + 1;
  const double second = (13 * square + 8) * square + 3;
  const double third = ((35 * square + 19) * square + 1) * square - 15;
  const double fourth = (((6271 * square + 3224) * square - 102) * square - 1680) * square - 945;
  const double n = 1 / dof;
  return t * (1 - n * (first / 4 - n * (second / 96 - n * (third / 384 - n * fourth / 92160))));
}

}  // namespace

/// Standard normal deviate with the same tail probability as t on dof.
double normal_score(double t, double dof) {
  if (const auto near = normal_score_near(t, dof)) return *near;
  constexpr double kLeast = 1e-300;
  const double tail = std::max(t_probability(-std::fabs(t), dof), kLeast);
  return std::copysign(normal_quantile(tail), t);
}

// (M60)
std::vector<double> ewma(std::span<const double> x, double start, double lambda) {
  if (!(lambda > 0 && lambda <= 1)) throw std::domain_error("moving average: lambda above 0, at most 1");
  std::vector<double> out;
  out.reserve(x.size());
  double average = start;
  for (const double value : x) out.push_back(average = lambda * value + (1 - lambda) * average);
  return out;
}

// (M60) width sigma sqrt(lambda/(2 - lambda) (1 - (1 - lambda)^(2i)))
double ewma_limit(double sigma, double lambda, double width, double i) {
  // What is below 2^-60 of 1 is nothing beside it, and needs no power.
  const bool is_nothing = 2 * i * lambda > 42;  // (1 - lambda)^(2i) <= exp(-2 i lambda)
  const double grown = is_nothing ? 1.0 : 1 - std::pow(1 - lambda, 2 * i);
  return width * sigma * std::sqrt(lambda / (2 - lambda) * grown);
}

// (M61) x = (y_n - mean)/sqrt(q (u_n^2 + 1/W + tau^2)), z = quantile of F_{t, m-1}(x);  (M62) EWMA on z
std::vector<ChartPoint> self_starting_ewma(std::span<const double> y, std::span<const double> v) {
  if (y.size() != v.size()) throw std::domain_error("chart: a variance for each value");
  for (std::size_t i = 0; i < y.size(); ++i) {
    if (!std::isfinite(y[i]) || !std::isfinite(v[i]) || !(v[i] > 0))
      throw std::domain_error("chart: a value is not finite, or its variance not above 0");
  }
  std::vector<ChartPoint> points(y.size());
  Earlier earlier(y, v);
  double average = 0, scores = 0;
  for (std::size_t m = kFirstScoreAt - 1; m < y.size(); ++m) {
    earlier.grow_to(m);
    ChartPoint& point = points[m];
    const double q = earlier.q();
    if (q > kAlike * kAlike) {
      const double spread = q * (v[m] + 1 / earlier.total() + earlier.tau2());
      point.z = normal_score((y[m] - earlier.mean()) / std::sqrt(spread), static_cast<double>(m) - 1);
      average = kEwmaLambda * *point.z + (1 - kEwmaLambda) * average;
      ++scores;
    }
    point.average = average;
    if (scores > 0) point.limit = ewma_limit(1, kEwmaLambda, kEwmaWidth, scores);
    point.alarm = m + 1 >= kFirstAlarmAt && std::fabs(average) > point.limit;
  }
  return points;
}

}  // namespace quarterturn::stats
