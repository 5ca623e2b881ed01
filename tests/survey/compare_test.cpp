// SPDX-License-Identifier: MIT
#include "survey/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "support/near.hpp"
#include "survey/dense_survey.hpp"
#include "survey/survey_bench.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Taken;

namespace {

using List = std::vector<Observation>;

List pool(const station::Grid& grid) {
  List all;
  add_neighbours(all, grid, Taken::centre);
  add_diagonals(all, grid, 1, 1, Taken::centre);
  add_diagonals(all, grid, 2, 2, Taken::centre);
  return all;
}

/// Displacements by pseudo-inverse.
LeastSolution free_of(const station::Station& station, const List& list) {
  const DenseSurvey dense(station, list);
  return least_solution(dense.design() / kDistanceU, dense.misclosures() / kDistanceU);
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("the statistic is the quadratic form of the differences of two free networks") {
    std::mt19937_64 random(91);
    const station::Station station = survey_table(5, 5);
    List first = pool(station.grid), second = first;
    for (const int i : {70, 50, 30, 10})
      second.erase(second.begin() + i);  // and not by the same observations
    const survey::Displaced at = draw(station.grid, {}, random);
    read_all(first, station, at, random);
    read_all(second, station, at, random);
    const LeastSolution one = free_of(station, first), two = free_of(station, second);
    const Eigen::VectorXd d = two.x - one.x;
    const Eigen::MatrixXd both = one.covariance + two.covariance, weight = inverse_of(both);
    const survey::SurveyComparison found = survey::compare_surveys(station, first, second);
    CHECK(found.dof == 47);
    CHECK(near((both * weight).trace(), 47, 1e-9, 0));
    CHECK(two.rank == 47);
    CHECK(near(found.statistic, d.dot(weight * d), 1e-7, 0));
    const auto left = static_cast<double>(first.size() + second.size()) - 2 * 47;
    CHECK(found.factor_dof == static_cast<int>(left));
    CHECK(near(found.variance_factor, (one.squares + two.squares) / left, 1e-9, 0));
  }

  TEST_CASE("sparse surveys compare what both see") {
    std::mt19937_64 random(92);
    const station::Station station = survey_table();
    List all;
    add_neighbours(all, station.grid, Taken::centre);
    List first = some_of(all, 60, random), second = first;
    const survey::Displaced at = draw(station.grid, {}, random);
    read_all(first, station, at, random);
    read_all(second, station, at, random);
    const survey::SurveyComparison found = survey::compare_surveys(station, first, second);
    // neighbours do not depend on each other: sixty differences of variance 2 u^2
    double by_hand = 0;
    for (std::size_t i = 0; i < 60; ++i) {
      const double d = second[i].value - first[i].value;
      by_hand += d * d / (2 * kDistanceU * kDistanceU);
    }
    CHECK(found.dof == 60);
    CHECK(found.factor_dof == 0);
    CHECK(near(found.statistic, by_hand, 1e-9, 0));
    CHECK(found.p_f == 1);
  }

  TEST_CASE("two surveys of a table at rest differ as rarely as asked for, and moved holes are named") {
    std::mt19937_64 random(93);
    const station::Station station = survey_table(6, 6);
    int alarms = 0, right = 0, wrong = 0;
    for (int i = 0; i < 120; ++i) {
      List first = pool(station.grid), second = first;
      survey::Displaced at = draw(station.grid, {}, random);
      read_all(first, station, at, random);
      read_all(second, station, at, random);
      alarms += survey::compare_surveys(station, first, second).moved;
      if (i % 3 != 0) continue;
      at.holes[{2, 5}] = at.holes[{2, 5}] + survey::Vec{0.2, 0.1};
      at.holes[{5, 2}] = at.holes[{5, 2}] + survey::Vec{-0.15, 0.15};
      read_all(second, station, at, random);
      const survey::SurveyComparison moved = survey::compare_surveys(station, first, second);
      REQUIRE(moved.moved);
      for (const survey::MovedHole& hole : moved.holes) {
        const bool is = hole.hole == Hole{2, 5} || hole.hole == Hole{5, 2};
        right += is;
        wrong += !is;
        if (hole.hole == Hole{2, 5}) CHECK(near(hole.by.x, 0.2, 0, 0.12));
      }
    }
    CHECK(alarms <= 13);  // 6 expected of 120
    CHECK(right >= 76);   // of 80
    CHECK(wrong <= 6);
  }

  TEST_CASE("a survey without observations is refused") {
    const station::Station station = survey_table(3, 3);
    CHECK_THROWS_AS(survey::compare_surveys(station, {}, {length_of({1, 1}, {2, 1})}), units::InputError);
    // nothing in common: nothing to compare, and no number that looks like one
    const survey::SurveyComparison none =
        survey::compare_surveys(station, {length_of({1, 1}, {2, 1})}, {length_of({1, 3}, {2, 3})});
    CHECK(none.dof == 0);
    CHECK_FALSE(none.moved);
  }
}
