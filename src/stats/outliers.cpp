// SPDX-License-Identifier: MIT
#include "stats/outliers.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>
#include <vector>

#include "stats/distributions.hpp"

namespace quarterturn::stats {
namespace {

/// What is left at one step: residuals from the means of the groups, each over its standard deviation in
/// units of sigma; s on the degrees of freedom left.
struct Left {
  std::vector<double> scaled;         // |x - mean| / sqrt(1 - 1/m); below zero: taken, or alone in its group
  std::vector<double> leverage_room;  // sqrt(1 - 1/m)
  double s = 0, dof = 0;
  int tests = 0;
};

/// The groups by numbers from 0 on, in the order of their own.
std::vector<std::size_t> numbered(std::span<const int> group, std::size_t values) {
  std::vector<int> kinds(group.begin(), group.end());
  std::sort(kinds.begin(), kinds.end());
  kinds.erase(std::unique(kinds.begin(), kinds.end()), kinds.end());
  std::vector<std::size_t> numbers(values, 0);
  for (std::size_t i = 0; i < group.size(); ++i) {
    const auto place = std::lower_bound(kinds.begin(), kinds.end(), group[i]);
    numbers[i] = static_cast<std::size_t>(place - kinds.begin());
  }
  return numbers;
}

/// \param group  numbers from 0 on, below `groups`
Left left_of(std::span<const double> x, const std::vector<std::size_t>& group, std::size_t groups,
             const std::vector<char>& taken) {
  std::vector<std::pair<double, int>> sums(groups);
  for (std::size_t i = 0; i < x.size(); ++i) {
    if (taken[i] != 0) continue;
    auto& [sum, count] = sums[group[i]];
    sum += x[i];
    ++count;
  }
  Left left;
  left.scaled.assign(x.size(), -1.0);
  left.leverage_room.assign(x.size(), 1.0);
  double squares = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    if (taken[i] != 0) continue;
    const auto& [sum, count] = sums[group[i]];
    if (count < 2) continue;
    const double e = std::fabs(x[i] - sum / count), room = std::sqrt(1 - 1.0 / count);
    left.scaled[i] = e / room;
    left.leverage_room[i] = room;
    squares += e * e;
    ++left.tests;
  }
  for (const auto& entry : sums) left.dof += std::max(entry.second - 1, 0);
  left.s = left.dof > 0 ? std::sqrt(squares / left.dof) : 0.0;
  return left;
}

/// lambda_i / sqrt(1 - 1/m) = t sqrt(nu / (nu - 1 + t^2)), t the quantile of 1 - alpha/(2 tests) on nu - 1;
/// with one group of m values nu = m - 1 and lambda_i is the published (m-1) t / sqrt((m-2+t^2) m).
double critical_value(const Left& left, double alpha) {
  const double t = t_quantile(1 - alpha / (2.0 * left.tests), left.dof - 1);
  return t * std::sqrt(left.dof / (left.dof - 1 + t * t));
}

}  // namespace

// (M35) R_i = max |x - mean| / s of the values left at step i; the number of outliers is the largest i with
// R_i > lambda_i, so that one outlier cannot hide another. With groups, the mean is that of the value's own
// group without what was taken before: a slip does not make its neighbours stand off.
Gesd gesd(std::span<const double> x, int most, double alpha, std::span<const int> group) {
  const int n = static_cast<int>(x.size());
  if (n < 3 || most < 1 || most > n - 2 || !(alpha > 0 && alpha < 1) ||
      (!group.empty() && group.size() != x.size()))
    throw std::domain_error(
        "outlier test: at least three values, 1 to n - 2 outliers, alpha between 0 and 1");
  for (double v : x)
    if (!std::isfinite(v)) throw std::domain_error("outlier test: a value is not finite");

  Gesd out;
  std::vector<char> taken(x.size(), 0);
  const std::vector<std::size_t> numbers = numbered(group, x.size());
  const std::size_t groups = *std::max_element(numbers.begin(), numbers.end()) + 1;
  for (int step = 1; step <= most; ++step) {
    const Left left = left_of(x, numbers, groups, taken);
    if (left.dof < 2) break;
    const auto farthest = static_cast<std::size_t>(std::max_element(left.scaled.begin(), left.scaled.end()) -
                                                   left.scaled.begin());
    // Values that are all alike have no outlier among them.
    const double room = left.leverage_room[farthest];
    out.r.push_back(left.s > 0 ? left.scaled[farthest] / left.s * room : 0.0);
    out.critical.push_back(critical_value(left, alpha) * room);
    out.order.push_back(static_cast<int>(farthest));
    taken[farthest] = 1;
    if (out.r.back() > out.critical.back()) out.outliers = step;
  }
  return out;
}

}  // namespace quarterturn::stats
