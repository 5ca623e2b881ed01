// SPDX-License-Identifier: MIT
#include "stats/group_sequential.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <string>

#include "stats/distributions.hpp"
#include "stats/root.hpp"

namespace quarterturn::stats {

namespace {

constexpr double kLeastStep = 1e-6;  // of information; below it the grid grows beyond use
constexpr double kReach = 9.0;       // standard deviations beyond which a normal density counts as nothing
constexpr double kPanel = 2.0;       // width of a panel in standard deviations of the narrower step

// Ten-point Gauss–Legendre rule on [-1, 1], half of it.
constexpr std::array<double, 5> kNode{0.1488743389816312, 0.4333953941292472, 0.6794095682990244,
                                      0.8650633666889845, 0.9739065285171717};
constexpr std::array<double, 5> kWeight{0.2955242247147529, 0.2692667193099963, 0.2190863625159820,
                                        0.1494513491505806, 0.0666713443086881};

void check_shares(std::span<const double> shares) {
  if (shares.empty()) throw std::domain_error("group sequential: there must be one look or more");
  double before = 0;
  for (std::size_t j = 0; j < shares.size(); ++j) {
    if (!(shares[j] - before >= kLeastStep)) {
      throw std::domain_error("group sequential: shares[" + std::to_string(j) + "] is " +
                              std::to_string(shares[j]) + ", but must exceed the one before it, " +
                              std::to_string(before) + ", by a millionth or more");
    }
    before = shares[j];
  }
  if (std::fabs(before - 1) > 1e-9) {
    throw std::domain_error("group sequential: the last share is " + std::to_string(before) +
                            ", but must be 1");
  }
}

/// Where the motion may stand while no boundary has been crossed: nodes, ascending, with their probabilities.
struct Paths {
  std::vector<double> at, mass;
};

/// Nodes over [-half, half] with the weights of the quadrature.
Paths grid(double half, double panel) {
  const int panels = static_cast<int>(std::ceil(2 * half / panel));
  const double h = half / panels;  // half a panel
  Paths out;
  for (int i = 0; i < panels; ++i) {
    const double middle = -half + (2 * i + 1) * h;
    for (std::size_t k = kNode.size(); k-- > 0;) {
      out.at.push_back(middle - h * kNode[k]);
      out.mass.push_back(h * kWeight[k]);
    }
    for (std::size_t k = 0; k < kNode.size(); ++k) {
      out.at.push_back(middle + h * kNode[k]);
      out.mass.push_back(h * kWeight[k]);
    }
  }
  return out;
}

/// (M92): f_j(x) = sum over the nodes y of the look before of their probability times the density of x - y.
void carry(const Paths& before, double shift, double sd, Paths& after) {
  for (std::size_t i = 0; i < after.at.size(); ++i) {
    const double x = after.at[i] - shift;
    const auto first = std::lower_bound(before.at.begin(), before.at.end(), x - kReach * sd);
    double density = 0;
    for (auto y = first; y != before.at.end() && *y <= x + kReach * sd; ++y) {
      density += before.mass[static_cast<std::size_t>(y - before.at.begin())] * normal_density((x - *y) / sd);
    }
    after.mass[i] *= density / sd;
  }
}

}  // namespace

std::vector<FirstCrossing> first_crossings(std::span<const double> shares, std::span<const double> boundary,
                                           double drift) {
  check_shares(shares);
  if (boundary.size() != shares.size() || !std::isfinite(drift) ||
      !std::all_of(boundary.begin(), boundary.end(), [](double b) { return b > 0; })) {
    throw std::domain_error(
        "group sequential: one boundary above 0 is needed for each look, and a finite drift");
  }
  std::vector<FirstCrossing> out(shares.size());
  Paths paths{{0.0}, {1.0}};
  for (std::size_t j = 0; j < shares.size(); ++j) {
    const double t = shares[j], step = j == 0 ? t : t - shares[j - 1];
    const double sd = std::sqrt(step), shift = drift * step, limit = boundary[j] * std::sqrt(t);
    for (std::size_t i = 0; i < paths.at.size(); ++i) {
      const double mean = paths.at[i] + shift;
      out[j].above += paths.mass[i] * normal_probability((mean - limit) / sd);
      out[j].below += paths.mass[i] * normal_probability((-limit - mean) / sd);
    }
    if (j + 1 == shares.size()) break;
    const double narrower = std::sqrt(std::min(step, shares[j + 1] - t));
    Paths next = grid(std::min(limit, kReach * std::sqrt(t) + std::fabs(drift) * t), kPanel * narrower);
    carry(paths, shift, sd, next);
    paths = std::move(next);
  }
  return out;
}

double crossing_probability(std::span<const double> shares, std::span<const double> boundary, double drift) {
  double sum = 0;
  for (const FirstCrossing& look : first_crossings(shares, boundary, drift)) sum += look.above + look.below;
  return sum;
}

// (M92)
GroupSequential group_sequential(std::span<const double> shares, double confidence, BoundaryShape shape) {
  check_shares(shares);
  if (!(confidence > 0 && confidence < 1)) {
    throw std::domain_error("group sequential: the confidence is " + std::to_string(confidence) +
                            ", but must lie between 0 and 1");
  }
  GroupSequential out;
  out.boundary.resize(shares.size());
  const double error = 1 - confidence;
  const auto excess = [&](double c) {
    for (std::size_t j = 0; j < shares.size(); ++j) {
      out.boundary[j] = shape == BoundaryShape::pocock ? c : c / std::sqrt(shares[j]);
    }
    return crossing_probability(shares, out.boundary) - error;
  };
  // One look alone errs too little, looks that never agree would err too much: the constant lies between.
  const double low = -normal_quantile(error / 2);
  const double high = -normal_quantile(error / (2 * static_cast<double>(shares.size())));
  out.constant = shares.size() == 1 ? low
                                    : root(excess, {low, excess(low)}, {high, excess(high)},
                                           {.width = 1e-13, .close = 1e-12, .steps = 60});
  excess(out.constant);  // leaves the boundaries at the constant
  for (const double b : out.boundary) out.level.push_back(2 * normal_probability(-b));
  return out;
}

}  // namespace quarterturn::stats
