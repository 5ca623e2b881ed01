// SPDX-License-Identifier: MIT
#include "survey/snooping.hpp"

#include <doctest/doctest.h>

#include "support/near.hpp"
#include "survey/dense_survey.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Adjustment;
using survey::Taken;

namespace {

using List = std::vector<Observation>;

/// Neighbours and diagonals over one, two and three pitches.
List pool(const station::Grid& grid) {
  List all;
  add_neighbours(all, grid, Taken::centre);
  for (int k = 1; k <= 3; ++k) add_diagonals(all, grid, k, k, Taken::centre);
  return all;
}

survey::AdjustOptions given() {
  survey::AdjustOptions options;
  options.hole_sd_mm = kHoleSd;
  options.second_order = false;
  return options;
}

/// Rank of the hole, 0 the first, when it is put five sigma off in any direction.
int rank_of_bad(const station::Station& station, List list, std::mt19937_64& random) {
  survey::Displaced at = draw(station.grid, {}, random);
  const Hole bad = list[random() % list.size()].from;
  const double angle = 6.283185307179586 * static_cast<double>(random() % 1000) / 1000;
  at.holes[bad] = {5 * kHoleSd * std::cos(angle), 5 * kHoleSd * std::sin(angle)};
  read_all(list, station, at, random);
  survey::AdjustOptions options;
  options.look_for_rows = false;
  const survey::Snooping found = survey::snoop(Adjustment(station, list, options));
  for (std::size_t i = 0; i < found.holes.size(); ++i) {
    if (found.holes[i].hole == bad) return static_cast<int>(i);
  }
  return -1;
}

int named_first(const station::Station& station, const List& from, std::size_t distances, int cases) {
  std::mt19937_64 random(31);
  int first = 0;
  for (int i = 0; i < cases; ++i)
    first += rank_of_bad(station, some_of(from, distances, random), random) == 0;
  return first;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("w is what a refit with the error as an unknown gives") {
    std::mt19937_64 random(21);
    const station::Station station = survey_table(5, 5);
    List list = some_of(pool(station.grid), 40, random);
    list.push_back(check_on(2, 1, 5, 2, 1, 4));
    read_all(list, station, draw(station.grid, {}, random), random);
    const survey::Snooping found = survey::snoop(Adjustment(station, list, given()));
    for (const std::size_t i : {0u, 7u, 23u}) {
      // an error of unknown size: the observation no longer counts; what it then reads against the others
      List without = list;
      without.erase(without.begin() + static_cast<std::ptrdiff_t>(i));
      const DenseSurvey others(station, without);
      const DenseSurvey::Value predicted = others.estimate(others.row_of(list[i]), kHoleSd * kHoleSd);
      const double error = list[i].value - survey::nominal_value(station, list[i]) - predicted.x;
      const double u = std::hypot(predicted.u, list[i].u);
      CAPTURE(i);
      CHECK(near(found.observations[i].error, error, 1e-8, 1e-12));
      CHECK(near(found.observations[i].w.value(), error / u, 1e-8, 1e-10));
    }
    // the only check frees its dogs and shear at once: nothing controls it
    CHECK_FALSE(found.observations.back().w);
    double redundancy = 0;
    for (const survey::ObservationTest& test : found.observations) redundancy += test.redundancy;
    CHECK(redundancy > 1);
    CHECK(redundancy < 41);
  }

  TEST_CASE("a hole's statistic is what freeing its scatter takes off") {
    std::mt19937_64 random(22);
    const station::Station station = survey_table(5, 5);
    List list = some_of(pool(station.grid), 60, random);
    read_all(list, station, draw(station.grid, {}, random), random);
    const Adjustment sparse(station, list, given());
    const DenseSurvey dense(station, list);
    // y'Py with the hole's two unknowns free, by a prior so wide that it is none
    const Hole hole = list[3].from;
    const auto squares = [&](bool free) {
      Eigen::MatrixXd v = kHoleSd * kHoleSd * dense.design() * dense.design().transpose();
      v.diagonal().array() += kDistanceU * kDistanceU;
      Eigen::MatrixXd x = dense.design() * dense.effects();
      if (free) {
        x.conservativeResize(Eigen::NoChange, 5);
        x.rightCols(2) = dense.design().middleCols(dense.at(hole), 2);
      }
      const Eigen::VectorXd& y = dense.misclosures();
      const Eigen::MatrixXd inverse = inverse_of(v);
      const Eigen::VectorXd b = inverse_of(x.transpose() * inverse * x) * (x.transpose() * inverse * y);
      return (y - x * b).dot(inverse * (y - x * b));
    };
    for (const survey::HoleTest& test : survey::snoop(sparse).holes) {
      if (test.hole != hole) continue;
      CHECK(test.dof == 2);
      CHECK(near(test.statistic, squares(false) - squares(true), 1e-6, 1e-9));
    }
  }

  TEST_CASE("a misread distance is named, and so is a hole five sigma off") {
    std::mt19937_64 random(23);
    const station::Station station = survey_table();
    List list = some_of(pool(station.grid), 347, random);
    read_all(list, station, draw(station.grid, {}, random), random);
    CHECK_FALSE(survey::snoop(Adjustment(station, list)).bad_observation());
    CHECK_FALSE(survey::snoop(Adjustment(station, list)).bad_hole(0.01));
    List misread = list;
    misread[100].value += 0.5;
    const survey::Snooping found = survey::snoop(Adjustment(station, misread));
    CHECK(found.bad_observation() == 100u);
    CHECK(near(found.observations[100].error, 0.5, 0.3, 0));
  }

  TEST_CASE("how often a hole five sigma off is named first" * doctest::test_suite("coverage")) {
    const station::Station station = survey_table();
    List neighbours;
    add_neighbours(neighbours, station.grid, Taken::centre);
    const List all = pool(station.grid);
    // seven distances a hole, 500 cases: 0.986 +- 0.005
    CHECK(named_first(station, all, 347, 500) >= 475);
    // four a hole 0.93, 60 neighbours 0.5: fewer tell less
    const int four = named_first(station, all, 198, 100), few = named_first(station, neighbours, 60, 100);
    CHECK(four >= 85);
    CHECK(few < 75);
    CHECK(few > 25);
  }

  TEST_CASE("without a bad hole one is named as rarely as asked for") {
    const station::Station station = survey_table(7, 8);
    std::mt19937_64 random(24);
    const List all = pool(station.grid);
    int holes = 0, observations = 0;
    for (int i = 0; i < 400; ++i) {
      List list = some_of(all, 160, random);
      read_all(list, station, draw(station.grid, {}, random), random);
      const survey::Snooping found = survey::snoop(Adjustment(station, list, given()));
      holes += found.bad_hole().has_value();
      observations += found.bad_observation().has_value();
    }
    CHECK(holes <= 32);  // 0.05 at most, plus three standard errors
    CHECK(observations <= 32);
    CHECK(holes + observations >= 8);
  }

  TEST_CASE("checks with dogs exchanged free the dogs") {
    std::mt19937_64 random(25);
    const station::Station station = survey_table();
    const Observation plain = check_on(5, 2, 10, 9, 1, 5);
    List list = {plain, survey::exchanged(plain, true, false), survey::exchanged(plain, false, true)};
    survey::Displaced at = draw(station.grid, {}, random);
    at.dogs = {{"tall-1", 0.03}, {"tall-2", -0.02}, {"low-1", 0.01}, {"low-2", 0.04}};
    for (Observation& o : list) o.value = survey::exact_value(station, o, at);
    const survey::Snooping found = survey::snoop(Adjustment(station, list, given()));
    REQUIRE(found.exchanges.size() == 3);  // the second and third differ on both lines
    const auto& first = found.exchanges.front();
    CHECK(first.exchange.rail);
    CHECK_FALSE(first.exchange.fence);
    const auto rail = std::get<check::Estimate>(first.rail_oversize);
    CHECK(near(rail.x, -0.05, 1e-3, 0));
    // half the difference of two checks, over 768 mm
    CHECK(near(rail.u, kCheckU * 768 / std::sqrt(2.0), 1e-6, 0));
    CHECK(near(std::get<check::Estimate>(first.fence_oversize).x, 0.03, 1e-3, 0));
  }
}
