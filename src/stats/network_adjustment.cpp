// SPDX-License-Identifier: MIT
#include "stats/network_adjustment.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

#include "stats/distributions.hpp"

namespace quarterturn::stats {
namespace {

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

void require(bool holds, const char* otherwise) {
  if (!holds) throw std::domain_error(otherwise);
}

bool is_sigma(double sigma) {
  return sigma > 0 && std::isfinite(sigma);
}

/// Modified Gram-Schmidt on copies: does a column hold nothing new?
bool independent(std::vector<std::vector<double>> columns) {
  const auto dot = [](const auto& a, const auto& b) {
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
    return sum;
  };
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const double before = dot(columns[i], columns[i]);
    for (std::size_t j = 0; j < i; ++j) {
      const double share = dot(columns[i], columns[j]);
      for (std::size_t r = 0; r < columns[i].size(); ++r) columns[i][r] -= share * columns[j][r];
    }
    const double left = dot(columns[i], columns[i]);
    if (!(left > 1e-18 * before)) return false;
    for (double& v : columns[i]) v /= std::sqrt(left);
  }
  return true;
}

/// Observations, then priors, at one x.
struct Line {
  double computed = 0, residual = 0, sigma = 1;
  std::vector<Entry> derivatives;  ///< by free parameter
};

class Adjuster {
 public:
  explicit Adjuster(const Network& network) : network_(network), free_(network.start.size()) {
    check();
    for (int i : network.fixed) free_.at(index(i)) = -1;
    for (int& place : free_)
      if (place == 0) place = n_++;
    require(n_ > 0, "network: no parameter is free");
    for (const auto& column : network.datum)
      for (std::size_t i = 0; i < free_.size(); ++i)
        if (free_[i] >= 0) border_.push_back(column[i]);
    std::vector<std::vector<double>> columns;
    for (std::size_t c = 0; c < network.datum.size(); ++c)
      columns.emplace_back(border_.begin() + static_cast<std::ptrdiff_t>(c * index(n_)),
                           border_.begin() + static_cast<std::ptrdiff_t>((c + 1) * index(n_)));
    require(independent(std::move(columns)), "network: columns of the datum depend on each other");
  }

  [[nodiscard]] int size() const { return n_; }
  [[nodiscard]] int conditions() const { return static_cast<int>(network_.datum.size()); }
  [[nodiscard]] const std::vector<int>& places() const { return free_; }

  [[nodiscard]] std::vector<Line> lines(std::span<const double> x) const {
    std::vector<Line> all(network_.observations.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
      std::vector<Entry> derivatives;
      const Observed& seen = network_.observations[i];
      all[i].computed = network_.model(static_cast<int>(i), x, derivatives);
      all[i].residual = seen.value - all[i].computed;
      all[i].sigma = seen.sigma;
      for (const Entry& e : derivatives)
        if (const int place = free_.at(index(e.index)); place >= 0)
          all[i].derivatives.push_back({place, e.value});
    }
    for (const Prior& prior : network_.priors) {
      const double now = x[index(prior.parameter)];
      Line line{now, prior.value - now, prior.sigma, {}};
      if (const int place = free_[index(prior.parameter)]; place >= 0) line.derivatives = {{place, 1.0}};
      all.push_back(std::move(line));
    }
    return all;
  }

  /// (M103) N = J' P J, bordered by the columns of the datum.
  [[nodiscard]] BorderedCholesky normal(std::span<const Line> lines) const {
    std::vector<Triplet> lower;
    for (const Line& line : lines)
      for (const Entry& a : line.derivatives)
        for (const Entry& b : line.derivatives)
          if (a.index >= b.index)
            lower.push_back({a.index, b.index, a.value * b.value / (line.sigma * line.sigma)});
    auto normal = BorderedCholesky::of(n_, lower, border_);
    require(normal.has_value(), "network: more conditions are missing than can be named");
    return *std::move(normal);
  }

  /// (M103) N dx + G k = J' P (l - f(x)), G' dx = -G'(x - start).
  [[nodiscard]] std::vector<double> step(const BorderedCholesky& normal, std::span<const Line> lines,
                                         std::span<const double> x) const {
    std::vector<double> right(index(n_) + network_.datum.size());
    for (const Line& line : lines)
      for (const Entry& e : line.derivatives)
        right[index(e.index)] += e.value * line.residual / (line.sigma * line.sigma);
    for (std::size_t c = 0; c < network_.datum.size(); ++c)
      for (std::size_t i = 0; i < free_.size(); ++i)
        if (free_[i] >= 0) right[index(n_) + c] -= network_.datum[c][i] * (x[i] - network_.start[i]);
    std::vector<double> dx = normal.solve(right);
    dx.resize(index(n_));
    return dx;
  }

  [[nodiscard]] std::vector<double> moved(std::span<const double> x, std::span<const double> dx,
                                          double share) const {
    std::vector<double> to(x.begin(), x.end());
    for (std::size_t i = 0; i < to.size(); ++i)
      if (free_[i] >= 0) to[i] += share * dx[index(free_[i])];
    return to;
  }

 private:
  void check() const {
    const auto is_parameter = [this](int i) { return i >= 0 && index(i) < network_.start.size(); };
    for (double v : network_.start) require(std::isfinite(v), "network: a start value is not finite");
    for (const Observed& o : network_.observations)
      require(std::isfinite(o.value) && is_sigma(o.sigma), "network: an observation is not usable");
    for (const Prior& p : network_.priors)
      require(is_parameter(p.parameter) && std::isfinite(p.value) && is_sigma(p.sigma),
              "network: a prior is not usable");
    for (int i : network_.fixed) require(is_parameter(i), "network: a fixed parameter is none");
    for (const auto& column : network_.datum)
      require(column.size() == network_.start.size(), "network: a column of the datum is not a value each");
  }

  const Network& network_;
  std::vector<int> free_;  ///< place among the free parameters; -1: fixed
  int n_ = 0;
  std::vector<double> border_;
};

double weighted_squares(std::span<const Line> lines) {
  double sum = 0;
  for (const Line& line : lines) sum += line.residual / line.sigma * (line.residual / line.sigma);
  return sum;
}

/// Length of a step in standard deviations: sqrt(dx' N dx).
double length(std::span<const Line> lines, std::span<const double> dx) {
  double sum = 0;
  for (const Line& line : lines) {
    double change = 0;
    for (const Entry& e : line.derivatives) change += e.value * dx[index(e.index)];
    sum += change / line.sigma * (change / line.sigma);
  }
  return std::sqrt(sum);
}

constexpr double kStill = 1e-10;      ///< standard deviations
constexpr double kRounding = 1e-4;    ///< a step this small that no longer shrinks is rounding
constexpr double kControlled = 1e-8;  ///< a smaller redundancy is rounding: nothing checks the observation

/// Steps until they are still; each is halved while it makes the squares larger.
void iterate(const Adjuster& adjuster, NetworkAdjustment& result, int most_steps) {
  std::vector<Line> lines = adjuster.lines(result.parameters);
  double squares = weighted_squares(lines);
  while (!result.converged && result.steps < most_steps) {
    const std::vector<double> dx = adjuster.step(adjuster.normal(lines), lines, result.parameters);
    double share = 1;
    std::vector<double> next;
    while (true) {
      next = adjuster.moved(result.parameters, dx, share);
      std::vector<Line> there = adjuster.lines(next);
      const double then = weighted_squares(there);
      // the first step may have to climb: the start need not meet the conditions of the datum
      if (std::isfinite(then) && (then <= squares * (1 + 1e-9) + 1e-12 || share < 1e-3)) {
        lines = std::move(there);
        squares = then;
        break;
      }
      require(share > 1e-6, "network: the model has no finite value near the start");
      share /= 2;
    }
    const double size = share * length(lines, dx);
    result.converged = share == 1 && (size <= kStill ||
                                      (result.steps > 1 && size <= kRounding && size > result.last_step / 2));
    result.last_step = size;
    result.parameters = std::move(next);
    ++result.steps;
  }
}

/// (M104) r = 1 - q/sigma^2, q = a' N^-1 a the variance of the computed value.
Residual judged(const Line& line, const BorderedInverse& inverse, double noncentrality) {
  Residual out{line.computed, line.residual, 1, std::nullopt, std::nullopt};
  double q = 0;
  for (const Entry& a : line.derivatives)
    for (const Entry& b : line.derivatives) q += a.value * b.value * inverse.at(a.index, b.index).value();
  out.redundancy = std::clamp(1 - q / (line.sigma * line.sigma), 0.0, 1.0);
  if (out.redundancy > kControlled) {
    out.w = line.residual / (line.sigma * std::sqrt(out.redundancy));
    out.detectable = noncentrality * line.sigma / std::sqrt(out.redundancy);
  }
  return out;
}

}  // namespace

struct NetworkAdjustment::Parts {
  std::vector<int> places;
  BorderedCholesky normal;
  BorderedInverse inverse;

  [[nodiscard]] std::vector<Entry> free(std::span<const Entry> c) const {
    std::vector<Entry> out;
    for (const Entry& e : c)
      if (const int place = places.at(index(e.index)); place >= 0) out.push_back({place, e.value});
    return out;
  }
};

NetworkAdjustment adjust_network(const Network& network, const NetworkOptions& options) {
  const Adjuster adjuster(network);
  NetworkAdjustment result;
  result.parameters = network.start;
  iterate(adjuster, result, options.most_steps);

  const std::vector<Line> lines = adjuster.lines(result.parameters);
  BorderedCholesky normal = adjuster.normal(lines);
  BorderedInverse inverse = normal.selected_inverse();
  for (const auto& z : normal.undetermined()) {
    std::vector<double> change(network.start.size());
    for (std::size_t i = 0; i < change.size(); ++i)
      if (const int place = adjuster.places()[i]; place >= 0) change[i] = z[index(place)];
    result.undetermined.push_back(std::move(change));
  }
  result.weighted_squares = weighted_squares(lines);
  result.dof = static_cast<int>(lines.size()) - adjuster.size() + adjuster.conditions() +
               static_cast<int>(result.undetermined.size());
  if (result.dof > 0) result.sigma0 = std::sqrt(result.weighted_squares / result.dof);
  if (options.a_posteriori) result.variance_factor = result.sigma0 * result.sigma0;
  const double noncentrality = normal_quantile(1 - options.alpha / 2) + normal_quantile(options.power);
  for (const Line& line : lines) result.residuals.push_back(judged(line, inverse, noncentrality));
  result.parts_ = std::make_shared<NetworkAdjustment::Parts>(
      NetworkAdjustment::Parts{adjuster.places(), std::move(normal), std::move(inverse)});
  return result;
}

std::optional<double> NetworkAdjustment::covariance(std::span<const Entry> a,
                                                    std::span<const Entry> b) const {
  const std::vector<Entry> left = parts_->free(a), right = parts_->free(b);
  if (!parts_->normal.determines(left) || !parts_->normal.determines(right)) return std::nullopt;
  return variance_factor * parts_->normal.bilinear(left, right);
}

std::optional<double> NetworkAdjustment::covariance(int i, int j) const {
  const Entry a{i, 1}, b{j, 1};
  const int p = parts_->places.at(index(i)), q = parts_->places.at(index(j));
  if (p < 0 || q < 0) return 0.0;
  const Entry left{p, 1}, right{q, 1};
  if (!parts_->normal.determines({&left, 1}) || !parts_->normal.determines({&right, 1})) return std::nullopt;
  if (const auto selected = parts_->inverse.at(p, q)) return variance_factor * *selected;
  return covariance(std::span(&a, 1), std::span(&b, 1));
}

std::optional<double> NetworkAdjustment::standard_deviation(int i) const {
  const std::optional<double> variance = covariance(i, i);
  if (!variance) return std::nullopt;
  return std::sqrt(std::max(*variance, 0.0));
}

/// (M104) Eigenvalues of the 2x2 covariance, the direction turned into a bearing.
std::optional<ErrorEllipse> NetworkAdjustment::ellipse(int x, int y) const {
  const auto xx = covariance(x, x), yy = covariance(y, y), xy = covariance(x, y);
  if (!xx || !yy || !xy) return std::nullopt;
  const double middle = (*xx + *yy) / 2, half = std::hypot((*xx - *yy) / 2, *xy);
  double bearing = std::atan2(2 * *xy, *yy - *xx) / 2;
  if (bearing < 0) bearing += std::numbers::pi;
  const double minor = half > 0 ? (*xx * *yy - *xy * *xy) / (middle + half) : middle;
  return ErrorEllipse{std::sqrt(std::max(middle + half, 0.0)), std::sqrt(std::max(minor, 0.0)), bearing};
}

std::optional<std::size_t> largest_w(std::span<const Residual> residuals) {
  std::optional<std::size_t> largest;
  for (std::size_t i = 0; i < residuals.size(); ++i)
    if (residuals[i].w && (!largest || std::fabs(*residuals[i].w) > std::fabs(*residuals[*largest].w)))
      largest = i;
  return largest;
}

}  // namespace quarterturn::stats
