// SPDX-License-Identifier: MIT
// Probability of conformity: worked examples of JCGM 106:2012, and degrees of freedom of a stated uncertainty
// by JCGM 100:2008 G.4.2. Files and sources in data/reference/SOURCE.md.
#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <utility>

#include "check/check.hpp"
#include "check/verdict.hpp"
#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "support/reference_json.hpp"

namespace {

using namespace quarterturn;
using check::probability_inside;
using test::near;
using test::reference_number;

const char* const kFile = "gum/jcgm106_conformity.json";
constexpr double kUnbounded = std::numeric_limits<double>::infinity();

double example(const char* pointer) {
  return reference_number(kFile, pointer);
}

/// Two limits that are not symmetric about zero: measured from their middle.
double inside(double y, double u, double low, double high) {
  return probability_inside(y - (low + high) / 2, u, kUnbounded, (high - low) / 2);
}

/// Simpson's rule.
double integral(const std::function<double(double)>& f, double from, double to) {
  constexpr int kSteps = 4000;
  const double h = (to - from) / kSteps;
  double sum = f(from) + f(to);
  for (int i = 1; i < kSteps; ++i) sum += (i % 2 == 0 ? 2 : 4) * f(from + i * h);
  return sum * h / 3;
}

/// What a rule of acceptance lets slip, and what it turns away: P(nonconforming, accepted) and
/// P(conforming, rejected), over what is produced.
struct Risks {
  double consumer, producer;
};
/// A measured value is accepted between two limits. \param density  of the true value
/// \param tail  where it does not conform; \param body  where it does
Risks risks(const std::function<double(double)>& density, double u, double accept_low, double accept_high,
            std::pair<double, double> tail, std::pair<double, double> body) {
  const auto accepted = [&](double y) { return inside(y, u, accept_low, accept_high); };
  return {integral([&](double y) { return density(y) * accepted(y); }, tail.first, tail.second),
          integral([&](double y) { return density(y) * (1 - accepted(y)); }, body.first, body.second)};
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("JCGM 106 7.4, from memory: kinematic viscosity between two limits") {
    const double y = example("/examples/1/inputs/y"), u = example("/examples/1/inputs/u");
    const double low = example("/examples/1/inputs/T_L"), high = example("/examples/1/inputs/T_U");
    CHECK(near(inside(y, u, low, high), example("/examples/1/recomputed/p_conform"), 1e-12, 0));
    CHECK(near(inside(y, u, low, high), example("/examples/1/published/p_conform"), 0, 0.005));
  }

  TEST_CASE(
      "JCGM 106 7.3, from memory: breakdown voltage under one limit, the other put too far away to matter") {
    const double y = example("/examples/0/inputs/y"), u = example("/examples/0/inputs/u");
    const double high = example("/examples/0/inputs/T_U"), low = high - 1000 * u;
    CHECK(near(inside(y, u, low, high), example("/examples/0/recomputed/p_conform"), 1e-10, 0));
    CHECK(near(inside(y, u, low, high), example("/examples/0/published/p_conform"), 0, 0.005));
  }

  TEST_CASE("JCGM 106 8.3, from memory: guard band of a speed limit, found from the probability asked for") {
    // A true speed of at most 100 km/h with probability 0.001: reading A with u = 2 % of it.
    const double limit = example("/examples/2/inputs/T_U"),
                 relative = example("/examples/2/inputs/relative_u");
    const double a = example("/examples/2/recomputed/A_U"), u = relative * a;
    const double conforming = inside(a, u, limit - 1000 * u, limit);
    CHECK(near(conforming, 1 - example("/examples/2/inputs/required_probability"), 1e-9, 0));
    CHECK(near(std::ceil(a), example("/examples/2/published/A_U"), 0, 1e-9));
  }

  // Set-up and published digits were read in a public repository that cites the clause (SOURCE.md).
  TEST_CASE("JCGM 106 9.5.4: ball bearings, what is accepted of those that do not conform") {
    const double u = example("/examples/3/inputs/u_m"), limit = example("/examples/3/inputs/T_U");
    // Shape 4, rate 4 per micrometre: mean 1, standard deviation 0.5.
    const auto density = [](double y) { return 256.0 / 6 * y * y * y * std::exp(-4 * y); };
    const double far = 14;  // beyond it e^-56
    CHECK(near(integral(density, limit, far), example("/examples/3/published/p_nonconforming"), 0, 5e-4));
    const auto at = [&](double accepted) {
      return risks(density, u, accepted - 1000 * u, accepted, {limit, far}, {0, limit});
    };
    CHECK(near(at(limit).consumer, example("/examples/3/published/R_C_at_A=T"), 0, 5e-4));
    CHECK(near(at(limit).consumer, example("/examples/3/recomputed/R_C_at_A=T"), 1e-8, 0));
    CHECK(near(at(limit).producer, example("/examples/3/recomputed/R_P_at_A=T"), 1e-8, 0));
    const double guarded = example("/examples/3/recomputed/A_U_for_R_C_0.001");
    CHECK(near(guarded, example("/examples/3/published/A_U_for_R_C_0.001"), 0, 5e-3));
    CHECK(near(at(guarded).consumer, 0.001, 1e-6, 0));
    CHECK(near(at(guarded).producer, example("/examples/3/recomputed/R_P_at_that_A_U"), 1e-8, 0));
  }

  // Inputs from memory, of low confidence; no published digits, held against a computation of its own.
  TEST_CASE("JCGM 106 9.5, from memory: resistors between two limits, with and without a guard band") {
    const double u = example("/examples/4/inputs/u_m"), u0 = example("/examples/4/inputs/u0");
    const double y0 = example("/examples/4/inputs/y0"), low = example("/examples/4/inputs/T/0") - y0,
                 high = example("/examples/4/inputs/T/1") - y0;
    const auto density = [&](double y) {
      return std::exp(-0.5 * y * y / (u0 * u0)) / (u0 * std::sqrt(2 * std::numbers::pi));
    };
    CHECK(near(1 - probability_inside(0, u0, kUnbounded, high),
               example("/examples/4/recomputed/p_nonconforming"), 1e-9, 0));
    const auto at = [&](double guard) {
      // Both tails alike.
      auto both = risks(density, u, low + guard, high - guard, {high, 12 * u0}, {0, high});
      return Risks{2 * both.consumer, 2 * both.producer};
    };
    CHECK(near(at(0).consumer, example("/examples/4/recomputed/R_C_R_P_simple_acceptance/0"), 1e-8, 0));
    CHECK(near(at(0).producer, example("/examples/4/recomputed/R_C_R_P_simple_acceptance/1"), 1e-8, 0));
    CHECK(near(at(2 * u).consumer, example("/examples/4/recomputed/R_C_R_P_guarded_w=2u_m/0"), 1e-6, 0));
    CHECK(near(at(2 * u).producer, example("/examples/4/recomputed/R_C_R_P_guarded_w=2u_m/1"), 1e-8, 0));
  }

  // ILAC-G8:09/2019, table 1 (its number from memory), read second-hand in a public repository: the risk of a
  // false acceptance at the limit of acceptance, U = 2 u. 0.83 U is the guard band of ISO 14253-1:2017.
  TEST_CASE("guard bands leave the risk that is published for them, 0.95 being ours") {
    struct Row {
      double guard_over_U, risk_below, rounding;
    };
    const double u = 1, far = 1000;
    for (const Row& row :
         {Row{1.5, 0.0016, 3e-4}, Row{1, 0.025, 0.003}, Row{0.83, 0.05, 0.002}, Row{0, 0.5, 1e-9}}) {
      const double risk = 1 - inside(-row.guard_over_U * 2 * u, u, -far, 0);
      CAPTURE(row.guard_over_U);
      CHECK(risk <= row.risk_below + 1e-12);
      CHECK(near(risk, row.risk_below, 0, row.rounding));
    }
    CHECK(near(inside(-1.65 * u, u, -far, 0), check::kConforms, 0, 0.001));
  }

  TEST_CASE("with few degrees of freedom t takes the place of the normal") {
    for (double dof : {1.0, 3.0, 8.5, 40.0})
      for (double x : {-2e-4, 0.0, 1e-4}) {
        const double tolerance = 1.5e-4, u = 0.8e-4;
        const double expected =
            stats::t_probability((tolerance - x) / u, dof) - stats::t_probability((-tolerance - x) / u, dof);
        CHECK(near(probability_inside(x, u, dof, tolerance), expected, 1e-12, 0));
        CHECK(near(probability_inside(-x, u, dof, tolerance), expected, 1e-12, 0));
      }
    CHECK(near(probability_inside(0, 1, 1e7, 2), probability_inside(0, 1, kUnbounded, 2), 1e-6, 0));
  }

  TEST_CASE("a wide or an empty tolerance is certain either way") {
    CHECK(near(probability_inside(0, 1e-5, 5, 1.0), 1.0, 1e-12, 0));
    CHECK(near(probability_inside(0, 1e-5, 5, 0.0), 0.0, 0, 1e-15));
    CHECK(probability_inside(5e-4, 1e-5, 60, 1e-4) < 1e-12);
  }

  TEST_CASE("JCGM 100:2008 G.4.2, equation G.3: an uncertainty known to 25 % has 8 degrees of freedom") {
    // the worked figure, 25 % and 8, is from memory
    check::Caliper caliper;
    caliper.reliability = 0.25;
    CHECK(near(caliper.dof(), 8.0, 1e-15, 0));
    caliper.reliability = 0.5;
    CHECK(near(caliper.dof(), 2.0, 1e-15, 0));
  }
}
