// SPDX-License-Identifier: MIT
// Restricted maximum likelihood against published mixed models (data/reference/mixed, sources in SOURCE.md
// there) and the closed forms of balanced designs.
#include "stats/reml.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <string>

#include "stats/least_squares.hpp"
#include "support/csv_table.hpp"
#include "support/near.hpp"
#include "support/reference_json.hpp"

namespace {

using namespace quarterturn;
using test::CsvTable;
using test::near;

const char* const kModels = "mixed/mixed_models.json";

double model_number(const std::string& pointer) {
  return test::reference_number(kModels, pointer);
}

/// V_0 = I, then one block matrix for each grouping: 1 where two values share the label.
stats::DenseModel grouped(std::vector<double> y, std::vector<double> x, int p,
                          const std::vector<std::vector<std::string>>& groupings) {
  const std::size_t n = y.size();
  stats::DenseModel model{static_cast<int>(n), p, std::move(y), std::move(x), {}};
  model.v.assign(1 + groupings.size(), std::vector<double>(n * n, 0.0));
  for (std::size_t i = 0; i < n; ++i) {
    model.v[0][i * n + i] = 1;
    for (std::size_t g = 0; g < groupings.size(); ++g)
      for (std::size_t j = 0; j < n; ++j)
        model.v[g + 1][i * n + j] = groupings[g][i] == groupings[g][j] ? 1 : 0;
  }
  return model;
}

stats::DenseModel intercept_only(const CsvTable& data, const std::string& y,
                                 const std::vector<std::string>& groups) {
  const auto values = data.numbers(y);
  std::vector<std::vector<std::string>> labels;
  for (const auto& group : groups) labels.push_back(data.texts(group));
  return grouped({values.begin(), values.end()}, std::vector<double>(values.size(), 1.0), 1, labels);
}

stats::RemlFit maximise(const stats::DenseModel& model, double start) {
  const std::vector<double> all(model.v.size(), start);
  return stats::maximise_reml(
      [&](std::span<const double> theta, stats::RemlPoint& out) { model.evaluate(theta, out); }, all);
}

/// -2 log restricted likelihood with the constant (n - p) ln 2 pi, as programs print it for X of full rank.
double criterion(const stats::DenseModel& model, const stats::RemlFit& fit) {
  return 2 * fit.at.minus_log + (model.n - model.p) * std::log(2 * std::numbers::pi);
}

const double kOne[] = {1};

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("Dyestuff: variances, criterion, standard error, degrees of freedom") {
    const CsvTable data("data/reference/mixed/dyestuff.csv");
    const auto model = intercept_only(data, "Yield", {"Batch"});
    const auto fit = maximise(model, 1000);
    REQUIRE(fit.converged);
    // balanced: (MSB - MSW)/5 and MSW
    CHECK(near(fit.theta[1], model_number("/sets/0/recomputed/reml/sigma2_group"), 1e-10, 0));
    CHECK(near(fit.theta[0], model_number("/sets/0/recomputed/reml/sigma2_residual"), 1e-10, 0));
    CHECK(near(criterion(model, fit), model_number("/sets/0/recomputed/reml/minus2_reml_loglik"), 1e-12, 0));
    CHECK(near(criterion(model, fit), model_number("/sets/0/published/reml/reml_criterion"), 0, 0.00005));
    const auto gls = stats::generalised_least_squares(model, fit.theta);
    CHECK(near(gls.beta[0], 1527.5, 1e-12, 0));
    CHECK(near(std::sqrt(gls.covariance[0]), 19.383412152318968, 1e-10, 0));
    CHECK(near(std::sqrt(gls.covariance[0]), model_number("/sets/0/published/reml/se"), 0, 0.005));
    CHECK(near(stats::satterthwaite_dof(model, fit.theta, kOne),
               model_number("/sets/0/recomputed/satterthwaite_and_kenward_roger_df_intercept"), 1e-9, 0));
  }

  TEST_CASE("Dyestuff2: the batch variance is at zero") {
    const auto model = intercept_only(CsvTable("data/reference/mixed/dyestuff2.csv"), "Yield", {"Batch"});
    const auto fit = maximise(model, 5);
    REQUIRE(fit.converged);
    CHECK(fit.theta[1] == 0.0);
    CHECK(fit.at.gradient[1] > 0);  // the likelihood would rather go below zero
    CHECK(near(fit.theta[0], model_number("/sets/1/recomputed/reml/sigma2_residual"), 1e-11, 0));
    CHECK(near(criterion(model, fit), model_number("/sets/1/recomputed/reml/reml_criterion"), 1e-12, 0));
    CHECK(near(criterion(model, fit), model_number("/sets/1/published/reml/reml_criterion"), 0, 0.00005));
    const auto gls = stats::generalised_least_squares(model, fit.theta);
    CHECK(near(std::sqrt(gls.covariance[0]), model_number("/sets/1/recomputed/reml/se"), 1e-11, 0));
  }

  TEST_CASE("Penicillin: two crossed groupings") {
    const auto model =
        intercept_only(CsvTable("data/reference/mixed/penicillin.csv"), "diameter", {"plate", "sample"});
    const auto fit = maximise(model, 1);
    REQUIRE(fit.converged);
    // the reference figures come from a program's default stopping rule: 6 digits
    CHECK(near(fit.theta[1], model_number("/sets/2/recomputed/reml/sigma2_plate"), 2e-6, 0));
    CHECK(near(fit.theta[2], model_number("/sets/2/recomputed/reml/sigma2_sample"), 2e-6, 0));
    CHECK(near(fit.theta[0], model_number("/sets/2/recomputed/reml/sigma2_residual"), 2e-6, 0));
    CHECK(near(criterion(model, fit), model_number("/sets/2/recomputed/reml/reml_criterion"), 1e-9, 0));
    CHECK(near(criterion(model, fit), model_number("/sets/2/published/reml/reml_criterion"), 0, 0.00005));
    const auto gls = stats::generalised_least_squares(model, fit.theta);
    CHECK(near(gls.beta[0], model_number("/sets/2/recomputed/reml/intercept"), 1e-11, 0));
    CHECK(near(std::sqrt(gls.covariance[0]), model_number("/sets/2/recomputed/reml/se"), 1e-6, 0));
    // balanced two-way layout without interaction: plates, samples and residual from the mean squares
    CHECK(std::fabs(fit.at.gradient[0]) < 1e-6);
    CHECK(std::fabs(fit.at.gradient[1]) < 1e-6);
    CHECK(std::fabs(fit.at.gradient[2]) < 1e-6);
  }

  TEST_CASE("Split plot: block and whole-plot variance, degrees of freedom of contrasts") {
    const CsvTable data("data/reference/mixed/splitplot_stroup.csv");
    const auto y = data.numbers("y");
    std::vector<std::string> block = data.texts("block"), plot;
    std::vector<double> x;  // one column a cell of a (3) and b (2)
    for (std::size_t i = 0; i < data.rows(); ++i) {
      plot.push_back(block[i] + ":" + data.text(i, "a"));
      const int cell = (std::stoi(data.text(i, "a")) - 1) * 2 + std::stoi(data.text(i, "b")) - 1;
      for (int c = 0; c < 6; ++c) x.push_back(c == cell ? 1 : 0);
    }
    const auto model = grouped({y.begin(), y.end()}, x, 6, {block, plot});
    const auto fit = maximise(model, 10);
    REQUIRE(fit.converged);
    // Printed to four decimals; 62.3958, 15.3819 and 9.3611 are the analysis of variance of this balanced
    // design.
    CHECK(near(fit.theta[1], model_number("/sets/4/published/sigma2_block"), 0, 0.00006));
    CHECK(near(fit.theta[2], model_number("/sets/4/published/sigma2_block_a"), 0, 0.00006));
    CHECK(near(fit.theta[0], model_number("/sets/4/published/sigma2_residual"), 0, 0.00006));
    // Contrast of b within all a: sub-plot error, 9. Contrast of a over both b: whole-plot error, 6.
    const double b[] = {1, -1, 1, -1, 1, -1}, a[] = {1, 1, -1, -1, 0, 0};
    CHECK(near(stats::satterthwaite_dof(model, fit.theta, b), model_number("/sets/4/published/dof/b/1"), 1e-7,
               0));
    CHECK(near(stats::satterthwaite_dof(model, fit.theta, a), model_number("/sets/4/published/dof/a/1"), 1e-7,
               0));
    // F of b from its single contrast
    const auto gls = stats::generalised_least_squares(model, fit.theta);
    double effect = 0, variance = 0;
    for (std::size_t i = 0; i < 6; ++i) {
      effect += b[i] * gls.beta[i];
      for (std::size_t j = 0; j < 6; ++j) variance += b[i] * b[j] * gls.covariance[i * 6 + j];
    }
    CHECK(near(effect * effect / variance, model_number("/sets/4/published/F_b"), 0, 0.005));
  }

  TEST_CASE("Dyestuff with rows taken out: fractional degrees of freedom to 40-digit reference values") {
    const auto model =
        intercept_only(CsvTable("data/reference/mixed/dyestuff_unbalanced.csv"), "Yield", {"Batch"});
    const auto fit = maximise(model, 1000);
    REQUIRE(fit.converged);
    const std::string at = "/sets/5/recomputed/independent/";
    const std::string fixed = at + "fixed(estimate,se,satterthwaite_df)/0/";
    CHECK(near(fit.theta[1], model_number(at + "sigma2_group"), 1e-9, 0));
    CHECK(near(fit.theta[0], model_number(at + "sigma2_residual"), 1e-9, 0));
    CHECK(near(criterion(model, fit), model_number(at + "minus2_reml_loglik"), 1e-12, 0));
    const auto gls = stats::generalised_least_squares(model, fit.theta);
    CHECK(near(gls.beta[0], model_number(fixed + "0"), 1e-10, 0));
    CHECK(near(std::sqrt(gls.covariance[0]), model_number(fixed + "1"), 1e-9, 0));
    // METHOD.md (M26) uses the expected information, as Kenward and Roger do; for one contrast their degrees
    // of freedom are Satterthwaite's. The reference is a program's, at its default stopping rule.
    CHECK(near(stats::satterthwaite_dof(model, fit.theta, kOne),
               model_number("/sets/5/recomputed/pbkrtest_kenward_roger/df"), 1e-8, 0));

    // The 40-digit value 5.19 is with the observed information: the same function, fed with second
    // differences.
    std::vector<double> gradient(2), observed(4);
    for (std::size_t k = 0; k < 2; ++k) {
      stats::RemlPoint up, down;
      auto plus = fit.theta, minus = fit.theta;
      const double h = 1e-4 * fit.theta[k];
      plus[k] += h;
      minus[k] -= h;
      model.evaluate(plus, up);
      model.evaluate(minus, down);
      for (std::size_t j = 0; j < 2; ++j) observed[k * 2 + j] = (up.gradient[j] - down.gradient[j]) / (2 * h);
      gradient[k] = (stats::generalised_least_squares(model, plus).covariance[0] -
                     stats::generalised_least_squares(model, minus).covariance[0]) /
                    (2 * h);
    }
    CHECK(near(stats::satterthwaite(gls.covariance[0], gradient, observed), model_number(fixed + "2"), 1e-6,
               0));
  }

  TEST_CASE("balanced one-way designs: analysis of variance to 1e-10, zero where MSB < MSW") {
    std::mt19937_64 random(41);
    std::normal_distribution<double> normal;
    int at_zero = 0;
    for (int trial = 0; trial < 12; ++trial) {
      const int groups = 3 + trial % 4, each = 2 + trial % 3;
      std::vector<double> y;
      std::vector<std::string> label;
      std::vector<int> group;
      for (int g = 0; g < groups; ++g) {
        const double level = 0.7 * normal(random);
        for (int i = 0; i < each; ++i) {
          y.push_back(3 + level + normal(random));
          label.push_back(std::to_string(g));
          group.push_back(g);
        }
      }
      const std::vector<long double> value(y.begin(), y.end());
      const auto anova = stats::one_way_anova(group, value);
      const auto model = grouped(y, std::vector<double>(y.size(), 1.0), 1, {label});
      const auto fit = maximise(model, 1);
      CAPTURE(trial);
      REQUIRE(fit.converged);
      if (anova.f > 1) {
        CHECK(near(fit.theta[0], anova.ms_within, 1e-10, 0));
        CHECK(
            near(fit.theta[1], (anova.ms_between - anova.ms_within) / each, 1e-10, 1e-10 * anova.ms_within));
        const double mean_square = anova.ms_between;
        const auto gls = stats::generalised_least_squares(model, fit.theta);
        CHECK(near(gls.covariance[0], mean_square / static_cast<double>(y.size()), 1e-10, 0));
        CHECK(near(stats::satterthwaite_dof(model, fit.theta, kOne), groups - 1, 1e-8, 0));
      } else {
        ++at_zero;
        CHECK(fit.theta[1] == 0.0);
        const double pooled = (anova.ss_between + anova.ss_within) / static_cast<double>(y.size() - 1);
        CHECK(near(fit.theta[0], pooled, 1e-10, 0));
      }
    }
    CHECK(at_zero >= 1);
    CHECK(at_zero <= 8);
  }

  TEST_CASE("one variance is the residual mean square; a unit changes it by its square") {
    const std::vector<double> y{1, 2, 4, 7, 11};
    auto model = grouped(y, std::vector<double>(5, 1.0), 1, {});
    CHECK(near(maximise(model, 3).theta[0], 16.5, 1e-12, 0));
    for (double& v : model.y) v *= 25.4;
    CHECK(near(maximise(model, 3).theta[0], 16.5 * 25.4 * 25.4, 1e-12, 0));
  }

  TEST_CASE("gradient and expected information agree with differences of the likelihood") {
    auto model = intercept_only(CsvTable("data/reference/mixed/dyestuff_unbalanced.csv"), "Yield", {"Batch"});
    const std::vector<double> theta{1500, 2500};
    stats::RemlPoint at, up, down;
    model.evaluate(theta, at);
    for (std::size_t k = 0; k < 2; ++k) {
      auto plus = theta, minus = theta;
      const double h = 1e-3 * theta[k];
      plus[k] += h;
      minus[k] -= h;
      model.evaluate(plus, up);
      model.evaluate(minus, down);
      CHECK(near((up.minus_log - down.minus_log) / (2 * h), at.gradient[k], 1e-5, 1e-9));
    }
    // The expected gradient is zero at the true theta, so over simulated data the mean of the squared
    // gradient is the information: 4,000 draws, standard error 2 %.
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal;
    const auto batches = CsvTable("data/reference/mixed/dyestuff_unbalanced.csv").texts("Batch");
    double squares[3] = {0, 0, 0};
    constexpr int kDraws = 4000;
    for (int draw = 0; draw < kDraws; ++draw) {
      double level = 0;
      for (std::size_t i = 0; i < batches.size(); ++i) {
        if (i == 0 || batches[i] != batches[i - 1]) level = std::sqrt(theta[1]) * normal(random);
        model.y[i] = level + std::sqrt(theta[0]) * normal(random);
      }
      model.evaluate(theta, up);
      squares[0] += up.gradient[0] * up.gradient[0] / kDraws;
      squares[1] += up.gradient[0] * up.gradient[1] / kDraws;
      squares[2] += up.gradient[1] * up.gradient[1] / kDraws;
    }
    CHECK(near(squares[0], at.information[0], 0.12, 0));
    CHECK(near(squares[2], at.information[3], 0.12, 0));
    CHECK(near(squares[1], at.information[1], 0.12, 0.05 * std::sqrt(at.information[0] * at.information[3])));
  }

  TEST_CASE(
      "Satterthwaite: rows without information are left out, the floor holds, nothing known is unbounded") {
    const double gradient[] = {1, 1}, information[] = {10, 0, 0, 0};
    CHECK(near(stats::satterthwaite(2.0, gradient, information), 80, 1e-12, 0));
    const double weak[] = {0.01, 0, 0, 0};
    CHECK(stats::satterthwaite(2.0, gradient, weak) == 1.0);
    CHECK(near(stats::satterthwaite(2.0, gradient, weak, 0.0), 0.08, 1e-12, 0));
    const double nothing[] = {0, 0, 0, 0};
    CHECK(std::isinf(stats::satterthwaite(2.0, gradient, nothing)));
  }

  TEST_CASE("independent variances of sums: far starts end where no neighbour is better") {
    // -log L = sum of nu/2 (ln v + s/v), v linear in theta: theta at zero and curvature far from its
    // expectation.
    std::mt19937_64 random(17);
    std::uniform_real_distribution<double> uniform(0, 1);
    int unconverged = 0, at_zero = 0;
    for (int trial = 0; trial < 4000; ++trial) {
      const std::size_t n = 2 + static_cast<std::size_t>(trial) % 3, terms = n + 1;
      std::vector<double> a(terms * n), nu(terms), s(terms), start(n);
      for (double& x : a) x = uniform(random) < 0.4 ? 0.0 : uniform(random);
      for (std::size_t k = 0; k < n; ++k) a[k * n + k] = 1;
      for (std::size_t k = 0; k < n; ++k) a[n * n + k] = 0.1;
      for (double& x : nu) x = 1 + std::floor(6 * uniform(random));
      for (double& x : s) x = std::pow(10.0, -2 + 3 * uniform(random));
      for (double& x : start) x = std::pow(10.0, -2 + 3 * uniform(random));
      const auto model = [&](std::span<const double> theta, stats::RemlPoint& out) {
        out.minus_log = 0;
        out.gradient.assign(n, 0.0);
        out.information.assign(n * n, 0.0);
        for (std::size_t t = 0; t < terms; ++t) {
          double v = 1e-3;
          for (std::size_t k = 0; k < n; ++k) v += a[t * n + k] * theta[k];
          out.minus_log += nu[t] / 2 * (std::log(v) + s[t] / v);
          for (std::size_t k = 0; k < n; ++k) {
            out.gradient[k] += nu[t] / 2 * a[t * n + k] * (1 / v - s[t] / (v * v));
            for (std::size_t m = 0; m < n; ++m)
              out.information[k * n + m] += nu[t] / 2 * a[t * n + k] * a[t * n + m] / (v * v);
          }
        }
      };
      const auto fit = stats::maximise_reml(model, start);
      unconverged += fit.converged ? 0 : 1;
      if (!fit.converged) continue;
      CAPTURE(trial);
      // The conditions of a maximum on the box: no gradient where it is free, none downwards at zero.
      for (std::size_t k = 0; k < n; ++k) {
        const double scale = std::sqrt(fit.at.information[k * n + k]);
        at_zero += fit.theta[k] == 0 ? 1 : 0;
        if (fit.theta[k] == 0) CHECK(fit.at.gradient[k] > -1e-6 * scale);
        if (fit.theta[k] > 0) CHECK(std::fabs(fit.at.gradient[k]) < 1e-6 * scale);
      }
    }
    CHECK(at_zero > 500);
    CHECK(unconverged == 0);
  }
}
