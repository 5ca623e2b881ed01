// SPDX-License-Identifier: MIT
// Against the GNU Scientific Library (an independent implementation), the tables of data/reference/tables
// (laid out as NIST/SEMATECH e-Handbook 1.3.6.7, recomputed to 10 decimals) and JCGM 100:2008 table G.2
// (recomputed to 8 decimals).
#include "stats/distributions.hpp"

#include <doctest/doctest.h>
#include <gsl/gsl_cdf.h>

#include <cmath>
#include <limits>
#include <string>

#include "support/csv_table.hpp"
#include "support/near.hpp"

namespace {

using namespace quarterturn;
using test::near;

constexpr double kInfinity = std::numeric_limits<double>::infinity();
// Half a unit of the tenth decimal, as printed in data/reference/tables.
constexpr double kTable = 0.51e-10;

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("t quantiles: tables of critical values") {
    const test::CsvTable table("data/reference/tables/t_upper.csv");
    for (std::size_t row = 0; row < table.rows(); ++row)
      for (std::size_t c = 1; c < table.header().size(); ++c) {
        const std::string p = table.header()[c];
        const auto nu = static_cast<double>(table.number(row, "nu"));
        CAPTURE(p);
        CAPTURE(nu);
        CHECK(near(stats::t_quantile(std::stod(p), nu), static_cast<double>(table.number(row, p)), 1e-13,
                   kTable));
      }
  }

  TEST_CASE("t quantiles: JCGM 100:2008 table G.2, two-sided coverage") {
    const test::CsvTable table("data/reference/gum/gum_table_G2_t.csv");
    for (std::size_t row = 0; row < table.rows(); ++row)
      for (std::size_t c = 1; c < table.header().size(); ++c) {
        const std::string p = table.header()[c];
        const double coverage = std::stod(p.substr(1)) / 100;
        const std::string nu = table.text(row, "nu");
        CAPTURE(p);
        CAPTURE(nu);
        CHECK(near(stats::t_quantile(0.5 + coverage / 2, nu == "inf" ? kInfinity : std::stod(nu)),
                   static_cast<double>(table.number(row, p)), 1e-12, 0.51e-8));
      }
  }

  TEST_CASE("chi-square quantiles: tables of critical values") {
    const test::CsvTable table("data/reference/tables/chi2.csv");
    for (std::size_t row = 0; row < table.rows(); ++row)
      for (std::size_t c = 1; c < table.header().size(); ++c) {
        const std::string p = table.header()[c];
        const auto nu = static_cast<double>(table.number(row, "nu"));
        CAPTURE(p);
        CAPTURE(nu);
        CHECK(near(stats::chi2_quantile(std::stod(p), nu), static_cast<double>(table.number(row, p)), 1e-13,
                   kTable));
      }
  }

  TEST_CASE("F quantiles: tables of critical values") {
    const test::CsvTable table("data/reference/tables/f_upper.csv");
    for (std::size_t row = 0; row < table.rows(); ++row)
      for (std::size_t c = 2; c < table.header().size(); ++c) {
        const double nu1 = std::stod(table.header()[c].substr(4));
        const auto nu2 = static_cast<double>(table.number(row, "nu2")),
                   p = static_cast<double>(table.number(row, "prob"));
        const auto f = static_cast<double>(table.number(row, table.header()[c]));
        CAPTURE(nu1);
        CAPTURE(nu2);
        CHECK(near(stats::f_quantile(p, nu1, nu2), f, 1e-13, kTable));
        CHECK(near(stats::f_upper(f, nu1, nu2), 1 - p, 1e-9, 0));
      }
  }

  TEST_CASE("probabilities and quantiles agree with GSL, fractional degrees of freedom included") {
    for (double nu : {1.0, 1.3, 2.0, 3.7, 8.0, 25.5, 400.0}) {
      CAPTURE(nu);
      for (double x : {-12.0, -3.2, -0.7, 0.0, 0.01, 1.9, 6.0}) {
        CAPTURE(x);
        CHECK(near(stats::t_probability(x, nu), gsl_cdf_tdist_P(x, nu), 1e-9, 0));
        CHECK(near(stats::chi2_probability(std::fabs(x), nu), gsl_cdf_chisq_P(std::fabs(x), nu), 1e-9, 0));
        for (double nu1 : {1.0, 2.5, 6.0})
          CHECK(near(stats::f_upper(std::fabs(x), nu1, nu), gsl_cdf_fdist_Q(std::fabs(x), nu1, nu), 1e-9, 0));
      }
      for (double p : {0.001, 0.025, 0.3, 0.5, 0.8, 0.975, 0.9995}) {
        CAPTURE(p);
        // GSL's own t quantiles are good to about 1e-8
        CHECK(near(stats::t_quantile(p, nu), gsl_cdf_tdist_Pinv(p, nu), 1e-8, 1e-12));
        CHECK(near(stats::chi2_quantile(p, nu), gsl_cdf_chisq_Pinv(p, nu), 1e-8, 0));
      }
    }
    for (double z : {-8.0, -2.5, -1.0, 0.0, 0.3, 1.96, 5.0}) {
      CHECK(near(stats::normal_probability(z), gsl_cdf_ugaussian_P(z), 1e-12, 0));
      CHECK(near(stats::normal_quantile(gsl_cdf_ugaussian_P(z)), z, 1e-9, 1e-12));
    }
  }

  TEST_CASE("probability and quantile undo each other") {
    for (double nu : {1.0, 2.3, 11.0, 90.0})
      for (double p : {1e-4, 0.05, 0.5, 0.9, 0.9999}) {
        CHECK(near(stats::t_probability(stats::t_quantile(p, nu), nu), p, 1e-12, 0));
        CHECK(near(stats::chi2_probability(stats::chi2_quantile(p, nu), nu), p, 1e-12, 0));
        CHECK(near(1 - stats::f_upper(stats::f_quantile(p, 3, nu), 3, nu), p, 1e-11, 1e-13));
      }
  }

  TEST_CASE("unbounded degrees of freedom are the normal and chi-square limits") {
    CHECK(near(stats::t_quantile(0.975, kInfinity), stats::normal_quantile(0.975), 1e-15, 0));
    CHECK(near(stats::t_probability(1.3, kInfinity), stats::normal_probability(1.3), 1e-15, 0));
    CHECK(near(stats::t_quantile(0.975, 1e8), stats::t_quantile(0.975, kInfinity), 1e-7, 0));
    CHECK(near(stats::f_upper(2.1, 4, kInfinity), 1 - stats::chi2_probability(8.4, 4), 1e-12, 0));
    CHECK(near(stats::f_quantile(0.95, 4, kInfinity), stats::chi2_quantile(0.95, 4) / 4, 1e-15, 0));
    CHECK(near(stats::f_upper(2.1, 4, 1e9), stats::f_upper(2.1, 4, kInfinity), 1e-6, 0));
  }

  TEST_CASE("normal density integrates to the normal probability") {
    // Simpson's rule over [-1, 2] against the difference of probabilities
    double sum = 0;
    constexpr int kSteps = 600;
    for (int i = 0; i <= kSteps; ++i)
      sum +=
          stats::normal_density(-1 + 3.0 * i / kSteps) * (i == 0 || i == kSteps ? 1 : (i % 2 == 1 ? 4 : 2));
    CHECK(near(sum / kSteps, stats::normal_probability(2) - stats::normal_probability(-1), 1e-9, 0));
  }

  TEST_CASE("below their range chi-square and F are certain") {
    CHECK(stats::chi2_probability(-1, 3) == 0.0);
    // Far out on many degrees of freedom nothing is left, and nothing overflows.
    for (const double dof : {3.0, 340.0, 342.0, 344.0, 1e3, 1e5}) {
      for (const double x : {1e-300, 1e-16, 1e-8, 1e-6, 1e-3, 0.1, 1.0, 20.0}) {
        CAPTURE(dof);
        CAPTURE(x);
        CHECK(near(stats::chi2_probability(x, dof), gsl_cdf_chisq_P(x, dof), 1e-9, 1e-300));
        CHECK(near(stats::f_upper(x / dof, dof, kInfinity), gsl_cdf_chisq_Q(x, dof), 1e-9, 0));
      }
    }
    CHECK(stats::f_upper(-1, 3, 4) == 1.0);
  }

  TEST_CASE("interval of a share: [NIST-HB] 7.2.4.1, 4 of 20 at 90 %, from memory; and its ends") {
    const auto [low, high] = stats::share_interval(4, 20, 0.90);
    CHECK(near(low, 0.071354, 1e-5, 0));
    CHECK(near(high, 0.401029, 1e-5, 0));
    // none of n: 1 - (tail)^(1/n)
    CHECK(stats::share_interval(0, 10, 0.95).first == 0);
    CHECK(near(stats::share_interval(0, 10, 0.95).second, 1 - std::pow(0.025, 0.1), 1e-9, 0));
    CHECK(stats::share_interval(10, 10, 0.95).second == 1);
    CHECK_THROWS_AS(stats::share_interval(3, 2, 0.95), std::domain_error);
  }

  TEST_CASE("noncentral t: as its definition, summed over the chi-square") {
    // P(T <= t) = E[Phi(t sqrt(chi2/dof) - shift)]; midpoints of 20,000 equal slices of the chi-square.
    const int slices = 20'000;
    for (const double dof : {2.0, 5.0, 11.0}) {
      for (const double shift : {0.0, 1.0, 3.5}) {
        for (const double t : {-0.5, 1.0, 2.5}) {
          double sum = 0;
          for (int i = 0; i < slices; ++i) {
            const double chi2 = stats::chi2_quantile((i + 0.5) / slices, dof);
            sum += stats::normal_probability(t * std::sqrt(chi2 / dof) - shift) / slices;
          }
          CAPTURE(dof);
          CAPTURE(shift);
          CAPTURE(t);
          CHECK(near(stats::noncentral_t_probability(t, dof, shift), sum, 0, 1e-5));
          if (shift == 0)
            CHECK(near(stats::noncentral_t_probability(t, dof, 0), stats::t_probability(t, dof), 1e-10, 0));
        }
      }
    }
  }
}
