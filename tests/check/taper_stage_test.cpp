// SPDX-License-Identifier: MIT
// The tapers' stage against a general-purpose library's dense algebra (Eigen).
#include "check/taper_stage.hpp"

#include <doctest/doctest.h>

#include <Eigen/Dense>
#include <random>
#include <vector>

#include "support/near.hpp"

using namespace quarterturn;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using test::near;

namespace {

/// A stage with random numbers in it; seating matrices of rank `corners`, as strips that share corners have.
struct Case {
  std::vector<double> taper, variance, seating, x;
  double theta = 0.7;
  MatrixXd v, regressors, k;
  VectorXd y;

  Case(Index n, Index p, std::mt19937_64& random) {
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> uniform(0.5, 2.0);
    MatrixXd t(n, n + 2);
    for (Index i = 0; i < n; ++i)
      for (Index j = 0; j < n + 2; ++j) t(i, j) = normal(random) > 0.3 ? 1.0 : 0.0;
    k = t * t.transpose();
    v = theta * k;
    y.resize(n);
    regressors.resize(n, p);
    for (Index i = 0; i < n; ++i) {
      variance.push_back(uniform(random));
      v(i, i) += variance.back();
      taper.push_back(y(i) = normal(random));
      for (Index r = 0; r < p; ++r) x.push_back(regressors(i, r) = r == 0 ? 4.0 : normal(random));
    }
    seating.assign(k.data(), k.data() + n * n);
  }
};

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("the tapers' stage is that of dense algebra, from two strips to twenty") {
    std::mt19937_64 random(5);
    for (Index n = 2; n <= 20; ++n) {
      for (Index p = 1; p < std::min<Index>(n, 4); ++p) {
        CAPTURE(n);
        CAPTURE(p);
        const Case c(n, p, random);
        check::TaperStage stage(c.taper, c.variance, c.seating, c.theta, c.x, static_cast<std::size_t>(p));
        REQUIRE(stage.ok());
        const MatrixXd inverse = c.v.inverse(),
                       covariance = (c.regressors.transpose() * inverse * c.regressors).inverse();
        const MatrixXd a = covariance * c.regressors.transpose() * inverse;
        const MatrixXd p3 = inverse - inverse * c.regressors * a, pk = p3 * c.k, pkp = pk * p3;
        const VectorXd u = p3 * c.y, beta = a * c.y;
        CHECK(near(stage.log_det(), std::log(c.v.determinant()) - std::log(covariance.determinant()), 1e-11,
                   1e-11));
        CHECK(near(stage.quadratic(), c.y.dot(u), 1e-11, 1e-12));
        const auto derivatives = stage.seating();
        CHECK(near(derivatives.trace, pk.trace(), 1e-11, 1e-12));
        CHECK(near(derivatives.square, (pk * pk).trace(), 1e-11, 1e-12));
        CHECK(near(derivatives.quadratic, u.dot(c.k * u), 1e-11, 1e-12));
        for (Index i = 0; i < n; ++i) {
          const auto row = static_cast<std::size_t>(i);
          CHECK(near(stage.u(row), u(i), 1e-11, 1e-12));
          CHECK(near(derivatives.pkp[row], pkp(i, i), 1e-11, 1e-12));
          for (Index j = 0; j < n; ++j)
            CHECK(near(stage.p3(row, static_cast<std::size_t>(j)), p3(i, j), 1e-11, 1e-12));
        }
        for (Index r = 0; r < p; ++r) {
          CHECK(near(stage.beta()[static_cast<std::size_t>(r)], beta(r), 1e-11, 1e-12));
          const auto weights = stage.weights(static_cast<std::size_t>(r));
          for (Index i = 0; i < n; ++i)
            CHECK(near(weights[static_cast<std::size_t>(i)], a(r, i), 1e-11, 1e-12));
          for (Index q = 0; q < p; ++q)
            CHECK(near(stage.covariance()[static_cast<std::size_t>(r * p + q)], covariance(r, q), 1e-11,
                       1e-12));
        }
      }
    }
  }

  TEST_CASE("a singular stage says so") {
    const std::vector<double> taper{1e-4, 2e-4}, none{0, 0}, one{1, 1, 1, 1}, x{4, 4};
    CHECK_FALSE(check::TaperStage(taper, none, one, 1e-4, x, 1).ok());  // V of rank one
    const std::vector<double> some{1e-9, 1e-9}, nothing{0, 0};
    CHECK_FALSE(check::TaperStage(taper, some, one, 1e-4, nothing, 1).ok());  // a regressor of zeros
    CHECK(check::TaperStage(taper, some, one, 1e-4, x, 1).ok());
  }
}
