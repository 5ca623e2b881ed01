// SPDX-License-Identifier: MIT
// One strip's sums against the projection written out in a general-purpose library's dense algebra (Eigen,
// long double).
#include "check/strip_line.hpp"

#include <doctest/doctest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

#include "support/near.hpp"

using namespace quarterturn;
using test::near;

namespace {

using Matrix = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
using Vector = Eigen::Matrix<long double, Eigen::Dynamic, 1>;
using Eigen::Index;

/// \param most  a spot is read between once and so often; 1: all alike
check::StripData strip_of(std::size_t spots, int most, std::mt19937_64& random) {
  std::uniform_real_distribution<double> uniform(0, 1);
  check::StripData strip;
  for (std::size_t i = 0; i < spots; ++i) {
    strip.position.push_back(100.0 * static_cast<double>(i) + 30 * uniform(random));
    strip.width.push_back(22 + 0.1 * uniform(random));
    strip.reading_share.push_back(1.0 / (1 + std::floor(most * uniform(random))));
    strip.fixed.push_back(1e-6);
  }
  if (most > 1) strip.reading_share.back() = 1.0 / most;
  return strip;
}

void hold(const check::StripData& strip, const double (&theta)[3], double relative) {
  const auto n = static_cast<Index>(strip.position.size());
  Matrix w = Matrix::Zero(n, n), x(n, 2), v[2] = {Matrix::Zero(n, n), Matrix::Identity(n, n)};
  Vector y(n);
  long double log_d = 0;
  for (Index i = 0; i < n; ++i) {
    const auto k = static_cast<std::size_t>(i);
    const long double variance = static_cast<long double>(theta[1]) +
                                 static_cast<long double>(strip.reading_share[k]) * theta[0] + strip.fixed[k];
    w(i, i) = 1 / variance;
    log_d += std::log(variance);
    v[0](i, i) = strip.reading_share[k];
    x(i, 0) = 1;
    x(i, 1) = strip.position[k] - strip.position[0];
    y(i) = strip.width[k] - strip.width[0];
  }
  const Matrix xwx = x.transpose() * w * x, hat = xwx.inverse() * x.transpose() * w, p = w - w * x * hat;
  const Vector a = -hat.row(1).transpose(), py = p * y;
  check::LastLog logs;
  const auto line = check::line_at(strip, check::line_moments(strip), theta, logs);
  const auto same = [&](double ours, long double dense, long double size) {
    CHECK(near(ours, static_cast<double>(dense), relative, relative * static_cast<double>(size)));
  };
  same(line.taper, a.dot(y), 0);
  same(line.variance, xwx.inverse()(1, 1), 0);
  same(line.log_det, log_d + std::log(xwx.determinant()), 1);
  same(line.residual_ss, y.dot(py), 1e-3L);
  std::size_t at = 0;
  for (int i = 0; i < 2; ++i) {
    same(line.slope[i], a.dot(v[i] * a), 0);
    same(line.trace[i], (p * v[i]).trace(), 0);
    same(line.residual[i], py.dot(v[i] * py), 1e-3L * w.trace());
    same(line.cross[i], a.dot(v[i] * py), 1e-3L);
    for (int j = i; j < 2; ++j, ++at) {
      same(line.pp[at], (p * v[i] * p * v[j]).trace(), 0);
      same(line.apa[at], a.dot(v[i] * p * v[j] * a), 1e-3L * a.squaredNorm() * w.trace());
    }
  }
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("a strip's sums are those of its projection, spots read alike or not") {
    std::mt19937_64 random(23);
    for (std::size_t spots = 3; spots <= 20; ++spots) {
      for (const int most : {1, 4}) {
        CAPTURE(spots);
        CAPTURE(most);
        hold(strip_of(spots, most, random), {2e-4, 1e-4, 1e-4}, 1e-11);
        hold(strip_of(spots, most, random), {2e-4, 0, 1e-4}, 1e-11);
      }
    }
  }

  TEST_CASE("three spots keep their digits when one is read two hundred times") {
    std::mt19937_64 random(29);
    for (int trial = 0; trial < 20; ++trial) hold(strip_of(3, 200, random), {2e-4, 0, 1e-4}, 1e-11);
  }

  TEST_CASE("two spots leave no residual, whatever their readings") {
    std::mt19937_64 random(31);
    for (const int most : {1, 5}) {
      const check::StripData strip = strip_of(2, most, random);
      const double theta[3] = {2e-4, 1e-5, 1e-4};
      check::LastLog logs;
      const auto line = check::line_at(strip, check::line_moments(strip), theta, logs);
      CHECK(line.residual_ss == 0);
      for (const double value :
           {line.trace[0], line.trace[1], line.residual[0], line.residual[1], line.cross[0], line.cross[1],
            line.pp[0], line.pp[1], line.pp[2], line.apa[0], line.apa[2]})
        CHECK(value == 0);
      const double length = strip.position[1] - strip.position[0];
      CHECK(near(line.taper, (strip.width[0] - strip.width[1]) / length, 1e-13, 0));
    }
  }
}
