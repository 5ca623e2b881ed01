// SPDX-License-Identifier: MIT
// Against full matrices; published networks are in reference_networks_test.cpp.
#include "stats/network_adjustment.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <random>
#include <stdexcept>

#include "support/near.hpp"
#include "support/sparse_cases.hpp"

namespace {

using namespace quarterturn;
using stats::Entry;
using test::Dense;
using test::near;

constexpr int kColumns = 4, kRows = 3, kUnknowns = 2 * kColumns * kRows;

/// Straight-line observations `rows` of a grid's shifts, with noise of unequal size.
struct Linear {
  std::vector<test::Row> rows = test::grid_rows(kColumns, kRows, 0);
  stats::Network network;

  Linear() {
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal;
    for (int i = 0; i < kUnknowns; ++i) network.start.push_back(0.1 * normal(random));
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const double sigma = 0.02 + 0.001 * static_cast<double>(i % 7);
      network.observations.push_back({sigma * normal(random), sigma});
    }
    network.model = [all = rows](int i, std::span<const double> x, std::vector<Entry>& derivatives) {
      derivatives = all[static_cast<std::size_t>(i)];
      double sum = 0;
      for (const Entry& e : derivatives) sum += e.value * x[static_cast<std::size_t>(e.index)];
      return sum;
    };
  }
};

/// The same by full matrices: J whitened, priors appended, what is fixed left out.
struct Full {
  Dense j, inverse;
  std::vector<long double> misfit;  ///< whitened observed minus computed at start
  std::vector<long double> x;       ///< changes from start

  Full(const Linear& linear, bool pseudo)
      : j(linear.rows.size() + linear.network.priors.size(), kUnknowns), inverse(kUnknowns, kUnknowns) {
    const stats::Network& n = linear.network;
    std::vector<bool> fixed(kUnknowns);
    for (int i : n.fixed) fixed[static_cast<std::size_t>(i)] = true;
    for (std::size_t i = 0; i < linear.rows.size(); ++i) {
      long double seen = n.observations[i].value;
      for (const Entry& e : linear.rows[i]) {
        const auto at = static_cast<std::size_t>(e.index);
        seen -= static_cast<long double>(e.value) * n.start[at];
        if (!fixed[at]) j(i, at) += e.value / static_cast<long double>(n.observations[i].sigma);
      }
      misfit.push_back(seen / n.observations[i].sigma);
    }
    for (std::size_t i = 0; i < n.priors.size(); ++i) {
      const auto at = static_cast<std::size_t>(n.priors[i].parameter);
      j(linear.rows.size() + i, at) = 1 / static_cast<long double>(n.priors[i].sigma);
      misfit.push_back((static_cast<long double>(n.priors[i].value) - n.start[at]) / n.priors[i].sigma);
    }
    Dense normal = transposed(j) * j;
    for (std::size_t i = 0; i < kUnknowns; ++i)
      if (fixed[i]) normal(i, i) = 1;
    inverse = pseudo ? test::pseudo_inverse(normal) : test::gauss_jordan(normal).inverse;
    for (std::size_t i = 0; i < kUnknowns; ++i) {
      long double sum = 0;
      for (std::size_t o = 0; o < misfit.size(); ++o)
        for (std::size_t k = 0; k < kUnknowns; ++k) sum += inverse(i, k) * j(o, k) * misfit[o];
      x.push_back(sum);
      if (fixed[i]) inverse(i, i) = 0;
    }
  }
};

void compare_observations(const Full& full, const stats::NetworkAdjustment& found,
                          const stats::Network& network) {
  const Dense hat = full.j * full.inverse * transposed(full.j);
  long double squares = 0;
  REQUIRE(found.residuals.size() == full.misfit.size());
  for (std::size_t i = 0; i < full.misfit.size(); ++i) {
    CAPTURE(i);
    const std::size_t observations = network.observations.size();
    const double sigma =
        i < observations ? network.observations[i].sigma : network.priors[i - observations].sigma;
    long double v = full.misfit[i];
    for (std::size_t k = 0; k < kUnknowns; ++k) v -= full.j(i, k) * full.x[k];
    squares += v * v;
    const auto white = static_cast<double>(v), r = static_cast<double>(1 - hat(i, i));
    CHECK(near(found.residuals[i].residual, sigma * white, 1e-8, 1e-11));
    CHECK(near(found.residuals[i].redundancy, r, 1e-8, 1e-10));
    CHECK(near(found.residuals[i].w.value(), white / std::sqrt(r), 1e-7, 1e-8));
    CHECK(near(found.residuals[i].detectable.value(), 4.132 * sigma / std::sqrt(r), 1e-4, 0));
  }
  CHECK(near(found.weighted_squares, static_cast<double>(squares), 1e-9, 0));
  CHECK(near(found.sigma0 * found.sigma0 * found.dof, static_cast<double>(squares), 1e-9, 0));
}

void compare(const Linear& linear, const Full& full, const stats::NetworkAdjustment& found) {
  CHECK(found.converged);
  CHECK(found.undetermined.empty());
  const double factor = found.sigma0 * found.sigma0;
  for (int i = 0; i < kUnknowns; ++i) {
    const auto at = static_cast<std::size_t>(i);
    CHECK(
        near(found.parameters[at], linear.network.start[at] + static_cast<double>(full.x[at]), 1e-9, 1e-10));
    for (int k = 0; k < kUnknowns; ++k) {
      const auto to = static_cast<std::size_t>(k);
      const auto scale = static_cast<double>(std::sqrt(full.inverse(at, at) * full.inverse(to, to)));
      CHECK(near(found.covariance(i, k).value(), factor * static_cast<double>(full.inverse(at, to)), 0,
                 1e-9 * factor * scale + 1e-18));
    }
    CHECK(near(found.standard_deviation(i).value(), std::sqrt(found.covariance(i, i).value()), 1e-14, 0));
  }
  compare_observations(full, found, linear.network);
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("a network with fixed parameters is the full matrix's") {
    Linear linear;
    linear.network.fixed = {0, 1, 2 * kColumns - 1};
    const auto found = stats::adjust_network(linear.network);
    CHECK(found.dof == static_cast<int>(linear.rows.size()) - (kUnknowns - 3));
    for (int i : linear.network.fixed) {
      CHECK(found.parameters[static_cast<std::size_t>(i)] ==
            linear.network.start[static_cast<std::size_t>(i)]);
      CHECK(found.standard_deviation(i) == 0.0);
    }
    compare(linear, Full(linear, false), found);
  }

  TEST_CASE("a stochastic datum: parameters observed beforehand count as observations") {
    Linear linear;
    for (int i : {0, 1, 6, 7, 15}) linear.network.priors.push_back({i, 0.01 * i, 0.03 + 0.01 * i});
    const auto found = stats::adjust_network(linear.network);
    CHECK(found.dof == static_cast<int>(linear.rows.size()) + 5 - kUnknowns);
    compare(linear, Full(linear, false), found);
    stats::NetworkOptions as_given;
    as_given.a_posteriori = false;
    const auto given = stats::adjust_network(linear.network, as_given);
    CHECK(near(found.covariance(3, 3).value(), given.covariance(3, 3).value() * found.sigma0 * found.sigma0,
               1e-12, 0));
  }

  TEST_CASE("a free network under inner constraints has the pseudo-inverse for its covariance") {
    Linear linear;
    linear.network.datum = test::grid_moves(kColumns, kRows);
    const auto found = stats::adjust_network(linear.network);
    CHECK(found.dof == static_cast<int>(linear.rows.size()) - kUnknowns + 3);
    compare(linear, Full(linear, true), found);
  }

  TEST_CASE("without any datum the moves are named, and what they leave alone is told all the same") {
    Linear linear;
    const auto found = stats::adjust_network(linear.network);
    const Full full(linear, true);
    REQUIRE(found.undetermined.size() == 3);
    CHECK(found.dof == static_cast<int>(linear.rows.size()) - kUnknowns + 3);
    for (const auto& move : found.undetermined)
      for (const auto& row : linear.rows) {
        double felt = 0;
        for (const Entry& e : row) felt += e.value * move[static_cast<std::size_t>(e.index)];
        CHECK(near(felt, 0, 0, 1e-10));
      }
    CHECK_FALSE(found.standard_deviation(4).has_value());
    CHECK_FALSE(found.ellipse(4, 5).has_value());
    compare_observations(full, found, linear.network);
    // the distance of two far corners, which was not observed: determined, whatever the datum
    const auto across = test::grid_distance(kColumns, 0, 0, kColumns - 1, kRows - 1);
    const auto variance = found.covariance(across, across);
    long double expected = 0;
    for (const Entry& a : across)
      for (const Entry& b : across)
        expected += static_cast<long double>(a.value) * b.value *
                    full.inverse(static_cast<std::size_t>(a.index), static_cast<std::size_t>(b.index));
    CHECK(near(variance.value(), found.sigma0 * found.sigma0 * static_cast<double>(expected), 1e-9, 0));
  }

  TEST_CASE("an error of the detectable size moves w by the 4.13 of a test at 0.001 with power 0.80") {
    Linear linear;
    linear.network.fixed = {0, 1, 2 * kColumns - 1};
    const auto before = stats::adjust_network(linear.network);
    for (std::size_t i = 0; i < linear.rows.size(); i += 5) {
      stats::Network wrong = linear.network;
      wrong.observations[i].value += before.residuals[i].detectable.value();
      const auto after = stats::adjust_network(wrong);
      CHECK(near(after.residuals[i].w.value() - before.residuals[i].w.value(), 4.1321, 1e-4, 0));
    }
  }

  TEST_CASE("what nothing else checks has no w") {
    stats::Network network;
    network.start = {0, 0};
    network.fixed = {0};
    network.observations = {{2.0, 0.5}};
    network.model = [](int, std::span<const double> x, std::vector<Entry>& d) {
      d = {{1, 1.0}, {0, -1.0}};
      return x[1] - x[0];
    };
    const auto found = stats::adjust_network(network);
    CHECK(found.dof == 0);
    CHECK(near(found.parameters[1], 2, 1e-14, 0));
    CHECK(near(found.standard_deviation(1).value(), 0.5, 1e-14, 0));
    CHECK(near(found.residuals[0].redundancy, 0, 0, 1e-14));
    CHECK_FALSE(found.residuals[0].w.has_value());
    CHECK_FALSE(found.residuals[0].detectable.has_value());
    CHECK_FALSE(stats::largest_w(found.residuals).has_value());
  }

  TEST_CASE("ellipses of known shape") {
    // two independent looks at a point, along a bearing and across it
    for (double bearing : {0.0, 0.3, 1.2, std::numbers::pi / 2, 2.5}) {
      stats::Network network;
      network.start = {0, 0};
      network.observations = {{1.0, 0.2}, {1.0, 0.1}};
      network.model = [bearing](int i, std::span<const double> x, std::vector<Entry>& d) {
        const double along = bearing + i * std::numbers::pi / 2;
        d = {{0, std::sin(along)}, {1, std::cos(along)}};
        return x[0] * std::sin(along) + x[1] * std::cos(along);
      };
      const auto ellipse = stats::adjust_network(network).ellipse(0, 1).value();
      CHECK(near(ellipse.major, 0.2, 1e-12, 0));
      CHECK(near(ellipse.minor, 0.1, 1e-12, 0));
      CHECK(near(std::sin(ellipse.bearing - bearing), 0, 0, 1e-12));
    }
  }

  /// A point by distances from three known ones.
  struct Fix {
    stats::Network network;
    explicit Fix(double x, double y) {
      network.start = {x, y};
      network.observations = {{5.0, 0.01}, {std::sqrt(65.0), 0.01}, {std::sqrt(45.0), 0.01}};
      network.model = [](int i, std::span<const double> at, std::vector<Entry>& d) {
        const double from[3][2] = {{0, 0}, {10, 0}, {0, 10}};
        const double dx = at[0] - from[i][0], dy = at[1] - from[i][1], length = std::hypot(dx, dy);
        d = {{0, dx / length}, {1, dy / length}};
        return length;
      };
    }
  };

  TEST_CASE("a poor start is reached from as well; too few steps are said") {
    for (const auto& start : {std::pair{3.1, 4.1}, {9.0, 9.0}, {40.0, -30.0}, {0.1, 0.1}}) {
      const auto found = stats::adjust_network(Fix(start.first, start.second).network);
      CHECK(found.converged);
      CHECK(near(found.parameters[0], 3, 1e-9, 0));
      CHECK(near(found.parameters[1], 4, 1e-9, 0));
    }
    // arctan x = 0: beyond 1.39 a whole step lands farther out than it began
    stats::Network steep;
    steep.start = {3.0};
    steep.observations = {{0.0, 1.0}};
    steep.model = [](int, std::span<const double> x, std::vector<Entry>& d) {
      d = {{0, 1 / (1 + x[0] * x[0])}};
      return std::atan(x[0]);
    };
    const auto flat = stats::adjust_network(steep);
    CHECK(flat.converged);
    CHECK(near(flat.parameters[0], 0, 0, 1e-9));

    stats::NetworkOptions one;
    one.most_steps = 1;
    const auto stopped = stats::adjust_network(Fix(9, 9).network, one);
    CHECK_FALSE(stopped.converged);
    CHECK(stopped.steps == 1);
  }

  TEST_CASE("networks that cannot be are refused") {
    const auto refused = [](auto change) {
      stats::Network network = Fix(3, 4).network;
      change(network);
      CHECK_THROWS_AS(stats::adjust_network(network), std::domain_error);
    };
    const double endless = std::numeric_limits<double>::infinity();
    refused([](auto& n) { n.observations[1].sigma = 0; });
    refused([&](auto& n) { n.observations[1].value = endless; });
    refused([&](auto& n) { n.start[0] = endless; });
    refused([](auto& n) { n.fixed = {0, 1}; });
    refused([](auto& n) { n.fixed = {2}; });
    refused([](auto& n) { n.priors = {{-1, 0, 1}}; });
    refused([](auto& n) { n.priors = {{0, 0, -1}}; });
    refused([](auto& n) { n.datum = {{1.0}}; });
    refused([](auto& n) { n.datum = {{1.0, 2.0}, {2.0, 4.0}}; });
    refused([](auto& n) { n.start = {0, 0}; });  // on a known point: no derivative
  }

  TEST_CASE("what another observation checks by more than rounding is controlled") {
    // One unknown, two observations of it: the redundancy of the first is 1/(1 + s^2).
    const auto first = [](double s) {
      stats::Network network;
      network.start = {0};
      network.observations = {{0.5, 1}, {0, s}};
      network.model = [](int, std::span<const double> x, std::vector<Entry>& derivatives) {
        derivatives = {{0, 1.0}};
        return x[0];
      };
      return stats::adjust_network(network).residuals[0];
    };
    CHECK(near(first(8165).redundancy, 1.5e-8, 1e-3, 0));
    CHECK(first(8165).w.has_value());
    CHECK_FALSE(first(14142).w.has_value());  // 5e-9
  }
}
