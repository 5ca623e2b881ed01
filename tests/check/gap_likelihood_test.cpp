// SPDX-License-Identifier: MIT
/// The fit with boards' own tapers as nuisance columns, against the whole mixed model over all readings,
/// written down dense and naively from METHOD.md (M96): no corner counts, no tapers.
#include <doctest/doctest.h>

#include <Eigen/Dense>
#include <array>
#include <cmath>
#include <random>

#include "check/scatter.hpp"
#include "support/gap_checks.hpp"
#include "support/near.hpp"

using namespace quarterturn;
using test::near;

namespace {

constexpr double kSpan = 300;

/// Unequal places, unequal readings a place; boards numbered 1|2, 3|4, ….
check::Check uneven(int joints, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  test::GapDesign design;
  design.form = check::Form::halves;
  design.joints = joints;
  design.positions = {12, 140, 260, 410, 507};
  design.repeats = 4;
  design.board_taper = 1e-3;
  design.step = 0;
  check::Check check = design.check(random);
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    auto& spots = check.strips[j].spots;
    if (j % 2 == 1) spots.erase(spots.begin() + 2);
    if (j % 3 == 2) spots.pop_back();
    for (std::size_t p = 0; p < spots.size(); ++p) spots[p].readings.resize(1 + (j + 2 * p) % 4);
  }
  return check;
}

/// Every reading by itself: y = alpha_j - p (2 eta +- kappa_board [+ slip of one joint]) + place + reading,
/// and a seating of variance 6 (2 s^2 / span^2) common to all readings of a joint, times -p.
struct Dense {
  Eigen::MatrixXd x, v_reading, v_place, v_seating;
  Eigen::VectorXd y;

  Dense(const check::Check& check, int slipped_joint) {
    std::vector<std::array<double, 4>> rows;  // joint, place, position, gap
    int place = 0;
    for (std::size_t j = 0; j < check.strips.size(); ++j) {
      for (const auto& spot : check.strips[j].spots) {
        for (const auto& reading : spot.readings)
          rows.push_back({static_cast<double>(j), static_cast<double>(place), spot.position_mm, reading.mm});
        ++place;
      }
    }
    const auto n = static_cast<Eigen::Index>(rows.size());
    const auto joints = static_cast<Eigen::Index>(check.strips.size());
    const Eigen::Index boards = (joints + 1) / 2, slip = slipped_joint >= 0 ? 1 : 0;
    x = Eigen::MatrixXd::Zero(n, 1 + boards + slip + joints);
    v_reading = Eigen::MatrixXd::Identity(n, n);
    v_place = v_seating = Eigen::MatrixXd::Zero(n, n);
    y.resize(n);
    for (Eigen::Index i = 0; i < n; ++i) {
      const auto& row = rows[static_cast<std::size_t>(i)];
      const auto j = static_cast<Eigen::Index>(row[0]);
      y(i) = row[3];
      x(i, 0) = -2 * row[2];
      x(i, 1 + j / 2) = j % 2 == 0 ? -row[2] : row[2];
      if (slip > 0 && j == slipped_joint) x(i, 1 + boards) = -2 * row[2];
      x(i, 1 + boards + slip + j) = 1;
      for (Eigen::Index k = 0; k < n; ++k) {
        const auto& other = rows[static_cast<std::size_t>(k)];
        if (row[1] == other[1]) v_place(i, k) = 1;
        if (row[0] == other[0]) v_seating(i, k) = row[2] * other[2] * 6 * 2 / (kSpan * kSpan);
      }
    }
  }

  struct At {
    double minus_log = 0;
    Eigen::VectorXd beta;
    Eigen::MatrixXd covariance;
  };
  [[nodiscard]] At at(const std::array<double, 3>& theta) const {
    const Eigen::MatrixXd v = theta[0] * v_reading + theta[1] * v_place + theta[2] * v_seating;
    const Eigen::PartialPivLU<Eigen::MatrixXd> lu(v);
    // Columns of one size, or the determinant loses digits.
    const Eigen::VectorXd size = x.colwise().norm();
    const Eigen::MatrixXd unit = x * size.cwiseInverse().asDiagonal();
    const Eigen::MatrixXd xvx = unit.transpose() * lu.solve(unit);
    const Eigen::PartialPivLU<Eigen::MatrixXd> small(xvx);
    At out;
    const Eigen::VectorXd scaled = small.solve(unit.transpose() * lu.solve(y));
    out.beta = scaled.cwiseQuotient(size);
    out.covariance = size.cwiseInverse().asDiagonal() * small.inverse() * size.cwiseInverse().asDiagonal();
    const Eigen::VectorXd left = y - unit * scaled;
    double log_det = 0;
    for (Eigen::Index i = 0; i < v.rows(); ++i) log_det += std::log(std::fabs(lu.matrixLU()(i, i)));
    for (Eigen::Index i = 0; i < xvx.rows(); ++i) log_det += std::log(std::fabs(small.matrixLU()(i, i)));
    out.minus_log = 0.5 * (log_det + left.dot(lu.solve(left)));
    return out;
  }
};

constexpr std::array<std::array<double, 3>, 4> kThetas{
    {{2e-4, 3e-4, 4e-4}, {1e-4, 1e-6, 9e-4}, {5e-4, 1e-4, 1e-7}, {3e-4, 2e-5, 2e-3}}};

check::ScatterFit fitted(const check::Check& check) {
  check::FitOptions options;
  options.span_mm = kSpan;
  options.use_assumed = false;
  return check::fit_scatter(check, check::corners_of(check), {}, {}, options);
}

/// At several variances: the estimate in `split_column` of the split form and in `full_column` of the dense
/// one, its variance, and what the likelihood differs by.
void same(const check::StripLikelihood& likelihood, const Dense& dense, int split_column, int full_column) {
  double constant = 0;
  bool first = true;
  for (const auto& theta : kThetas) {
    stats::RemlPoint split;
    likelihood.evaluate(theta, split);
    const auto full = dense.at(theta);
    if (first) constant = full.minus_log - split.minus_log;
    first = false;
    CHECK(near(full.minus_log - split.minus_log, constant, 0, 1e-9 * std::fabs(full.minus_log)));
    const check::TaperFit tapers = likelihood.tapers(theta, split_column);
    const auto k = static_cast<std::size_t>(split_column);
    const std::size_t columns = tapers.beta.size();
    CHECK(near(tapers.beta[k], full.beta(full_column), 1e-9, 1e-13));
    CHECK(near(tapers.covariance[k * columns + k], full.covariance(full_column, full_column), 1e-9, 0));
    // and as the weighted sum that intervals are built on
    double sum = 0;
    for (std::size_t j = 0; j < tapers.weights.size(); ++j) sum += tapers.weights[j] * tapers.taper[j];
    CHECK(near(sum, full.beta(full_column), 1e-9, 1e-13));
  }
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("boards' own tapers as columns: estimate, variance and likelihood of the whole dense model") {
    for (const int joints : {4, 6, 7, 10}) {
      CAPTURE(joints);
      const check::Check check = uneven(joints, 17);
      const auto fit = fitted(check);
      const Dense dense(check, -1);
      same(*fit.likelihood, dense, 0, 0);
      same(*fit.likelihood, dense, 1, 1);  // the first board's taper
    }
  }

  TEST_CASE("the variances found are a minimum of the dense form too") {
    const check::Check check = uneven(8, 5);
    const auto fit = fitted(check);
    const Dense dense(check, -1);
    for (const double theta : fit.theta) REQUIRE(theta > 0);  // else it is at its bound
    const double least = dense.at(fit.theta).minus_log;
    for (std::size_t k = 0; k < 3; ++k) {
      for (const double factor : {0.98, 1.02}) {
        auto beside = fit.theta;
        beside[k] *= factor;
        CHECK(dense.at(beside).minus_log > least);
      }
    }
  }

  TEST_CASE("one further column beside the boards: a joint that slipped, refitted") {
    const check::Check check = uneven(8, 23);
    const check::Corners corners = check::corners_of(check);
    const auto base = fitted(check);
    for (const int joint : {0, 3, 7}) {
      CAPTURE(joint);
      std::vector<double> column;  // its cut, which counts twice
      for (int j = 0; j < corners.strips; ++j) column.push_back(corners.at(j, 3 * joint));
      const auto refit = check::refit_with(base, column);
      const Dense dense(check, joint);
      const int last = 1 + corners.boards;
      same(*refit.likelihood, dense, last, last);
      same(*refit.likelihood, dense, 0, 0);
    }
  }

  TEST_CASE("seating of today's joints about their boards is held against so many contrasts as are left") {
    const check::Check check = uneven(8, 41);
    const auto fit = fitted(check);
    const auto scatter = fit.likelihood->taper_scatter(kThetas[0]);
    REQUIRE(scatter);
    CHECK(scatter->contrasts == 8 - 1 - 4);
    // Its expectation is 1 where the variances are the true ones: the gradient by theta, times theta, sums
    // to 1 but for what is fixed.
    double sum = 0;
    for (std::size_t k = 0; k < 3; ++k) sum += scatter->gradient[k] * kThetas[0][k];
    CHECK(near(sum, 1, 1e-9, 0));
  }
}
