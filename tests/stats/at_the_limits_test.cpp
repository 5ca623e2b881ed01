// SPDX-License-Identifier: MIT
// What happens just at a limit, and which of several refusals it is: each case is one that a changed sign or
// a lost line in src/stats would pass otherwise.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include "stats/charts.hpp"
#include "stats/coverage_interval.hpp"
#include "stats/distributions.hpp"
#include "stats/network_adjustment.hpp"
#include "stats/root.hpp"
#include "stats/streams.hpp"
#include "stats/uncertainty_budget.hpp"

namespace {

using namespace quarterturn;

/// What the refusal says; empty where nothing is refused.
template <class Call>
std::string refusal(Call call) {
  try {
    call();
  } catch (const std::domain_error& error) {
    return error.what();
  }
  return {};
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// arctan x seen as 0, from 3: no whole step leads nearer.
stats::Network steep() {
  stats::Network network;
  network.start = {3.0};
  network.observations = {{0.0, 1.0}};
  network.model = [](int, std::span<const double> x, std::vector<stats::Entry>& d) {
    d = {{0, 1 / (1 + x[0] * x[0])}};
    return std::atan(x[0]);
  };
  return network;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("at the limits: the ninth value of a chart is the first that can alarm, and it can") {
    std::vector<double> y{0, 1};
    while (y.size() < 12) y.push_back(20 * y.back());
    const std::vector<double> v(y.size(), 1e-4);
    const auto points = stats::self_starting_ewma(y, v);
    for (std::size_t i = 0; i < 8; ++i) CHECK_FALSE(points[i].alarm);
    CHECK(points[8].alarm);
  }

  TEST_CASE("at the limits: a chart names what it refuses") {
    const double nan = std::nan(""), endless = std::numeric_limits<double>::infinity();
    const std::vector<double> good(5, 1.0);
    for (const double odd : {nan, endless, -endless}) {
      std::vector<double> y = good;
      y[2] = odd;
      CHECK(says(refusal([&] { stats::self_starting_ewma(y, good); }), "chart: a value is not finite"));
    }
    for (const double odd : {nan, endless, 0.0, -1.0}) {
      std::vector<double> v = good;
      v[2] = odd;
      CHECK(says(refusal([&] { stats::self_starting_ewma(good, v); }), "chart: a value is not finite"));
    }
  }

  TEST_CASE("at the limits: a share of no trials, of fewer hits than none, of more than all") {
    for (const auto& [hits, trials] : {std::pair{0, 0}, {-1, 5}, {6, 5}, {0, -1}})
      CHECK(refusal([hits = hits, trials = trials] {
              static_cast<void>(stats::share_interval(hits, trials, 0.95));
            }) == "share_interval: hits out of trials");
  }

  TEST_CASE("at the limits: the shortest interval of one step") {
    // 0.4 of 3 is one step to the nearest; of 0.1 there is none
    std::vector<double> three{1, 3, 8};
    const auto found = stats::coverage_intervals(three, 0.4);
    CHECK(found.shortest.low == 1);
    CHECK(found.shortest.high == 3);
    CHECK(says(refusal([&] { stats::coverage_intervals(three, 0.1); }), "too few trials"));
  }

  TEST_CASE(
      "at the limits: small budgets whose correlations contradict each other are refused as large ones") {
    for (const double u : {1.0, 1e-4, 1e-9}) {
      const std::vector<stats::BudgetRow> rows{{"a", -1, u}, {"b", 1, u}, {"c", 1, u}};
      const std::vector<stats::Correlation> all{{0, 1, 1}, {0, 2, 1}, {1, 2, -1}};
      CHECK(refusal([&] { static_cast<void>(stats::combine(rows, all)); }) ==
            "budget: the correlations contradict each other");
    }
  }

  TEST_CASE("at the limits: a network of which nothing is free; one that was stopped tells its last step") {
    auto network = steep();
    network.fixed = {0};
    CHECK(refusal([&] { static_cast<void>(stats::adjust_network(network)); }) ==
          "network: no parameter is free");
    stats::NetworkOptions one;
    one.most_steps = 1;
    const auto stopped = stats::adjust_network(steep(), one);
    CHECK_FALSE(stopped.converged);
    CHECK(stopped.last_step > 0.1);
  }

  TEST_CASE("at the limits: a uniform deviate is the middle of its 2^-52") {
    stats::Stream deviates(11, 4), bits(11, 4);
    for (int i = 0; i < 100; ++i) {
      const double scaled = deviates.uniform() * 0x1.0p52, whole = std::floor(scaled);
      CHECK(static_cast<std::uint64_t>(whole) == bits.bits() >> 12);
      if (whole < 0x1.0p51) CHECK(scaled - whole == 0.5);
    }
  }

  TEST_CASE("at the limits: a root that one end would hold fast is found in few steps, from either side") {
    int calls = 0;
    const auto grows = [&](double x) {
      ++calls;
      return std::exp(x) - 2;
    };
    const double low = stats::root(grows, {0, -1}, {8, std::exp(8) - 2});
    CHECK(std::fabs(low - std::log(2.0)) < 1e-9);
    CHECK(calls <= 16);
    calls = 0;
    const auto levels = [&](double x) {
      ++calls;
      return std::log(x) - 0.1;
    };
    const double high = stats::root(levels, {0.01, std::log(0.01) - 0.1}, {9, std::log(9) - 0.1});
    CHECK(std::fabs(high - std::exp(0.1)) < 1e-9);
    CHECK(calls <= 20);
  }
}
