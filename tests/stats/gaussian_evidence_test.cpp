// SPDX-License-Identifier: MIT
#include "stats/gaussian_evidence.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "support/near.hpp"

namespace {

using quarterturn::stats::GaussianEvidence;
using quarterturn::stats::GaussianModel;
using quarterturn::test::near;

double log_normal(double y, double mean, double variance) {
  return -0.5 * (std::log(2 * std::numbers::pi * variance) + (y - mean) * (y - mean) / variance);
}

/// Five values with three columns, numbers of no meaning.
GaussianModel five() {
  return {{0.3, -1.1, 0.7, 2.0, -0.4},
          {0.5, 1.0, 0.25, 2.0, 0.8},
          {{1, 1, 1, 1, 1}, {0, 0, 1, 1, 1}, {1, -2, 0.5, 0, 3}},
          {0.9, 1.7, 0.2}};
}

/// Density of independent values given the coefficients, integrated over each of them by the trapezoid rule
/// on +-9 standard deviations: for a normal density of standard deviation w in steps h its error is about
/// exp(-2 pi^2 w^2/h^2), below 1e-12 here.
double by_quadrature(const GaussianModel& model, std::vector<double> means, std::size_t k = 0) {
  if (k == model.columns.size()) {
    double log_p = 0;
    for (std::size_t i = 0; i < model.y.size(); ++i) log_p += log_normal(model.y[i], means[i], model.v[i]);
    return std::exp(log_p);
  }
  constexpr int kPieces = 120;
  const double s = model.sd[k], step = 18 * s / kPieces;
  double sum = 0;
  for (int j = 0; j <= kPieces; ++j) {
    const double beta = -9 * s + j * step;
    auto at = means;
    for (std::size_t i = 0; i < at.size(); ++i) at[i] += beta * model.columns[k][i];
    sum += std::exp(log_normal(beta, 0, s * s)) * by_quadrature(model, at, k + 1);
  }
  return sum * step;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("gaussian evidence: one value, and one value with one column") {
    CHECK(near(GaussianEvidence({{0.7}, {0.4}, {}, {}}).log_density(), log_normal(0.7, 0, 0.4), 1e-14, 0));
    // y = x b + e: variance v + s^2 x^2
    CHECK(near(GaussianEvidence({{0.7}, {0.4}, {{-3}}, {0.5}}).log_density(),
               log_normal(0.7, 0, 0.4 + 0.25 * 9), 1e-14, 0));
    CHECK(near(GaussianEvidence({{0.7}, {0.4}, {}, {}}).with(std::vector<double>{-3}, 0.2, 0.5).log_density,
               log_normal(0.7, -3 * 0.2, 0.4 + 0.25 * 9), 1e-14, 0));
  }

  TEST_CASE("gaussian evidence: two values are the bivariate normal density, written out") {
    // f = exp(-z/(2(1 - r^2)))/(2 pi s1 s2 sqrt(1 - r^2)), z = a^2 - 2 r a b + b^2 in standard units;
    // [NIST-HB] 6.5.4.2 for two variables
    const double v1 = 0.4, v2 = 0.9, x1 = 1.5, x2 = -0.5, s = 0.8, y1 = 0.3, y2 = -1.2;
    const double s1 = std::sqrt(v1 + s * s * x1 * x1), s2 = std::sqrt(v2 + s * s * x2 * x2);
    const double r = s * s * x1 * x2 / (s1 * s2), a = y1 / s1, b = y2 / s2;
    const double log_f = -(a * a - 2 * r * a * b + b * b) / (2 * (1 - r * r)) -
                         std::log(2 * std::numbers::pi * s1 * s2 * std::sqrt(1 - r * r));
    CHECK(near(GaussianEvidence({{y1, y2}, {v1, v2}, {{x1, x2}}, {s}}).log_density(), log_f, 1e-13, 0));
  }

  TEST_CASE("gaussian evidence: the density is the integral over the coefficients") {
    GaussianModel model = five();
    CHECK(near(GaussianEvidence(model).log_density(),
               std::log(by_quadrature(model, std::vector<double>(5, 0.0))), 0, 1e-10));
    model.columns.pop_back();
    model.sd.pop_back();
    CHECK(near(GaussianEvidence(model).log_density(),
               std::log(by_quadrature(model, std::vector<double>(5, 0.0))), 0, 1e-10));
  }

  TEST_CASE("gaussian evidence: one column more is the model built anew") {
    const GaussianModel model = five();
    const std::vector<double> x{0.5, 0, -1, 2, 1};
    const double mean = 0.7, sd = 1.3;
    GaussianModel anew = model;
    anew.columns.push_back(x);
    anew.sd.push_back(sd);
    for (std::size_t i = 0; i < x.size(); ++i) anew.y[i] -= mean * x[i];
    const auto added = GaussianEvidence(model).with(x, mean, sd);
    CHECK(near(added.log_density, GaussianEvidence(anew).log_density(), 1e-13, 0));
    // A column of nothing adds nothing, and leaves its coefficient as it was.
    const auto nothing = GaussianEvidence(model).with(std::vector<double>(5, 0.0), mean, sd);
    CHECK(near(nothing.log_density, GaussianEvidence(model).log_density(), 1e-15, 0));
    CHECK(near(nothing.size, mean, 1e-15, 0));
    CHECK(near(nothing.size_u, sd, 1e-15, 0));
  }

  TEST_CASE("gaussian evidence: the coefficient given the values is the conjugate normal one") {
    // Known variances, prior N(mean, sd^2): precision 1/sd^2 + sum x^2/v, mean weighted by precisions:
    // [GELMAN] 2.5 for x = 1, 14.2 for any x; from memory.
    const std::vector<double> y{1.2, 0.8, 1.9}, v{0.5, 0.2, 1.5};
    const double mean = 0.3, sd = 0.6;
    for (const auto& x : {std::vector<double>{1, 1, 1}, std::vector<double>{1, -2, 0.5}}) {
      double precision = 1 / (sd * sd), weighted = mean / (sd * sd);
      for (std::size_t i = 0; i < y.size(); ++i) {
        precision += x[i] * x[i] / v[i];
        weighted += x[i] * y[i] / v[i];
      }
      const auto added = GaussianEvidence({y, v, {}, {}}).with(x, mean, sd);
      CHECK(near(added.size, weighted / precision, 1e-13, 0));
      CHECK(near(added.size_u, 1 / std::sqrt(precision), 1e-13, 0));
    }
  }

  TEST_CASE("gaussian evidence: what is refused") {
    CHECK_THROWS_AS(GaussianEvidence({{1, 2}, {1}, {}, {}}), std::domain_error);
    CHECK_THROWS_AS(GaussianEvidence({{1}, {0}, {}, {}}), std::domain_error);
    CHECK_THROWS_AS(GaussianEvidence({{1}, {1}, {{1, 2}}, {1}}), std::domain_error);
    CHECK_THROWS_AS(GaussianEvidence({{1}, {1}, {{1}}, {}}), std::domain_error);
    const GaussianEvidence one({{1}, {1}, {}, {}});
    CHECK_THROWS_AS(static_cast<void>(one.with(std::vector<double>{1, 2}, 0, 1)), std::domain_error);
  }
}
