// SPDX-License-Identifier: MIT
/// Move or leave, against a direct numerical Bayes computation and the cases of METHOD.md (M40)-(M43).
#include <doctest/doctest.h>

#include <cmath>

#include "correct/correct.hpp"
#include "requests.hpp"
#include "stats/distributions.hpp"
#include "support/near.hpp"

using namespace quarterturn;
using correct::Correct;
using correct::decide;
using correct::Prediction;
using test::near;

namespace {

constexpr double kT = test::kToleranceRad;
const Prediction kWide{0, 1e6 * kT* kT, false};  // nothing known beforehand

struct ByGrid {
  double mu = 0, v = 0, leave = 0, move = 0, improves = 0;
};

/// Prior times likelihood on a grid of eps; expected squared error if left alone, and after moving by -mu.
ByGrid bayes_by_grid(double eps, double u, const Prediction& prior, double u_action) {
  const double tau = std::sqrt(prior.tau2);
  const double low = std::min(eps - 12 * u, prior.m0 - 12 * tau),
               high = std::max(eps + 12 * u, prior.m0 + 12 * tau);
  const int n = 200000;
  double total = 0, first = 0;
  const auto weight = [&](double x) {
    return std::exp(-0.5 * std::pow((x - eps) / u, 2) - 0.5 * std::pow((x - prior.m0) / tau, 2));
  };
  const auto at = [&](int i) { return low + (high - low) * (i + 0.5) / n; };
  for (int i = 0; i < n; ++i) total += weight(at(i)), first += weight(at(i)) * at(i);
  ByGrid found;
  found.mu = first / total;
  for (int i = 0; i < n; ++i) {
    const double x = at(i), share = weight(x) / total, after = x - found.mu;
    found.v += share * after * after;
    found.leave += share * x * x;
    found.move += share * (after * after + u_action * u_action);
    if (std::fabs(after) < std::fabs(x)) found.improves += share;
  }
  return found;
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE("the rule is the cheaper of the two expected squared errors, by direct numerical Bayes") {
    int moved = 0, left = 0;
    for (const double eps : {-1.3 * kT, -0.4 * kT, 0.1 * kT, 0.3 * kT, 0.7 * kT, 2 * kT}) {
      for (const double u : {0.1 * kT, 0.4 * kT, 1.1 * kT}) {
        for (const Prediction& prior :
             {Prediction{0, kT * kT, false}, Prediction{0.2 * kT, 0.04 * kT * kT, true}}) {
          for (const double u_action : {0.0, 0.2 * kT, 0.6 * kT}) {
            CAPTURE(eps / kT);
            CAPTURE(u / kT);
            CAPTURE(u_action / kT);
            const auto grid = bayes_by_grid(eps, u, prior, u_action);
            const auto decision = decide(eps, u, prior, u_action, kT);
            CHECK(near(decision.mu, grid.mu, 1e-6, 1e-9 * kT));
            CHECK(near(decision.v, grid.v, 1e-6, 0));
            CHECK(near(decision.probability_improves, grid.improves, 0, 5e-4));  // one cell of the grid
            CHECK(near(decision.remaining_u, std::sqrt(grid.v + u_action * u_action), 1e-6, 0));
            const bool pays = grid.leave - grid.move > kT * kT / 16;
            CHECK((decision.correct != Correct::no) == pays);
            ++(pays ? moved : left);
          }
        }
      }
    }
    CHECK(moved > 20);
    CHECK(left > 20);
  }

  TEST_CASE("a panel can pass and the move still pay: mu = 0.5 T, u = 0.1 T") {
    const auto decision = decide(0.5 * kT, 0.1 * kT, kWide, 0, kT);
    CHECK(decision.correct == Correct::yes);
    CHECK(near(decision.mu, 0.5 * kT, 1e-5, 0));
    const double within = stats::normal_probability(5) - stats::normal_probability(-15);  // P(|eta| <= T)
    CHECK(within > 0.95);
  }

  TEST_CASE("the edge of the rule: c = T/4, and the uncertainty of the means") {
    CHECK(decide(0.26 * kT, 0.01 * kT, kWide, 0, kT).correct == Correct::yes);
    CHECK(decide(0.24 * kT, 0.01 * kT, kWide, 0, kT).correct == Correct::no);
    CHECK(decide(-0.26 * kT, 0.01 * kT, kWide, 0, kT).correct == Correct::yes);
    CHECK(decide(0.30 * kT, 0.01 * kT, kWide, 0.2 * kT, kT).correct == Correct::no);
    CHECK(decide(0.33 * kT, 0.01 * kT, kWide, 0.2 * kT, kT).correct == Correct::yes);
  }

  TEST_CASE("a move that would leave more than T/2 of uncertainty wants more measuring first") {
    CHECK(decide(2 * kT, 0.45 * kT, kWide, 0, kT).correct == Correct::yes);
    CHECK(decide(2 * kT, 0.55 * kT, kWide, 0, kT).correct == Correct::unclear);
    CHECK(decide(2 * kT, 0.40 * kT, kWide, 0.35 * kT, kT).correct == Correct::unclear);
  }

  TEST_CASE("what was believed beforehand draws a poor result towards it") {
    const Prediction steady{0, 0.01 * kT * kT, true};
    CHECK(decide(0.9 * kT, 0.5 * kT, steady, 0, kT).correct == Correct::no);  // mu = 0.035 T
    CHECK(decide(0.9 * kT, 0.05 * kT, steady, 0, kT).correct == Correct::yes);
  }

  TEST_CASE("an unexplained change since the last check is looked into before anything is moved") {
    const correct::LastCheck last{0.0, 0.1 * kT, false};
    CHECK(decide(0.4 * kT, 0.1 * kT, kWide, 0, kT, last).find_first);
    CHECK(!decide(0.25 * kT, 0.1 * kT, kWide, 0, kT, last).find_first);  // 1.77 standard errors
    CHECK(!decide(0.4 * kT, 0.1 * kT, kWide, 0, kT, correct::LastCheck{0.0, 0.1 * kT, true}).find_first);
    CHECK(!decide(0.4 * kT, 0.1 * kT, kWide, 0, kT).find_first);
  }

  TEST_CASE("a new station is believed square within its drilling scatter") {
    const auto c = test::square_cases().front();
    const auto geometry = station::geometry_of(c.station, c.setup);
    const auto prior = correct::prediction_of_new_station(geometry, std::nullopt);
    CHECK(prior.m0 == 0);
    CHECK(!prior.from_log);
    CHECK(near(prior.tau2, 2 * 0.01 * (1 / (768.0 * 768) + 1 / (288.0 * 288)), 1e-14, 0));
    CHECK(near(correct::prediction_of_new_station(geometry, 0.05).tau2, prior.tau2 / 4, 1e-14, 0));
    auto rail_only = geometry;
    rail_only.fence.reset();
    CHECK(near(correct::prediction_of_new_station(rail_only, 0.1).tau2,
               2 * 0.01 * (1 / (768.0 * 768) + 1 / (384.0 * 384)), 1e-14, 0));  // fence not known: 384 mm
  }

  TEST_CASE("what the log tells sharpens what a new station lets believe") {
    const Prediction fresh{0, 4e-8, false};
    CHECK(correct::prediction_from_log(fresh, {}).tau2 == fresh.tau2);
    CHECK_FALSE(correct::prediction_from_log(fresh, {}).from_log);
    // One check: the conjugate pair of decide() itself.
    const auto once = decide(2e-4, 1e-4, fresh, 0, kT);
    const auto one = correct::prediction_from_log(fresh, {{}, {2e-4}, {1e-4}});
    CHECK(near(one.m0, once.mu, 1e-12, 0));
    CHECK(near(one.tau2, once.v, 1e-12, 0));
    CHECK(one.from_log);
    // Two: the pair again on top of it.
    const auto twice = decide(1e-4, 5e-5, one, 0, kT);
    const auto two = correct::prediction_from_log(fresh, {{}, {2e-4, 1e-4}, {1e-4, 5e-5}});
    CHECK(near(two.m0, twice.mu, 1e-12, 0));
    CHECK(near(two.tau2, twice.v, 1e-12, 0));
    // Three that scatter by far more than their u: as much is believed of the next, 1e-8 the variance of 0,
    // 1, 2 in 1e-4 rad.
    const auto three = correct::prediction_from_log(fresh, {{}, {0, 1e-4, 2e-4}, {1e-7, 1e-7, 1e-7}});
    CHECK(near(three.tau2, 1e-8 + 1 / (1 / 4e-8 + 3 / 1e-8), 1e-4, 0));
    CHECK(near(three.m0, 1e-4 * (3 / 1e-8) / (3 / 1e-8 + 1 / 4e-8), 1e-4, 0));
    CHECK(correct::contradicts({0, 9e-10, true}, 1e-4, 4e-5));          // 2 of 5e-5
    CHECK_FALSE(correct::contradicts({0, 9e-10, true}, 9.7e-5, 4e-5));  // 1.94
    // After a move of known size the prior is what the move left.
    const auto moved = correct::prediction_from_log(fresh, {Prediction{1e-5, 1e-10, true}, {}, {}});
    CHECK(moved.m0 == 1e-5);
    CHECK(moved.tau2 == 1e-10);
    CHECK(moved.from_log);
  }

  TEST_CASE("nothing uncertain and nothing wrong is left alone") {
    const auto decision = decide(0, 0, Prediction{}, 0, kT);
    CHECK(decision.correct == Correct::no);
    CHECK(decision.probability_improves == 0.5);
    CHECK(decide(kT, 0, Prediction{}, 0, kT).probability_improves == 1.0);
  }
}
