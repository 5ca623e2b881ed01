// SPDX-License-Identifier: MIT
// Worked examples of JCGM 100:2008 (GUM): H.3, H.5, G.4.1. Files and sources in data/reference/SOURCE.md.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "stats/distributions.hpp"
#include "stats/least_squares.hpp"
#include "stats/reml.hpp"
#include "support/near.hpp"
#include "support/reference_json.hpp"

namespace {

using namespace quarterturn;
using test::near;
using test::reference_number;
using test::reference_numbers;

const char* const kH5 = "gum/gum_H5_anova.json";

double h5(const std::string& pointer) {
  return reference_number(kH5, pointer);
}

/// The example gives each day's mean and standard deviation only. Five made-up values a day with exactly
/// these two have the same sums of squares. In microvolt about 10 V.
struct H5Data {
  std::vector<int> day;
  std::vector<long double> microvolt;
};

H5Data h5_data() {
  constexpr double kShape[] = {-2, -1, 0, 1, 2};  // mean 0, sum of squares 10, so sd sqrt(10/4)
  const auto mean = reference_numbers(kH5, "/data/daily_mean_V"),
             sd = reference_numbers(kH5, "/data/daily_sd_uV");
  H5Data data;
  for (std::size_t d = 0; d < mean.size(); ++d)
    for (double z : kShape) {
      data.day.push_back(static_cast<int>(d));
      data.microvolt.push_back((static_cast<long double>(mean[d]) - 10) * 1e6L + sd[d] * z / std::sqrt(2.5L));
    }
  return data;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("GUM H.3: line with correlated coefficients, and its prediction at 30 degrees") {
    const char* file = "gum/gum_H3_thermometer.json";
    const auto t = reference_numbers(file, "/data/t_degC"), b = reference_numbers(file, "/data/b_degC");
    std::vector<long double> x, y(b.begin(), b.end());
    for (double value : t) x.push_back(value - reference_number(file, "/t0_degC"));
    const auto fit = stats::fit_polynomial(x, y, 1);
    const double s1 = fit.standard_error[0], s2 = fit.standard_error[1], s12 = fit.covariance[1];
    // H.3.4: b(30) = y1 + y2 (30 - 20), its variance with the covariance of both
    const double predicted = fit.beta[0] + 10 * fit.beta[1];
    const double u_predicted = std::sqrt(s1 * s1 + 100 * s2 * s2 + 20 * s12);

    const struct {
      const char* name;
      double value, half_unit;  // half a unit of the last printed place
    } results[] = {{"y1", fit.beta[0], 0.00005},       {"s_y1", s1, 0.00005},
                   {"y2", fit.beta[1], 0.000005},      {"s_y2", s2, 0.000005},
                   {"r_y1y2", s12 / (s1 * s2), 0.005}, {"s", fit.residual_sd, 0.00005},
                   {"b_30", predicted, 0.00005},       {"u_b_30", u_predicted, 0.00005}};
    for (const auto& result : results) {
      const std::string name = result.name;
      CAPTURE(name);
      CHECK(near(result.value, reference_number(file, "/recomputed/" + name), 1e-11, 0));
      CHECK(near(result.value, reference_number(file, "/published/" + name), 0, result.half_unit));
    }
    CHECK(fit.dof == static_cast<int>(reference_number(file, "/published/dof")));
  }

  TEST_CASE("GUM H.5: analysis of variance of a zener standard over ten days") {
    const H5Data data = h5_data();
    const auto a = stats::one_way_anova(data.day, data.microvolt);
    const double s_a = std::sqrt(a.ms_between), s_b = std::sqrt(a.ms_within);
    CHECK(near(s_a, h5("/recomputed/s_a_uV"), 1e-9, 0));
    CHECK(near(s_b, h5("/recomputed/s_b_uV"), 1e-9, 0));
    CHECK(near(a.f, h5("/recomputed/F_unrounded"), 1e-9, 0));
    CHECK(near(s_a, h5("/published/s_a_uV"), 0, 0.5));
    CHECK(near(s_b, h5("/published/s_b_uV"), 0, 0.5));
    CHECK(a.dof_between == 9);
    CHECK(a.dof_within == 40);
    // The guide's F = 2.25 is 5 * 57^2 / 85^2, made from rounded figures; unrounded it is 2.26.
    CHECK(near(a.f, h5("/published/F"), 0, 0.015));
    CHECK(near(stats::f_quantile(0.95, 9, 40), h5("/published/F_0.95"), 0, 0.005));
    CHECK(near(stats::f_quantile(0.975, 9, 40), h5("/published/F_0.975"), 0, 0.005));
  }

  TEST_CASE("GUM H.5: the variance components by REML, and u of the mean") {
    const H5Data data = h5_data();
    const int n = static_cast<int>(data.day.size());
    const auto size = static_cast<std::size_t>(n);
    stats::DenseModel model{
        n, 1, {data.microvolt.begin(), data.microvolt.end()}, std::vector<double>(size, 1.0), {}};
    model.v.assign(2, std::vector<double>(size * size, 0.0));
    for (std::size_t i = 0; i < size; ++i)
      for (std::size_t j = 0; j < size; ++j) {
        model.v[0][i * size + j] = i == j ? 1 : 0;
        model.v[1][i * size + j] = data.day[i] == data.day[j] ? 1 : 0;
      }
    const double start[] = {5000, 5000};
    const auto fit = stats::maximise_reml(
        [&](std::span<const double> theta, stats::RemlPoint& out) { model.evaluate(theta, out); }, start);
    REQUIRE(fit.converged);
    const auto mean = stats::generalised_least_squares(model, fit.theta);
    CHECK(near(std::sqrt(fit.theta[0]), h5("/recomputed/s_b_uV"), 1e-9, 0));
    CHECK(near(std::sqrt(fit.theta[1]), h5("/recomputed/s_B_uV"), 1e-9, 0));
    CHECK(near(std::sqrt(fit.theta[1]), h5("/published/s_B_uV"), 0, 0.5));
    CHECK(near(10 + 1e-6 * mean.beta[0], h5("/recomputed/grand_mean_V"), 1e-14, 0));
    CHECK(near(std::sqrt(mean.covariance[0]), h5("/recomputed/u_mean_uV_with_day_effect"), 1e-9, 0));
    CHECK(near(std::sqrt(mean.covariance[0]), h5("/published/u_mean_uV_with_day_effect"), 0, 0.5));
    // the mean of ten daily means has nine degrees of freedom
    const double contrast[] = {1};
    CHECK(near(stats::satterthwaite_dof(model, fit.theta, contrast), 9, 1e-9, 0));
    // without a day effect: variance of the mean from all 50 values about one mean, 13 uV on 49
    const auto one = stats::fit_polynomial(data.microvolt, data.microvolt, 0);
    CHECK(near(one.standard_error[0], h5("/recomputed/u_mean_uV_without_day_effect"), 1e-9, 0));
    CHECK(near(one.standard_error[0], h5("/published/u_mean_uV_without_day_effect"), 0, 0.5));
  }

  TEST_CASE("GUM G.4.1: effective degrees of freedom of three combined relative uncertainties") {
    const char* file = "gum/gum_G4_welch_satterthwaite.json";
    const auto u = reference_numbers(file, "/inputs_percent"), dof = reference_numbers(file, "/dof");
    // Each input is a variance u^2 on dof: information dof/(2 u^4), unit gradient. Then 2 var^2/(g' I^-1 g)
    // is eq. G.2b.
    double variance = 0;
    std::vector<double> gradient(3, 1.0), information(9, 0.0);
    for (std::size_t i = 0; i < 3; ++i) {
      variance += u[i] * u[i];
      information[i * 3 + i] = dof[i] / (2 * std::pow(u[i], 4));
    }
    const double nu = stats::satterthwaite(variance, gradient, information);
    CHECK(near(nu, reference_number(file, "/recomputed/nu_eff"), 1e-11, 0));
    CHECK(near(nu, reference_number(file, "/published/nu_eff"), 0, 0.05));
    CHECK(near(std::sqrt(variance), reference_number(file, "/published/u_rel_percent"), 0, 0.005));
    // the guide truncates nu to 19 (already whole here) and takes t_95(19) = 2.09, U = 2.2 %
    const double t95 = stats::t_quantile(0.975, reference_number(file, "/published/nu_eff"));
    CHECK(near(t95, reference_number(file, "/published/t95_19"), 0, 0.005));
    CHECK(near(t95 * std::sqrt(variance), reference_number(file, "/recomputed/U95_rel_percent"), 1e-9, 0));
    CHECK(near(t95 * std::sqrt(variance), reference_number(file, "/published/U95_rel_percent"), 0, 0.05));
  }
}
