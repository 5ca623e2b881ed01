// SPDX-License-Identifier: MIT
// Probability of conformity: worked examples of JCGM 106:2012, and degrees of freedom of a stated uncertainty
// by JCGM 100:2008 G.4.2. Files and sources in data/reference/SOURCE.md.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

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

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("JCGM 106 7.4: kinematic viscosity between two limits") {
    const double y = example("/examples/1/inputs/y"), u = example("/examples/1/inputs/u");
    const double low = example("/examples/1/inputs/T_L"), high = example("/examples/1/inputs/T_U");
    CHECK(near(inside(y, u, low, high), example("/examples/1/recomputed/p_conform"), 1e-12, 0));
    CHECK(near(inside(y, u, low, high), example("/examples/1/published/p_conform"), 0, 0.005));
  }

  TEST_CASE("JCGM 106 7.3: breakdown voltage under one limit, the other put too far away to matter") {
    const double y = example("/examples/0/inputs/y"), u = example("/examples/0/inputs/u");
    const double high = example("/examples/0/inputs/T_U"), low = high - 1000 * u;
    CHECK(near(inside(y, u, low, high), example("/examples/0/recomputed/p_conform"), 1e-10, 0));
    CHECK(near(inside(y, u, low, high), example("/examples/0/published/p_conform"), 0, 0.005));
  }

  TEST_CASE("JCGM 106 8.3: guard band of a speed limit, found from the probability asked for") {
    // A true speed of at most 100 km/h with probability 0.001: reading A with u = 2 % of it.
    const double limit = example("/examples/2/inputs/T_U"),
                 relative = example("/examples/2/inputs/relative_u");
    const double a = example("/examples/2/recomputed/A_U"), u = relative * a;
    const double conforming = inside(a, u, limit - 1000 * u, limit);
    CHECK(near(conforming, 1 - example("/examples/2/inputs/required_probability"), 1e-9, 0));
    CHECK(near(std::ceil(a), example("/examples/2/published/A_U"), 0, 1e-9));
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
