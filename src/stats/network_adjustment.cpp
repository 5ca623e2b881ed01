// SPDX-License-Identifier: MIT
#include "stats/network_adjustment.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

#include "stats/distributions.hpp"
#include "stats/large_pages.hpp"
#include "stats/network_equations.hpp"

namespace quarterturn::stats {
namespace {

constexpr std::size_t kBytesOfObservation = 2000;  // of a distance in a grid, with all that is made of it

constexpr double kStill = 1e-10;      ///< standard deviations
constexpr double kRounding = 1e-4;    ///< a step this small that no longer shrinks is rounding
constexpr double kQuick = 0.1;        ///< of the step before: the equations are good enough for another one
constexpr double kControlled = 1e-8;  ///< a smaller redundancy is rounding: nothing checks the observation

/// Steps until they are still; each is halved while it makes the squares larger by more than rounding. Where
/// steps become much shorter each time, as derivatives hardly change, the equations of an earlier one do.
/// \returns whether they became so
bool iterate(const NetworkEquations& equations, NetworkAdjustment& result, int most_steps) {
  std::vector<NetworkLine> lines = equations.lines(result.parameters);
  double squares = NetworkEquations::weighted_squares(lines);
  require(std::isfinite(squares), "network: the model has no finite value at the start");
  std::optional<BorderedCholesky> normal;
  std::vector<NetworkLine> there;
  while (result.steps < most_steps) {
    if (!normal) normal = equations.normal(lines);
    const std::vector<double> dx = equations.step(*normal, lines, result.parameters);
    const double full = NetworkEquations::length(lines, dx);
    double share = 1;
    while (true) {
      std::vector<double> next = equations.moved(result.parameters, dx, share);
      equations.lines(next, there);
      const double then = NetworkEquations::weighted_squares(there);
      if (then <= squares * (1 + 1e-6) || full <= kRounding) {
        result.parameters = std::move(next);
        lines.swap(there);
        squares = then;
        break;
      }
      if (share < 1e-4) return false;
      share /= 2;
    }
    const double before = result.last_step;
    result.last_step = share * full;
    ++result.steps;
    // Each step leaves a share of itself, as it was one of the step before.
    if (share == 1 && full < kQuick * before && full * full <= kStill * before) return true;
    if (full <= kStill || (result.steps > 1 && full <= kRounding && full > before / 2)) return true;
    if (!(share == 1 && (result.steps == 1 || full < kQuick * before))) normal.reset();
  }
  return false;
}

/// (M104) r = 1 - q/sigma^2, q = a' N^-1 a the variance of the computed value.
Residual judged(const NetworkLine& line, const BorderedInverse& inverse, double noncentrality) {
  Residual out{line.computed, line.residual, 1, std::nullopt, std::nullopt};
  const double q = inverse.bilinear(line.derivatives, line.derivatives).value();
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
  expect_memory(network.observations.size() * kBytesOfObservation);
  const NetworkEquations equations(network);
  NetworkAdjustment result;
  result.parameters = network.start;
  result.converged = iterate(equations, result, options.most_steps);

  const std::vector<NetworkLine> lines = equations.lines(result.parameters);
  BorderedCholesky normal = equations.normal(lines);
  BorderedInverse inverse = normal.selected_inverse();
  for (const auto& z : normal.undetermined()) {
    std::vector<double> change(network.start.size());
    for (std::size_t i = 0; i < change.size(); ++i)
      if (const int place = equations.places()[i]; place >= 0) change[i] = z[index(place)];
    result.undetermined.push_back(std::move(change));
  }
  result.weighted_squares = NetworkEquations::weighted_squares(lines);
  result.dof = static_cast<int>(lines.size()) - equations.size() + equations.conditions() +
               static_cast<int>(result.undetermined.size());
  if (result.dof > 0) result.sigma0 = std::sqrt(result.weighted_squares / result.dof);
  if (options.a_posteriori) result.variance_factor = result.sigma0 * result.sigma0;
  const double noncentrality = normal_quantile(1 - options.alpha / 2) + normal_quantile(options.power);
  for (const NetworkLine& line : lines) result.residuals.push_back(judged(line, inverse, noncentrality));
  result.parts_ = std::make_shared<NetworkAdjustment::Parts>(
      NetworkAdjustment::Parts{equations.places(), std::move(normal), std::move(inverse)});
  return result;
}

std::optional<double> NetworkAdjustment::covariance(std::span<const Entry> a,
                                                    std::span<const Entry> b) const {
  const std::vector<Entry> left = parts_->free(a), right = parts_->free(b);
  if (!parts_->normal.determines(left) || !parts_->normal.determines(right)) return std::nullopt;
  if (const auto selected = parts_->inverse.bilinear(left, right)) return variance_factor * *selected;
  return variance_factor * parts_->normal.bilinear(left, right);
}

std::optional<double> NetworkAdjustment::covariance(int i, int j) const {
  const Entry a{i, 1}, b{j, 1};
  const int p = parts_->places.at(index(i)), q = parts_->places.at(index(j));
  if (p < 0 || q < 0) return 0.0;
  if (parts_->normal.undetermined().empty())
    if (const auto selected = parts_->inverse.at(p, q)) return variance_factor * *selected;
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
