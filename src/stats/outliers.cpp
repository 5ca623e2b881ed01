// SPDX-License-Identifier: MIT
#include "stats/outliers.hpp"

#include <cmath>
#include <stdexcept>

#include "stats/distributions.hpp"

namespace quarterturn::stats {
namespace {

struct Moments {
  double mean = 0, sd = 0;
};

Moments moments_of(std::span<const double> x, const std::vector<char>& taken, int left) {
  Moments m;
  for (std::size_t i = 0; i < x.size(); ++i)
    if (taken[i] == 0) m.mean += x[i] / left;
  double squares = 0;
  for (std::size_t i = 0; i < x.size(); ++i)
    if (taken[i] == 0) squares += (x[i] - m.mean) * (x[i] - m.mean);
  m.sd = std::sqrt(squares / (left - 1));
  return m;
}

/// lambda_i = (n-i) t / sqrt((n-i-1+t^2)(n-i+1)), t the quantile of 1 - alpha/(2(n-i+1)) on n-i-1; left =
/// n-i+1
double critical_value(int left, double alpha) {
  const double t = t_quantile(1 - alpha / (2.0 * left), left - 2.0);
  return (left - 1) * t / std::sqrt((left - 2 + t * t) * left);
}

}  // namespace

// (M35) R_i = max |x - mean| / s of the values left at step i; the number of outliers is the largest i with
// R_i > lambda_i, so that one outlier cannot hide another.
Gesd gesd(std::span<const double> x, int most, double alpha) {
  const int n = static_cast<int>(x.size());
  if (n < 3 || most < 1 || most > n - 2 || !(alpha > 0 && alpha < 1))
    throw std::domain_error(
        "outlier test: at least three values, 1 to n - 2 outliers, alpha between 0 and 1");
  for (double v : x)
    if (!std::isfinite(v)) throw std::domain_error("outlier test: a value is not finite");

  Gesd out;
  std::vector<char> taken(x.size(), 0);
  for (int step = 1; step <= most; ++step) {
    const int left = n - step + 1;
    const Moments m = moments_of(x, taken, left);
    std::size_t farthest = x.size();
    for (std::size_t i = 0; i < x.size(); ++i)
      if (taken[i] == 0 &&
          (farthest == x.size() || std::fabs(x[i] - m.mean) > std::fabs(x[farthest] - m.mean)))
        farthest = i;
    // Values that are all alike have no outlier among them.
    out.r.push_back(m.sd > 0 ? std::fabs(x[farthest] - m.mean) / m.sd : 0.0);
    out.critical.push_back(critical_value(left, alpha));
    out.order.push_back(static_cast<int>(farthest));
    taken[farthest] = 1;
    if (out.r.back() > out.critical.back()) out.outliers = step;
  }
  return out;
}

}  // namespace quarterturn::stats
