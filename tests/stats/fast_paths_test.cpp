// SPDX-License-Identifier: MIT
// What is computed by a shorter way is the same as by the plain one.
#include <doctest/doctest.h>

#include <cmath>
#include <span>
#include <vector>

#include "stats/bordered.hpp"
#include "stats/distributions.hpp"
#include "stats/normal_score.hpp"
#include "support/bench_survey.hpp"
#include "support/near.hpp"
#include "support/sparse_cases.hpp"

using namespace quarterturn;
using stats::Entry;

TEST_SUITE_BEGIN("stats");

TEST_CASE("the score of many degrees of freedom is the normal quantile of Student's probability") {
  int near_ones = 0;
  for (const double dof : {5.0, 60.0, 500.0, 1000.0, 3000.0, 20000.0, 1e5}) {
    for (const double t : {0.01, 0.3, 1.0, 1.7, 2.5, 3.5, 5.0, 8.0}) {
      const double plain = -stats::normal_quantile(stats::t_probability(-t, dof));
      CHECK(test::near(stats::normal_score(t, dof), plain, 1e-12, 1e-14));
      CHECK(stats::normal_score(-t, dof) == -stats::normal_score(t, dof));
      near_ones += std::fabs(plain - t) < 1e-3;
    }
  }
  CHECK(near_ones > 20);  // that the expansion had its turn
}

TEST_CASE("variances by half solutions and by the selected inverse are those of whole solutions") {
  const test::BenchSurvey survey = test::bench_survey(20, 10);
  const stats::Network network = test::bench_network(survey);
  std::vector<stats::Triplet> lower;
  std::vector<Entry> row;
  for (std::size_t i = 0; i < survey.distances.size(); ++i) {
    network.model(static_cast<int>(i), network.start, row);
    for (const Entry& a : row)
      for (const Entry& b : row)
        if (a.index >= b.index) lower.push_back({a.index, b.index, a.value * b.value});
  }
  std::vector<double> border;
  for (const auto& column : network.datum) border.insert(border.end(), column.begin(), column.end());
  const auto normal = stats::BorderedCholesky::of(survey.unknowns(), lower, border);
  REQUIRE(normal);
  const stats::BorderedInverse selected = normal->selected_inverse();
  const auto plain = [&](std::span<const Entry> a, std::span<const Entry> b) {
    std::vector<double> right(static_cast<std::size_t>(survey.unknowns()) + 3);
    for (const Entry& e : b) right[static_cast<std::size_t>(e.index)] += e.value;
    const std::vector<double> solved = normal->solve(right);
    double sum = 0;
    for (const Entry& e : a) sum += e.value * solved[static_cast<std::size_t>(e.index)];
    return sum;
  };
  const auto far = test::bench_angles(survey, true), next = test::bench_angles(survey, false);
  for (std::size_t i = 0; i < far.size(); i += 7) {
    const double of_far = plain(far[i], far[i]), of_next = plain(next[i], next[i]);
    CHECK(test::near(normal->bilinear(far[i], far[i]), of_far, 1e-10, 0));
    CHECK(test::near(normal->bilinear(next[i], next[i]), of_next, 1e-10, 0));
    CHECK(test::near(normal->bilinear(far[i], next[i]), plain(far[i], next[i]), 0,
                     1e-10 * std::sqrt(of_far * of_next)));
    CHECK_FALSE(selected.bilinear(far[i], far[i]));
    const auto of_pattern = selected.bilinear(next[i], next[i]);
    REQUIRE(of_pattern);
    CHECK(test::near(*of_pattern, of_next, 1e-9, 0));
  }
}

TEST_SUITE_END();
