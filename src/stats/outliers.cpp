// SPDX-License-Identifier: MIT
#include "stats/outliers.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <vector>

#include "stats/distributions.hpp"

namespace quarterturn::stats {
namespace {

/// What is left at one step: residuals from the means of the groups, each over its standard deviation in
/// units of sigma; s on the degrees of freedom left. What is taken changes its own group only.
class Left {
 public:
  /// \param group  of each value, numbers from 0 on, below `groups`
  Left(std::span<const double> x, std::span<const std::size_t> group, std::size_t groups)
      : x_(x),
        group_(group),
        first_(groups + 1, 0),
        members_(x.size()),
        count_(groups, 0),
        square_(x.size(), 0.0),
        taken_(x.size(), 0),
        scaled_(x.size(), -1.0),
        room_(x.size(), 1.0) {
    for (const std::size_t g : group) ++first_[g + 1];
    std::partial_sum(first_.begin(), first_.end(), first_.begin());
    std::vector<std::size_t> next(first_.begin(), first_.end() - 1);
    for (std::size_t i = 0; i < x.size(); ++i) members_[next[group[i]]++] = i;
    for (std::size_t g = 0; g < groups; ++g) renew(g);
  }

  void take(std::size_t i) {
    taken_[i] = 1;
    renew(group_[i]);
  }

  [[nodiscard]] double dof() const { return dof_; }
  [[nodiscard]] int tests() const { return tests_; }
  [[nodiscard]] double s() const {
    return dof_ > 0 ? std::sqrt(std::accumulate(square_.begin(), square_.end(), 0.0) / dof_) : 0.0;
  }
  [[nodiscard]] std::size_t farthest() const {
    return static_cast<std::size_t>(std::max_element(scaled_.begin(), scaled_.end()) - scaled_.begin());
  }
  /// |x - mean| / sqrt(1 - 1/m); below zero: taken, or alone in its group.
  [[nodiscard]] double scaled(std::size_t i) const { return scaled_[i]; }
  /// sqrt(1 - 1/m)
  [[nodiscard]] double room(std::size_t i) const { return room_[i]; }

 private:
  void renew(std::size_t g) {
    const auto members = std::span(members_).subspan(first_[g], first_[g + 1] - first_[g]);
    const auto tests_of = [](int count) { return count < 2 ? 0 : count; };
    double sum = 0;
    int count = 0;
    for (const std::size_t i : members) {
      if (taken_[i] != 0) continue;
      sum += x_[i];
      ++count;
    }
    tests_ += tests_of(count) - tests_of(count_[g]);
    dof_ += std::max(count - 1, 0) - std::max(count_[g] - 1, 0);
    count_[g] = count;
    const double room = count < 2 ? 1.0 : std::sqrt(1 - 1.0 / count);
    for (const std::size_t i : members) {
      const bool there = taken_[i] == 0 && count > 1;
      const double e = there ? std::fabs(x_[i] - sum / count) : 0.0;
      square_[i] = e * e;
      scaled_[i] = there ? e / room : -1.0;
      room_[i] = there ? room : 1.0;
    }
  }

  std::span<const double> x_;
  std::span<const std::size_t> group_;
  std::vector<std::size_t> first_, members_;  // of group g: members_[first_[g]] up to first_[g + 1]
  std::vector<int> count_;                    // of a group, without what was taken
  std::vector<double> square_;
  std::vector<char> taken_;
  std::vector<double> scaled_, room_;
  double dof_ = 0;
  int tests_ = 0;
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

/// Where the statistic of a step has its limit: alpha/(2 tests) beyond it, on nu - 1.
struct Tail {
  double p, dof;  // of Student's t, and the nu of the step
};

Tail tail_of(const Left& left, double alpha) {
  return {1 - alpha / (2.0 * left.tests()), left.dof()};
}

/// lambda_i / sqrt(1 - 1/m) = t sqrt(nu / (nu - 1 + t^2)), t the quantile of p on nu - 1; with one group of m
/// values nu = m - 1 and lambda_i is the published (m-1) t / sqrt((m-2+t^2) m). Grows with t.
double critical_at(double t, const Tail& tail) {
  return t * std::sqrt(tail.dof / (tail.dof - 1 + t * t));
}

double critical_value(const Tail& tail) {
  return critical_at(t_quantile(tail.p, tail.dof - 1), tail);
}

/// Below every critical value of Student's t, whose quantile is farther out than the normal one.
bool is_surely_within(double scaled, const Tail& tail) {
  constexpr double kRounding = 1e-9;
  return scaled < critical_at(normal_quantile(tail.p), tail) * (1 - kRounding);
}

void hold_to_range(std::span<const double> x, int most, double alpha, std::span<const int> group) {
  const int n = static_cast<int>(x.size());
  if (n < 3 || most < 1 || most > n - 2 || !(alpha > 0 && alpha < 1) ||
      (!group.empty() && group.size() != x.size()))
    throw std::domain_error(
        "outlier test: at least three values, 1 to n - 2 outliers, alpha between 0 and 1");
  for (double v : x)
    if (!std::isfinite(v)) throw std::domain_error("outlier test: a value is not finite");
}

// (M35) R_i = max |x - mean| / s of the values left at step i; the number of outliers is the largest i with
// R_i > lambda_i, so that one outlier cannot hide another. With groups, the mean is that of the value's own
// group without what was taken before: a slip does not make its neighbours stand off.
/// \param judge  of each step: index of the farthest, R_i / room, room and tail
template <typename Judge>
void walk(std::span<const double> x, int most, double alpha, std::span<const int> group, Judge judge) {
  hold_to_range(x, most, alpha, group);
  const std::vector<std::size_t> numbers = numbered(group, x.size());
  const auto [low, high] = std::ranges::minmax(x);
  const double least = 1e-14 * std::max(std::fabs(low), std::fabs(high));
  Left left(x, numbers, *std::max_element(numbers.begin(), numbers.end()) + 1);
  for (int step = 1; step <= most; ++step) {
    if (left.dof() < 2) break;
    const std::size_t farthest = left.farthest();
    const double s = left.s();
    // Values that are all alike but for the arithmetic's rounding have no outlier among them.
    judge(static_cast<int>(farthest), s > least ? left.scaled(farthest) / s : 0.0, left.room(farthest),
          tail_of(left, alpha));
    left.take(farthest);
  }
}

}  // namespace

Gesd gesd(std::span<const double> x, int most, double alpha, std::span<const int> group) {
  Gesd out;
  walk(x, most, alpha, group, [&](int farthest, double scaled, double room, const Tail& tail) {
    out.r.push_back(scaled * room);
    out.critical.push_back(critical_value(tail) * room);
    out.order.push_back(farthest);
    if (out.r.back() > out.critical.back()) out.outliers = static_cast<int>(out.order.size());
  });
  return out;
}

std::vector<int> gesd_outliers(std::span<const double> x, int most, double alpha,
                               std::span<const int> group) {
  std::vector<int> order;
  std::size_t outliers = 0;
  walk(x, most, alpha, group, [&](int farthest, double scaled, double room, const Tail& tail) {
    order.push_back(farthest);
    if (!is_surely_within(scaled, tail) && scaled * room > critical_value(tail) * room)
      outliers = order.size();
  });
  order.resize(outliers);
  return order;
}

}  // namespace quarterturn::stats
