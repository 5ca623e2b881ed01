// SPDX-License-Identifier: MIT
// What fitting the scatter adds to a variance, by the weights of full matrices; random terms found and left.
#include <doctest/doctest.h>

#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "survey/adjust.hpp"
#include "survey/dense_survey.hpp"
#include "survey/survey_bench.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Taken;
using survey::Term;

namespace {

using List = std::vector<Observation>;

List diagonals(const station::Station& station, std::size_t count, std::mt19937_64& random) {
  List all;
  add_neighbours(all, station.grid, Taken::centre);
  for (int k = 1; k <= 3; ++k) add_diagonals(all, station.grid, k, k, Taken::centre);
  return some_of(all, count, random);
}

/// Weights of a predictor: what it makes of one observation a millimetre out, all others nominal.
Eigen::VectorXd weights(const station::Station& station, const List& list, const DenseRow& g, double hole,
                        double shift) {
  List nominal = list;
  for (Observation& o : nominal) o.value = survey::nominal_value(station, o);
  Eigen::VectorXd out(static_cast<Eigen::Index>(list.size()));
  for (std::size_t i = 0; i < list.size(); ++i) {
    List one = nominal;
    one[i].value += 1;
    out(static_cast<Eigen::Index>(i)) = DenseSurvey(station, one).estimate(g, hole, shift).x;
  }
  return out;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("how weights change with the variances is that of full matrices, and is counted twice") {
    std::mt19937_64 random(41);
    const station::Station station = survey_table(4, 4);
    List list = diagonals(station, 30, random);
    Truth truth;
    truth.row_shift = 0.2;
    read_all(list, station, draw(station.grid, truth, random), random);
    survey::AdjustOptions options;
    options.rows = {Term::row_shift};
    options.look_for_rows = options.second_order = false;
    const survey::Adjustment fitted(station, list, options);
    const double hole = fitted.components().theta[0], shift = fitted.components().theta[1];
    REQUIRE(shift > 1e-3);
    const survey::Lines lines = survey::lines_of_holes({2, 1}, {2, 4}, {1, 3}, {4, 3});
    const DenseSurvey dense(station, list);
    DenseRow g = dense.none();
    for (const auto& [at, v] : survey::eps_of(station, lines).holes) {
      g.holes(dense.at(at)) += v.x;
      g.holes(dense.at(at) + 1) += v.y;
    }
    const double h = 1e-3;
    Eigen::MatrixXd by(static_cast<Eigen::Index>(list.size()), 2);
    by.col(0) = (weights(station, list, g, hole * (1 + h), shift) -
                 weights(station, list, g, hole * (1 - h), shift)) /
                (2 * h * hole);
    by.col(1) = (weights(station, list, g, hole, shift * (1 + h)) -
                 weights(station, list, g, hole, shift * (1 - h))) /
                (2 * h * shift);
    const Eigen::MatrixXd v = dense.design() * dense.prior(hole, shift, 0) * dense.design().transpose() +
                              kDistanceU * kDistanceU * Eigen::MatrixXd::Identity(by.rows(), by.rows());
    const Eigen::Matrix2d weight = by.transpose() * v * by;
    // expected information 1/2 tr(P V_a P V_b)
    const Eigen::MatrixXd x = dense.design() * dense.effects(), inverse = inverse_of(v);
    const Eigen::MatrixXd p =
        inverse - inverse * x * inverse_of(x.transpose() * inverse * x) * x.transpose() * inverse;
    const Eigen::MatrixXd v0 = dense.design() * dense.design().transpose();
    const Eigen::MatrixXd v1 = dense.design() * dense.prior(0, 1, 0) * dense.design().transpose();
    Eigen::Matrix2d information;
    information << (p * v0 * p * v0).trace(), (p * v0 * p * v1).trace(), (p * v1 * p * v0).trace(),
        (p * v1 * p * v1).trace();
    information *= 0.5;
    for (std::size_t k = 0; k < 4; ++k) {
      CHECK(near(fitted.components().information[k],
                 information(static_cast<Eigen::Index>(k / 2), static_cast<Eigen::Index>(k % 2)), 1e-4, 0));
    }
    const Eigen::Matrix2d theta_covariance = inverse_of(information);
    const double added = 2 * (theta_covariance * weight).trace();
    const double known = dense.estimate(g, hole, shift).u;
    const auto eps = std::get<check::Estimate>(fitted.eps(lines));
    CHECK(near(eps.u * eps.u - known * known, added, 1e-3, 0));
    CHECK(added > 1e-3 * known * known);
    // Satterthwaite with the known variance's change by each theta
    const auto variance = [&](double a, double b) {
      const double u = dense.estimate(g, a, b).u;
      return u * u;
    };
    const Eigen::Vector2d change(
        (variance(hole * (1 + h), shift) - variance(hole * (1 - h), shift)) / (2 * h * hole),
        (variance(hole, shift * (1 + h)) - variance(hole, shift * (1 - h))) / (2 * h * shift));
    CHECK(near(eps.dof, 2 * known * known * known * known / change.dot(theta_covariance * change), 1e-3, 0));
    CHECK(near(eps.half_width, stats::t_quantile(0.975, eps.dof) * eps.u, 1e-12, 0));
  }

  TEST_CASE("row terms are found where they are, and say by how much they show") {
    std::mt19937_64 random(42);
    const station::Station station = survey_table(7, 8);
    List list = diagonals(station, 160, random);
    Truth truth;
    truth.row_tilt_mm = 0.4;
    read_all(list, station, draw(station.grid, truth, random), random);
    const survey::Components found = survey::fit_components(station, list, {});
    REQUIRE_FALSE(found.tests.empty());
    CHECK(found.tests.front().term == Term::row_tilt);
    CHECK(found.tests.front().taken);
    CHECK(near(found.tests.front().p, 0.5 * (1 - stats::chi2_probability(found.tests.front().ratio, 1)),
               1e-12, 0));
    REQUIRE(found.model->terms().size() >= 2);
    CHECK(found.model->terms()[1] == Term::row_tilt);
    CHECK(near(std::sqrt(found.theta[1]), 0.4, 0.6, 0));
    // turned about: columns in place of rows
    List turned = list;
    const station::Station other = survey_table(8, 7);
    for (Observation& o : turned) {
      std::swap(o.from.column, o.from.row);
      std::swap(o.to.column, o.to.row);
    }
    const survey::Components columns = survey::fit_components(other, turned, {});
    CHECK(columns.model->terms()[1] == Term::column_tilt);
    CHECK(near(columns.theta[1], found.theta[1], 1e-6, 0));
    CHECK(near(columns.theta[0], found.theta[0], 1e-6, 0));
  }

  TEST_CASE("given sd of row terms are one a term") {
    survey::AdjustOptions options;
    options.rows = {Term::row_shift, Term::row_tilt};
    options.row_sd_mm = {0.1};
    CHECK_THROWS_AS(survey::fit_components(survey_table(3, 3), List{length_of({1, 1}, {2, 1})}, options),
                    units::InputError);
  }
}
