// SPDX-License-Identifier: MIT
#include "survey/snooping.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "stats/distributions.hpp"

namespace quarterturn::survey {
namespace {

constexpr double kSeen = 1e-6;  ///< share of a shift that must show to be tested

/// c'N^-1 c from elements of the inverse: all that an observation couples lies in the pattern.
double quadratic(const stats::BorderedInverse& inverse, const std::vector<stats::Entry>& c) {
  double sum = 0;
  for (std::size_t a = 0; a < c.size(); ++a) {
    sum += c[a].value * c[a].value * inverse.diagonal(c[a].index);
    for (std::size_t b = 0; b < a; ++b) {
      sum += 2 * c[a].value * c[b].value * inverse.at(c[a].index, c[b].index).value();
    }
  }
  return sum;
}

// (M111): w = (Py)_i / sqrt(P_ii)
std::vector<ObservationTest> observations_of(const Adjustment& adjustment) {
  const MixedModel& model = adjustment.model();
  std::vector<ObservationTest> all;
  int tested = 0;
  for (std::size_t i = 0; i < adjustment.observations().size(); ++i) {
    const int at = static_cast<int>(i);
    ObservationTest test;
    test.observation = i;
    test.residual = adjustment.residual(i);
    const double u2 = model.u(at) * model.u(at);
    const double fitted =
        quadratic(adjustment.inverse(), model.scaled(model.row(at), adjustment.components().theta));
    test.redundancy = std::max(0.0, 1 - fitted / u2);
    if (test.redundancy > kSeen) {
      ++tested;
      test.w = test.residual / std::sqrt(u2 * test.redundancy);
      test.error = test.residual / test.redundancy;
    }
    all.push_back(test);
  }
  for (ObservationTest& test : all) {
    if (test.w) test.p = std::min(1.0, 2 * tested * stats::normal_probability(-std::fabs(*test.w)));
  }
  return all;
}

// (M111): deviation' (sigma^2 - cov)^- deviation, over the directions that are seen
HoleTest hole_of(const Adjustment& adjustment, Hole hole) {
  const HoleResult result = adjustment.hole(hole);
  const double variance = adjustment.components().theta.front();
  Eigen::Matrix2d taken;
  taken << variance - result.covariance.xx, -result.covariance.xy, -result.covariance.xy,
      variance - result.covariance.yy;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(taken);
  const Eigen::Vector2d deviation(result.deviation.x, result.deviation.y);
  HoleTest test;
  test.hole = hole;
  Eigen::Vector2d shift = Eigen::Vector2d::Zero();
  for (int k = 0; k < 2; ++k) {
    if (!(eigen.eigenvalues()(k) > kSeen * variance)) continue;
    const double along = eigen.eigenvectors().col(k).dot(deviation);
    test.statistic += along * along / eigen.eigenvalues()(k);
    shift += variance * along / eigen.eigenvalues()(k) * eigen.eigenvectors().col(k);
    ++test.dof;
  }
  test.displacement = {shift(0), shift(1)};
  return test;
}

// (M117): its own place d with covariance C under sd W; without that, precision C^-1 - 1/W^2
HoleTest aside_of(const Adjustment& adjustment, Hole hole, int at) {
  constexpr double variance = kAnywhereMm * kAnywhereMm;
  const stats::BorderedInverse& inverse = adjustment.inverse();
  const std::vector<double>& solution = adjustment.factored().solution;
  Eigen::Matrix2d c;
  const double xy = inverse.at(at + 1, at).value();
  c << inverse.diagonal(at), xy, xy, inverse.diagonal(at + 1);
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(variance * c);
  const auto x = static_cast<std::size_t>(at);
  const Eigen::Vector2d own(kAnywhereMm * solution[x], kAnywhereMm * solution[x + 1]);
  HoleTest test;
  test.hole = hole;
  Eigen::Vector2d shift = Eigen::Vector2d::Zero();
  for (int k = 0; k < 2; ++k) {
    const double with = eigen.eigenvalues()(k);
    if (!(with < (1 - kSeen) * variance)) continue;
    const double alone = 1 / (1 / with - 1 / variance);
    const double along = alone / with * eigen.eigenvectors().col(k).dot(own);
    test.statistic += along * along / alone;
    shift += along * eigen.eigenvectors().col(k);
    ++test.dof;
  }
  test.displacement = {shift(0), shift(1)};
  return test;
}

std::vector<HoleTest> holes_of(const Adjustment& adjustment) {
  std::vector<HoleTest> all;
  for (const Hole& hole : adjustment.model().holes()) {
    const std::optional<int> own = adjustment.model().index_aside(hole);
    all.push_back(own ? aside_of(adjustment, hole, *own) : hole_of(adjustment, hole));
  }
  const auto seen = std::count_if(all.begin(), all.end(), [](const HoleTest& t) { return t.dof > 0; });
  for (HoleTest& test : all) {
    if (test.dof == 0) continue;
    // upper tail of chi-square on 2 or 1
    const double tail = test.dof == 2 ? std::exp(-0.5 * test.statistic)
                                      : 2 * stats::normal_probability(-std::sqrt(test.statistic));
    test.p = static_cast<double>(seen) * tail;  // cut to 1 once ranked
  }
  std::stable_sort(all.begin(), all.end(), [](const HoleTest& a, const HoleTest& b) { return a.p < b.p; });
  for (HoleTest& test : all) test.p = std::min(1.0, test.p);
  return all;
}

}  // namespace

std::optional<std::size_t> Snooping::bad_observation(double alpha) const {
  const auto worst = std::max_element(
      observations.begin(), observations.end(),
      [](const auto& a, const auto& b) { return std::fabs(a.w.value_or(0)) < std::fabs(b.w.value_or(0)); });
  if (worst == observations.end() || !(worst->p < alpha)) return std::nullopt;
  return worst->observation;
}

std::optional<Hole> Snooping::bad_hole(double alpha) const {
  if (holes.empty() || !(holes.front().p < alpha)) return std::nullopt;
  return holes.front().hole;
}

// (M117)
std::shared_ptr<const Adjustment> adjust(const station::Station& station,
                                         const std::vector<Observation>& observations,
                                         AdjustOptions options) {
  auto made = std::make_shared<const Adjustment>(station, observations, options);
  while (made->components().source == ScatterSource::fitted && options.set_aside.size() < kMostSetAside) {
    const std::vector<HoleTest> tests = holes_of(*made);
    const auto worst = std::find_if(tests.begin(), tests.end(), [&](const HoleTest& test) {
      return std::find(options.set_aside.begin(), options.set_aside.end(), test.hole) ==
             options.set_aside.end();
    });
    if (worst == tests.end() || !(worst->p < kNamed)) break;
    options.set_aside.push_back(worst->hole);
    made = std::make_shared<const Adjustment>(station, observations, options);
  }
  return made;
}

Snooping snoop(const Adjustment& adjustment) {
  Snooping out;
  out.observations = observations_of(adjustment);
  out.holes = holes_of(adjustment);
  for (const Exchange& exchange : exchanges(adjustment.observations())) {
    const Observation& first = adjustment.observations()[exchange.first];
    out.exchanges.push_back({exchange, adjustment.oversize_difference(first.dog_from, first.dog_to),
                             adjustment.oversize_difference(first.dog_via[0], first.dog_via[1])});
  }
  return out;
}

}  // namespace quarterturn::survey
