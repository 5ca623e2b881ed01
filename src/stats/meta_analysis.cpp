// SPDX-License-Identifier: MIT
#include "stats/meta_analysis.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>

#include "stats/distributions.hpp"
#include "stats/pair_sums.hpp"
#include "stats/reml.hpp"

namespace quarterturn::stats {
namespace {

constexpr double kUnbounded = std::numeric_limits<double>::infinity();

/// One block of estimates with a mean of their own, or a line when x is given.
struct Block {
  std::span<const double> y, v, x;
  [[nodiscard]] double parameters() const { return x.empty() ? 1 : 2; }
  [[nodiscard]] double dof() const { return static_cast<double>(y.size()) - parameters(); }
};

void hold_shape(const Block& block, std::size_t least) {
  if (block.y.size() < least || block.v.size() != block.y.size() ||
      (!block.x.empty() && block.x.size() != block.y.size()))
    throw std::domain_error("meta-analysis: too few estimates, or shapes that do not fit");
  // No way out in between: so several are looked at at once.
  constexpr double kMost = std::numeric_limits<double>::max();
  std::int64_t amiss = 0;  // as wide as what is compared
  for (const double y : block.y) amiss |= std::fabs(y) <= kMost ? 0 : 1;
  for (const double v : block.v) amiss |= v > 0 ? 0 : 1;
  for (const double v : block.v) amiss |= v <= kMost ? 0 : 1;
  for (const double x : block.x) amiss |= std::fabs(x) <= kMost ? 0 : 1;
  if (amiss != 0)
    throw std::domain_error("meta-analysis: an estimate is not finite, or its variance not above 0");
  if (!block.x.empty() && std::ranges::min(block.x) == std::ranges::max(block.x))
    throw std::domain_error("meta-analysis: the covariate is the same for all");
}

/// Weighted line about the weighted mean of x; `rss` is the sum of w r^2.
struct Line {
  double total = 0, centre = 0, sxx = 0, mean = 0, slope = 0, rss = 0;
};

/// Weights 1/(v + tau^2), divided once for all sums of one tau^2.
struct Weights {
  std::vector<double> w;

  void set(const Block& b, double tau2) {
    w.resize(b.v.size());
    for (std::size_t i = 0; i < w.size(); ++i) w[i] = 1 / (b.v[i] + tau2);
  }
};

/// All of a line but its rss.
Line line_through(const Block& b, const Weights& weights) {
  Line line;
  const std::size_t n = b.y.size();
  const double *const all_w = weights.w.data(), *const all_y = b.y.data(), *const all_x = b.x.data();
  if (b.x.empty()) {
    const auto sums = sums_over<2>(n, [&](auto at) {
      const auto w = at(all_w);
      return std::array{w, w * at(all_y)};
    });
    line.total = sums[0];
    line.mean = sums[1] / line.total;
    return line;
  }
  const auto sums = sums_over<3>(n, [&](auto at) {
    const auto w = at(all_w);
    return std::array{w, w * at(all_y), w * at(all_x)};
  });
  line.total = sums[0];
  line.mean = sums[1] / line.total;
  line.centre = sums[2] / line.total;
  const auto about = sums_over<2>(n, [&](auto at) {
    const auto dx = at(all_x) - line.centre, w_dx = at(all_w) * dx;
    return std::array{w_dx * dx, w_dx * (at(all_y) - line.mean)};
  });
  line.sxx = about[0];
  line.slope = about[1] / line.sxx;
  return line;
}

/// What is left of y at a place, or at two.
template <typename Number>
Number left_at(const Block& b, const Line& line, At<Number> at) {
  const Number about = at(b.y.data()) - line.mean;
  return b.x.empty() ? about : about - line.slope * (at(b.x.data()) - line.centre);
}

Line line_of(const Block& b, const Weights& weights) {
  Line line = line_through(b, weights);
  line.rss = sums_over<1>(b.y.size(), [&](auto at) {
    const auto r = left_at(b, line, at);
    return std::array{at(weights.w.data()) * r * r};
  })[0];
  return line;
}

Line line_of(const Block& b, double tau2) {
  Weights weights;
  weights.set(b, tau2);
  return line_of(b, weights);
}

/// tr(P) and tr(PP) of the projection P = W - W X (X'WX)^-1 X'W, and y'PPy.
struct Traces {
  double p = 0, pp = 0, y_pp_y = 0;
};

struct Traced {
  Line line;
  Traces traces;
};

/// A line with its traces: what both sum over the residuals, in one pass.
Traced traced_of(const Block& b, const Weights& weights) {
  // About the weighted mean of x, X'WX is diagonal: 1/A and 1/S below.
  const std::size_t n = b.y.size();
  const double* const all_w = weights.w.data();
  Traced out{line_through(b, weights), {}};
  Line& line = out.line;
  Traces& t = out.traces;
  const auto sums = sums_over<4>(n, [&](auto at) {
    const auto w = at(all_w), w2 = w * w, r = left_at(b, line, at), wr = w * r;
    return std::array{wr * r, w2, w2 * w, wr * wr};
  });
  line.rss = sums[0];
  t.y_pp_y = sums[3];
  const double w2 = sums[1], a3 = sums[2], a = 1 / line.total;
  t.p = line.total - a * w2;
  t.pp = w2 - 2 * a * a3 + a * a * w2 * w2;
  if (b.x.empty()) return out;
  const double s = 1 / line.sxx;
  const auto about = sums_over<3>(n, [&](auto at) {
    const auto w = at(all_w), dx = at(b.x.data()) - line.centre, w2_dx = w * w * dx;
    return std::array{w2_dx, w2_dx * dx, w * w * w * dx * dx};
  });
  const double c2 = about[0], s2 = about[1], s3 = about[2];
  t.p -= s * s2;
  t.pp += -2 * s * s3 + 2 * a * s * c2 * c2 + s * s * s2 * s2;
  return out;
}

/// Sum of the logarithms of scale/w, by products that stay far within the range of numbers: four of them,
/// which do not wait for one another.
double log_sum(const Weights& weights, double scale) {
  constexpr double kFar = 1e100;
  double sum = 0;
  Pair low = {1, 1}, high = {1, 1};
  const auto take_logs = [&] {
    sum += (std::log(low[0]) + std::log(low[1])) + (std::log(high[0]) + std::log(high[1]));
    low = high = Pair{1, 1};
  };
  const std::size_t n = weights.w.size();
  const double* const w = weights.w.data();
  std::size_t i = 0;
  for (; i + 4 <= n; i += 4) {
    low *= scale * At<Pair>{i}(w);
    high *= scale * At<Pair>{i + 2}(w);
    const auto far = (low < 1 / kFar) | (low > kFar) | (high < 1 / kFar) | (high > kFar);
    if ((far[0] | far[1]) != 0) take_logs();
  }
  for (; i < n; ++i) {
    low[0] *= scale * w[i];
    if (low[0] < 1 / kFar || low[0] > kFar) take_logs();
  }
  take_logs();
  return -sum;
}

/// (M55) over blocks that share tau^2 and nothing else. y'PPy is (sum of w^2 r^2), since Py = W r.
double reml(const std::vector<Block>& blocks) {
  double start = 0, count = 0, least = kUnbounded;
  for (const Block& b : blocks) {
    const Line line = line_of(b, 0);
    start += sums_over<1>(b.y.size(), [&](auto at) {
      const auto r = left_at(b, line, at);
      return std::array{r * r};
    })[0];
    for (const double v : b.v) least = v < least ? v : least;
    count += b.dof();
  }
  if (!(count > 0)) return 0.0;
  Weights weights;
  const RemlModel model = [&](std::span<const double> theta, RemlPoint& out) {
    out.minus_log = 0;
    out.gradient.assign(1, 0.0);
    out.information.assign(1, 0.0);
    for (const Block& b : blocks) {
      weights.set(b, theta[0]);
      const auto [line, t] = traced_of(b, weights);
      out.minus_log += 0.5 * log_sum(weights, least);
      out.minus_log += 0.5 * std::log(line.total * least) + 0.5 * line.rss;
      if (!b.x.empty()) out.minus_log += 0.5 * std::log(line.sxx * least);
      out.gradient[0] += 0.5 * (t.p - t.y_pp_y);
      out.information[0] += 0.5 * t.pp;
    }
  };
  const double first[] = {std::max(start / count, least)};
  return maximise_reml(model, first).theta[0];
}

/// (M56) The method of moments with the weights of tau^2 = 0.
double dersimonian_laird(const Block& b) {
  Weights weights;
  weights.set(b, 0);
  const auto [line, t] = traced_of(b, weights);
  return std::max(0.0, (line.rss - b.dof()) / t.p);
}

std::vector<Block> blocks_of(std::span<const double> y, std::span<const double> v,
                             std::span<const int> group) {
  hold_shape({y, v, {}}, 1);
  if (!group.empty() && group.size() != y.size())
    throw std::domain_error("meta-analysis: a group for each estimate, or none");
  std::vector<Block> blocks;
  for (std::size_t first = 0, next = 0; first < y.size(); first = next) {
    next = group.empty() ? y.size() : first;
    while (next < y.size() && group[next] == group[first]) ++next;
    if (next - first > 1)
      blocks.push_back({y.subspan(first, next - first), v.subspan(first, next - first), {}});
  }
  return blocks;
}

}  // namespace

// (M54) Q = sum (y - mean)^2 / v, mean weighted by 1/v.
Homogeneity cochran_q(std::span<const double> y, std::span<const double> v) {
  const Block block{y, v, {}};
  hold_shape(block, 2);
  Homogeneity out;
  out.q = line_of(block, 0).rss;
  out.dof = block.dof();
  out.p = f_upper(out.q / out.dof, out.dof, kUnbounded);
  return out;
}

// (M54) F = [Q/(n-1)] / [1 + 2(n-2)/(n^2-1) L] on n - 1 and (n^2-1)/(3 L), L = sum (1 - w_i/W)^2 / nu_i.
WelchTest welch_test(std::span<const double> y, std::span<const double> v, std::span<const double> dof) {
  const Homogeneity q = cochran_q(y, v);
  if (dof.size() != y.size()) throw std::domain_error("meta-analysis: degrees of freedom for each estimate");
  double total = 0, l = 0;
  for (const double one : v) total += 1 / one;
  for (std::size_t i = 0; i < v.size(); ++i) {
    const double rest = 1 - 1 / (v[i] * total);
    l += rest * rest / dof[i];
  }
  const double n = static_cast<double>(y.size());
  WelchTest out;
  out.dof1 = n - 1;
  out.dof2 = l > 0 ? (n * n - 1) / (3 * l) : kUnbounded;
  out.f = q.q / (n - 1) / (1 + 2 * (n - 2) / (n * n - 1) * l);
  out.p = f_upper(out.f, out.dof1, out.dof2);
  return out;
}

double between_variance(std::span<const double> y, std::span<const double> v, std::span<const double> x,
                        Between how) {
  const Block block{y, v, x};
  hold_shape(block, x.empty() ? 2 : 3);
  return how == Between::reml ? reml({block}) : dersimonian_laird(block);
}

GroupedVariance between_variance_grouped(std::span<const double> y, std::span<const double> v,
                                         std::span<const int> group) {
  const auto blocks = blocks_of(y, v, group);
  GroupedVariance out;
  for (const Block& block : blocks) out.dof += block.dof();
  out.tau2 = reml(blocks);
  return out;
}

// (M57) Q(tau^2) = sum of w r^2 falls with tau^2; its value has the chi-square distribution at the true one.
VarianceInterval between_variance_interval(std::span<const double> y, std::span<const double> v,
                                           double confidence, std::span<const int> group) {
  const auto blocks = blocks_of(y, v, group);
  double dof = 0, scale = 0;
  for (const Block& block : blocks) {
    dof += block.dof();
    scale = std::max(scale, std::ranges::max(block.v));
  }
  if (!(dof > 0)) return {0, kUnbounded};
  // Newton's steps on 1/Q, which is straight in tau^2 where all v are equal; dQ/dtau^2 = -sum of w^2 r^2.
  Weights weights;
  const auto where = [&](double target) {
    double low = 0, high = kUnbounded, tau2 = 0;
    for (int step = 0; step < 200; ++step) {
      double q = 0, fall = 0;
      for (const Block& block : blocks) {
        weights.set(block, tau2);
        const auto [line, traces] = traced_of(block, weights);
        q += line.rss;
        fall += traces.y_pp_y;
      }
      if (step == 0 && q <= target) return 0.0;
      (q > target ? low : high) = tau2;
      double next = tau2 + q * (q - target) / (target * fall);
      if (!(next > low && next < high)) next = std::isinf(high) ? 2 * low + scale : 0.5 * (low + high);
      if (std::fabs(next - tau2) <= 1e-13 * next) return next;
      tau2 = next;
    }
    return tau2;
  };
  const double tail = 0.5 * (1 - confidence);
  return {where(chi2_quantile(1 - tail, dof)), where(chi2_quantile(tail, dof))};
}

double MetaLine::slope_p() const {
  if (!(slope_variance > 0)) return slope == 0 ? 1.0 : 0.0;
  return 2 * t_probability(-std::fabs(slope) / std::sqrt(slope_variance), dof);
}

double MetaLine::factor(double confidence) const {
  return t_quantile(0.5 * (1 + confidence), dof);
}

namespace {

/// (M58), (M59) with tau^2 and scale from `known`, the line from all.
MetaLine fitted(const Block& all, const Block& known, Between how) {
  MetaLine out;
  out.tau2 = how == Between::reml ? reml({known}) : dersimonian_laird(known);
  const Line line = line_of(all, out.tau2);
  out.dof = known.dof();
  out.scale = line_of(known, out.tau2).rss / out.dof;
  out.intercept = line.mean;
  out.slope = line.slope;
  out.centre = line.centre;
  out.intercept_variance = out.scale / line.total;
  out.slope_variance = all.x.empty() ? 0.0 : out.scale / line.sxx;
  out.q = line_of(known, 0).rss;
  out.q_p = f_upper(out.q / out.dof, out.dof, kUnbounded);
  return out;
}

}  // namespace

MetaLine weighted_mean(std::span<const double> y, std::span<const double> v, Between how) {
  const Block block{y, v, {}};
  hold_shape(block, 2);
  return fitted(block, block, how);
}

MetaLine meta_regression(std::span<const double> y, std::span<const double> v, std::span<const double> x,
                         Between how, std::span<const char> informs) {
  const Block all{y, v, x};
  hold_shape(all, 3);
  if (x.empty()) throw std::domain_error("meta-regression: no covariate");
  if (std::ranges::all_of(informs, [](char c) { return c != 0; })) return fitted(all, all, how);
  if (informs.size() != y.size()) throw std::domain_error("meta-regression: shapes that do not fit");
  std::vector<double> ky, kv, kx;
  for (std::size_t i = 0; i < y.size(); ++i) {
    if (informs[i] == 0) continue;
    ky.push_back(y[i]);
    kv.push_back(v[i]);
    kx.push_back(x[i]);
  }
  const Block known{ky, kv, kx};
  hold_shape(known, 3);
  return fitted(all, known, how);
}

}  // namespace quarterturn::stats
