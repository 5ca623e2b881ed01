// SPDX-License-Identifier: MIT
#include "check/interval.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using test::near;

TEST_SUITE("check") {
  TEST_CASE("with one variance alone the quadrature is Student's t") {
    for (const double nu : {1.0, 2.0, 4.0, 12.0}) {
      CAPTURE(nu);
      check::FewDfTerms terms;
      terms.c_b = 1;
      terms.s2_l = 9e-4;
      terms.nu_l = nu;
      const check::FewDf few(terms);
      CHECK(near(few.half_width(0.95), 0.03 * stats::t_quantile(0.975, nu), 2e-6, 0));
      CHECK(near(few.half_width(0.99), 0.03 * stats::t_quantile(0.995, nu), 1e-5, 0));
      const double p =
          stats::t_probability((0.1 - 0.02) / 0.03, nu) - stats::t_probability((-0.1 - 0.02) / 0.03, nu);
      CHECK(near(few.probability_within(0.02, 0.1), p, 1e-5, 0));
      terms = {};
      terms.c_r = 2.0;
      terms.s2_r = 4.5e-4;
      terms.nu_r = nu;
      CHECK(near(check::FewDf(terms).half_width(0.95), 0.03 * stats::t_quantile(0.975, nu), 2e-6, 0));
    }
  }

  TEST_CASE("with three variances the quadrature is that of simulated chi-squares") {
    check::FewDfTerms terms{4e-6, 4e-4, 12, 2e-6, 9e-4, 1, 7.5e-5, 6, 0};
    const double h = check::FewDf(terms).half_width(0.95);
    std::mt19937_64 random(20260304);
    constexpr int kTrials = 200000;
    double inside = 0;
    for (int i = 0; i < kTrials; ++i) {
      const double r = terms.c_r * terms.s2_r / test::mean_square(random, 12);
      const double l = terms.s2_l / test::mean_square(random, 1);
      const double e = terms.s2_e_over_k / test::mean_square(random, 6);
      inside += std::erf(h / std::sqrt(2 * (r + terms.c_b * std::max(l, e))));
    }
    CHECK(near(inside / kTrials, 0.95, 0, 0.0015));  // three standard errors of the simulation
  }

  TEST_CASE("beside a variance that is known far better the quadrature is that of both, written out") {
    constexpr int kLines = 20000, kRepeats = 200;
    for (const double share : {0.6, 1.0, 1.7}) {
      const check::FewDfTerms terms{0, 0, 0, 1, 1, 1, share, 1000, 0};
      std::vector<double> lines, repeats;
      const auto put = [](std::vector<double>& out, double s2, double nu, int count) {
        for (int i = 0; i < count; ++i) out.push_back(nu * s2 / stats::chi2_quantile((i + 0.5) / count, nu));
      };
      put(lines, terms.s2_l, terms.nu_l, kLines);
      put(repeats, terms.s2_e_over_k, terms.nu_e, kRepeats);
      for (const bool coarse : {false, true}) {
        const double h = check::FewDf(terms, coarse).half_width(0.95);
        double inside = 0;
        for (const double line : lines) {
          for (const double repeat : repeats) inside += std::erf(h / std::sqrt(2 * std::max(line, repeat)));
        }
        CAPTURE(share);
        CAPTURE(coarse);
        CHECK(near(inside / (static_cast<double>(kLines) * kRepeats), 0.95, 0, coarse ? 3e-4 : 3e-5));
      }
    }
  }

  TEST_CASE("coarse steps, for plans, come out nearly the same") {
    for (const double nu : {1.0, 2.0, 5.0, 20.0}) {
      for (const double share : {0.1, 1.0, 10.0}) {
        const check::FewDfTerms terms{share, 1e-4, 3, 1, 1e-4, nu, 5e-5, 8, 0};
        const check::FewDf fine(terms), coarse(terms, true);
        CAPTURE(nu);
        CAPTURE(share);
        CHECK(near(coarse.half_width(0.95), fine.half_width(0.95), nu == 1 ? 1e-2 : 1e-4, 0));
        CHECK(near(coarse.probability_within(0.02, 0.03), fine.probability_within(0.02, 0.03), 0, 1e-4));
      }
    }
  }

  TEST_CASE("a known rounding is a floor under the spot means") {
    check::FewDfTerms terms;
    terms.c_b = 1;
    terms.s2_l = 1e-12;
    terms.nu_l = 2;
    terms.fixed = 1e-4;
    CHECK(near(check::FewDf(terms).half_width(0.95), 0.01 * 1.959964, 1e-4, 0));
  }

  TEST_CASE("rule of independent panels: the larger of its two branches") {
    const std::vector<double> taper{8e-4, 12e-4, 10e-4}, small{1e-12, 1e-12, 1e-12}, large{1e-6, 1e-6, 1e-6};
    const auto between = check::panels_interval(taper, small, 10, 4, 0.95);
    CHECK(near(between.mean, 2.5e-4, 1e-12, 0));
    // s = 2e-4: t_{2; 0.975} = 4.303 (t table), half-width 4.303 * 2e-4 / (4 sqrt 3)
    CHECK(near(between.half_width, 4.302653 * 2e-4 / (4 * std::sqrt(3.0)), 1e-6, 0));
    CHECK(between.dof == 2);
    const auto within = check::panels_interval(taper, large, 10, 4, 0.95);
    CHECK(near(within.half_width, 2.228139 * std::sqrt(3e-6) / 12, 1e-6, 0));
    CHECK(within.dof == 10);
  }
}
