// SPDX-License-Identifier: MIT
// Meta-analysis against R (metafor, stats) on data sets that R ships, kept in tests/peers/history_data with
// what R made of them; against printed values; against the dense form of the same likelihood; and what the t
// interval covers.
#include "stats/meta_analysis.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <numeric>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "stats/distributions.hpp"
#include "stats/reml.hpp"
#include "support/csv_table.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"
#include "support/trials.hpp"

namespace {

using namespace quarterturn;
using test::CsvTable;
using test::near;

/// What a peer made of one data set, by quantity.
std::map<std::string, double> peers_of(const std::string& set) {
  const CsvTable table("tests/peers/history_peers.csv");
  std::map<std::string, double> found;
  for (std::size_t i = 0; i < table.rows(); ++i) {
    if (table.text(i, "set") == set)
      found[table.text(i, "quantity")] = static_cast<double>(table.number(i, "value"));
  }
  if (found.empty()) throw std::runtime_error("no peer of " + set);
  return found;
}

std::vector<double> column(const CsvTable& table, const char* name) {
  const auto values = table.numbers(name);
  return {values.begin(), values.end()};
}

struct Set {
  std::vector<double> y, v, x;
};
Set read_set(const std::string& name) {
  const CsvTable table("tests/peers/history_data/" + name + ".csv");
  return {column(table, "y"), column(table, "v"), column(table, "x")};
}

const char* const kSets[] = {"bcg", "teachers", "smoke", "lidocaine", "dock-year", "loft-seasons"};

// metafor's own steps end below 1e-13; agreement is 1e-9 and better where tau^2 is not flat.
constexpr double kPeer = 1e-6;

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("metafor: Q, tau^2 by both ways, mean and line with the t interval") {
    for (const std::string name : kSets) {
      CAPTURE(name);
      const Set set = read_set(name);
      auto peer = peers_of(name);
      const auto q = stats::cochran_q(set.y, set.v);
      CHECK(near(q.q, peer.at("q"), kPeer, 0));
      CHECK(near(q.p, peer.at("q_p"), kPeer, 0));
      const std::pair<const char*, stats::Between> ways[] = {{"reml_", stats::Between::reml},
                                                             {"dl_", stats::Between::dersimonian_laird}};
      for (const auto& way : ways) {
        const std::string key = way.first;
        CAPTURE(key);
        CHECK(near(stats::between_variance(set.y, set.v, {}, way.second), peer.at(key + "tau2"), kPeer, 0));
        const auto mean = stats::weighted_mean(set.y, set.v, way.second);
        CHECK(near(mean.intercept, peer.at(key + "mean"), kPeer, 0));
        CHECK(near(std::sqrt(mean.intercept_variance), peer.at(key + "mean_se"), kPeer, 0));
        CHECK(near(mean.intercept - mean.factor() * std::sqrt(mean.intercept_variance),
                   peer.at(key + "mean_low"), kPeer, 0));
        const auto line = stats::meta_regression(set.y, set.v, set.x, way.second);
        CHECK(near(line.tau2, peer.at(key + "line_tau2"), kPeer, 0));
        CHECK(near(line.slope, peer.at(key + "slope"), kPeer, 0));
        CHECK(near(std::sqrt(line.slope_variance), peer.at(key + "slope_se"), kPeer, 0));
        CHECK(near(line.slope_p(), peer.at(key + "slope_p"), kPeer, 0));
        CHECK(near(line.slope - line.factor() * std::sqrt(line.slope_variance), peer.at(key + "slope_low"),
                   kPeer, 0));
        CHECK(near(line.q, peer.at("line_q"), kPeer, 0));
        CHECK(near(line.q_p, peer.at("line_q_p"), kPeer, 0));
        const double beyond = *std::ranges::max_element(set.x) + 1;
        CHECK(near(line.at(beyond), peer.at(key + "beyond"), kPeer, 0));
        CHECK(near(std::sqrt(line.variance_at(beyond)), peer.at(key + "beyond_se"), kPeer, 0));
      }
      const auto range = stats::between_variance_interval(set.y, set.v);
      CHECK(near(range.low, peer.at("tau2_low"), kPeer, 0));
      CHECK(near(range.high, peer.at("tau2_high"), kPeer, 0));
    }
  }

  TEST_CASE("vaccine trials: the figures that are printed everywhere") {
    // Random effects by restricted likelihood, from memory: tau^2 0.3132, mean -0.7145, Q 152.2330 on 12.
    const Set set = read_set("bcg");
    const auto mean = stats::weighted_mean(set.y, set.v);
    CHECK(near(mean.tau2, 0.3132, 0, 5e-5));
    CHECK(near(mean.intercept, -0.7145, 0, 5e-5));
    CHECK(near(mean.q, 152.2330, 0, 5e-5));
    CHECK(mean.dof == 12);
  }

  TEST_CASE("restricted likelihood: the dense form finds the same tau^2") {
    const Set set = read_set("teachers");
    const std::size_t n = set.y.size();
    stats::DenseModel model{static_cast<int>(n), 2, set.y, {}, {}};
    model.v.assign(2, std::vector<double>(n * n, 0.0));
    for (std::size_t i = 0; i < n; ++i) {
      model.x.insert(model.x.end(), {1.0, set.x[i]});
      model.v[0][i * n + i] = set.v[i];
      model.v[1][i * n + i] = 1;
    }
    const double start[] = {0.05};
    const auto fit = stats::maximise_reml(
        [&](std::span<const double> theta, stats::RemlPoint& out) {
          const double both[] = {1.0, theta[0]};
          stats::RemlPoint full;
          model.evaluate(both, full);
          out.minus_log = full.minus_log;
          out.gradient = {full.gradient[1]};
          out.information = {full.information[3]};
        },
        start);
    REQUIRE(fit.converged);
    CHECK(near(stats::between_variance(set.y, set.v, set.x), fit.theta[0], 1e-9, 0));
  }

  TEST_CASE("equal variances: closed forms, and nothing between estimates that are too alike") {
    const std::vector<double> y{1, 4, 2, 7, 6}, v(5, 0.5);
    // the sample variance is 6.5; restricted likelihood and moments agree: 6.5 - 0.5
    CHECK(near(stats::between_variance(y, v), 6.0, 1e-10, 0));
    CHECK(near(stats::between_variance(y, v, {}, stats::Between::dersimonian_laird), 6.0, 1e-12, 0));
    const auto mean = stats::weighted_mean(y, v);
    CHECK(near(mean.intercept, 4.0, 1e-12, 0));
    CHECK(near(mean.intercept_variance, 6.5 / 5, 1e-10, 0));  // Student's interval of one sample
    const std::vector<double> alike{1, 1.1, 0.9, 1, 1.05};
    CHECK(stats::between_variance(alike, v) == 0.0);
    CHECK(stats::between_variance(alike, v, {}, stats::Between::dersimonian_laird) == 0.0);
    // Q = 6.5 * 4 / 0.5 = 52; the interval for sigma^2 of a normal sample, less the known part
    const auto range = stats::between_variance_interval(y, v);
    CHECK(near(range.low, 26 / stats::chi2_quantile(0.975, 4) - 0.5, 1e-9, 0));
    CHECK(near(range.high, 26 / stats::chi2_quantile(0.025, 4) - 0.5, 1e-9, 0));
  }

  TEST_CASE("groups with means of their own: pooled as in the analysis of variance") {
    const std::vector<double> y{1, 3, 11, 14, 12, 50}, v(6, 0.25);
    const std::vector<int> group{0, 0, 1, 1, 1, 2};
    // sums of squares 2 and 14/3 on 1 + 2 degrees of freedom; the group of one tells nothing
    const auto pooled = stats::between_variance_grouped(y, v, group);
    CHECK(pooled.dof == 3);
    CHECK(near(pooled.tau2, (2 + 14.0 / 3) / 3 - 0.25, 1e-10, 0));
    const auto range = stats::between_variance_interval(y, v, 0.95, group);
    CHECK(near(range.high, (2 + 14.0 / 3) / stats::chi2_quantile(0.025, 3) - 0.25, 1e-9, 0));
    const std::vector<int> alone{0, 1, 2, 3, 4, 5};
    CHECK(stats::between_variance_grouped(y, v, alone).dof == 0);
    CHECK(std::isinf(stats::between_variance_interval(y, v, 0.95, alone).high));
  }

  TEST_CASE("Welch's test: R's printed example, and Cochran's Q where the variances are known") {
    const CsvTable table("tests/peers/history_data/sprays.csv");
    const auto y = column(table, "y"), v = column(table, "v"), dof = column(table, "dof");
    auto peer = peers_of("sprays");
    const auto welch = stats::welch_test(y, v, dof);
    CHECK(near(welch.f, peer.at("welch_f"), 1e-10, 0));
    CHECK(near(welch.dof2, peer.at("welch_dof2"), 1e-10, 0));
    CHECK(near(welch.p, peer.at("welch_p"), 1e-9, 0));
    const std::vector<double> known(y.size(), std::numeric_limits<double>::infinity());
    const auto q = stats::cochran_q(y, v);
    CHECK(near(stats::welch_test(y, v, known).p, q.p, 1e-9, 0));
    CHECK(near(stats::welch_test(y, v, known).f * q.dof, q.q, 1e-12, 0));
  }

  TEST_CASE("an estimate that informs no variance still draws the line") {
    const std::vector<double> y{0, 1, 2.1, 2.9, 10}, v(5, 0.01), x{0, 1, 2, 3, 4};
    const std::vector<char> informs{1, 1, 1, 1, 0};
    const auto with = stats::meta_regression(y, v, x, stats::Between::reml, informs);
    const auto without =
        stats::meta_regression(std::span(y).first(4), std::span(v).first(4), std::span(x).first(4));
    CHECK(near(with.tau2, without.tau2, 1e-12, 1e-15));
    CHECK(near(with.scale, without.scale, 1e-12, 0));
    CHECK(with.dof == without.dof);
    CHECK(near(with.slope, 2.19, 1e-9, 0));  // the unweighted line through all five
    CHECK(near(without.slope, 0.98, 1e-9, 0));
    // Two that inform leave no degree of freedom for a variance.
    CHECK_THROWS_AS(
        stats::meta_regression(y, v, x, stats::Between::dersimonian_laird, std::vector<char>{1, 1, 0, 0, 0}),
        std::domain_error);
  }

  TEST_CASE("shapes that do not fit are refused") {
    const std::vector<double> y{1, 2, 3}, v{1, 1, 1}, zero{1, 0, 1}, same{2, 2, 2};
    CHECK_THROWS_AS(stats::cochran_q(std::span(y).first(1), std::span(v).first(1)), std::domain_error);
    CHECK_THROWS_AS(stats::cochran_q(y, std::span(v).first(2)), std::domain_error);
    CHECK_THROWS_AS(stats::between_variance(y, zero), std::domain_error);
    CHECK_THROWS_AS(stats::meta_regression(y, v, same), std::domain_error);
    const std::vector<char> two{1, 1, 0};
    const std::vector<double> x{0, 1, 2};
    CHECK_THROWS_AS(stats::meta_regression(y, v, x, stats::Between::reml, two), std::domain_error);
  }

  TEST_CASE("many estimates that agree to the last digit") {
    for (const std::size_t count : {300u, 343u, 344u, 345u, 2000u}) {
      CAPTURE(count);
      std::vector<double> y(count, 1e-4), v(count, 1e-8), x(count);
      std::iota(x.begin(), x.end(), 0.0);
      y.back() += 1e-12;
      const auto line = stats::meta_regression(y, v, x);
      CHECK(near(line.intercept, 1e-4, 1e-6, 0));
      CHECK(line.q_p == 1.0);
      CHECK(line.tau2 == 0.0);
      CHECK(stats::weighted_mean(y, v).q_p == 1.0);
    }
  }

  TEST_CASE("100,000 estimates take a moment") {
    std::mt19937_64 random(5);
    std::vector<double> y, v, x;
    for (int i = 0; i < 100000; ++i) {
      x.push_back(i);
      v.push_back(0.5 + 0.5 * (i % 7));
      y.push_back(3 + 1e-5 * i + std::sqrt(v.back() + 2) * test::normal(random));
    }
    const auto line = stats::meta_regression(y, v, x);
    // standard error of tau^2 is sqrt(2/n) (v + tau^2), about 0.02 here
    CHECK(near(line.tau2, 2, 0, 0.08));
    CHECK(near(line.slope, 1e-5, 0, 5 * std::sqrt(line.slope_variance)));
  }
}

TEST_SUITE("coverage") {
  TEST_CASE("Knapp and Hartung's interval covers, of a mean from two estimates and of a slope from three") {
    const int n = test::trials(2000);
    std::mt19937_64 random(20260301);  // fixed once
    const double se = std::sqrt(0.95 * 0.05 / n);
    for (const double tau : {0.0, 1.0, 3.0}) {
      for (std::size_t size = 2; size <= 6; ++size) {
        int mean_holds = 0, slope_holds = 0;
        for (int trial = 0; trial < n; ++trial) {
          std::vector<double> y, v, x;
          double date = 0;
          for (std::size_t i = 0; i < size; ++i) {
            date += 0.2 + static_cast<double>(random() % 1000) / 500;
            x.push_back(date);
            v.push_back(0.5 + static_cast<double>(random() % 1000) / 500);
            y.push_back(0.4 * date + std::sqrt(v.back() + tau * tau) * test::normal(random));
          }
          if (size > 2) {
            const auto line = stats::meta_regression(y, v, x);
            slope_holds += std::fabs(line.slope - 0.4) <= line.factor() * std::sqrt(line.slope_variance);
          }
          for (std::size_t i = 0; i < size; ++i) y[i] -= 0.4 * x[i];
          const auto mean = stats::weighted_mean(y, v);
          mean_holds += std::fabs(mean.intercept) <= mean.factor() * std::sqrt(mean.intercept_variance);
        }
        const std::string label = std::to_string(size) + " estimates, tau " + std::to_string(tau) +
                                  ": mean " + std::to_string(static_cast<double>(mean_holds) / n) +
                                  ", slope " + std::to_string(static_cast<double>(slope_holds) / n);
        INFO(label);
        MESSAGE(label);
        // measured earlier by simulation: 0.947 to 0.952
        CHECK(std::fabs(static_cast<double>(mean_holds) / n - 0.95) <= 0.005 + 3 * se);
        if (size > 2) CHECK(std::fabs(static_cast<double>(slope_holds) / n - 0.95) <= 0.005 + 3 * se);
      }
    }
  }
}
