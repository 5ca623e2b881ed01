// SPDX-License-Identifier: MIT
/// What to measure on a table, held against covariances between observations written out in full.
#include "survey/to_measure.hpp"

#include <doctest/doctest.h>

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <set>

#include "support/near.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Candidate;
using survey::Closing;
using survey::Effect;
using survey::Kind;
using survey::Known;
using survey::Taken;

namespace {

using List = std::vector<Observation>;

survey::NextOptions over_pins(double reach_mm, bool between) {
  survey::NextOptions options;
  options.reach_mm = reach_mm;
  options.between = between;
  options.dog_1 = "pin-1";
  options.dog_2 = "pin-2";
  return options;
}

Known nothing_of(const station::Station& station) {
  Known known;
  known.station = station;
  known.theta = {kHoleSd * kHoleSd};
  return known;
}

/// Covariance beforehand of what two observations read, without their own errors.
double covariance(const station::Station& station, const Observation& a, const Observation& b) {
  const auto f = survey::functional_of(station, a), g = survey::functional_of(station, b);
  double sum = 0;
  for (const auto& [hole, along] : f.holes) {
    const auto other = g.holes.find(hole);
    if (other != g.holes.end())
      sum += kHoleSd * kHoleSd * (along.x * other->second.x + along.y * other->second.y);
  }
  for (const auto& [dog, share] : f.dogs) {
    const auto other = g.dogs.find(dog);
    if (other != g.dogs.end())
      sum += survey::kWideOversizeMm * survey::kWideOversizeMm * share * other->second;
  }
  const auto p = survey::effects_in(station.grid, f), q = survey::effects_in(station.grid, g);
  for (std::size_t k = 0; k < p.size(); ++k) sum += survey::kWideEffect * survey::kWideEffect * p[k] * q[k];
  return sum;
}

/// What is expected of an observation given others, and its variance: their covariances in full.
struct Given {
  double mean = 0, variance = 0;
};
Given given(const station::Station& station, const List& made, const Observation& asked) {
  const auto n = static_cast<Eigen::Index>(made.size());
  Eigen::MatrixXd k(n, n);
  Eigen::VectorXd with(n), y(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Observation& a = made[static_cast<std::size_t>(i)];
    for (Eigen::Index j = 0; j < n; ++j)
      k(i, j) = covariance(station, a, made[static_cast<std::size_t>(j)]) + (i == j ? a.u * a.u : 0);
    with(i) = covariance(station, a, asked);
    y(i) = a.value - survey::nominal_value(station, a);
  }
  const Eigen::VectorXd weights = k.ldlt().solve(with);
  return {survey::nominal_value(station, asked) + weights.dot(y),
          covariance(station, asked, asked) - weights.dot(with)};
}

bool holds_hole(const Observation& o, Hole hole) {
  const auto holes = o.holes();
  return std::find(holes.begin(), holes.end(), hole) != holes.end();
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("each distance of a plan is the one that says most of the table when those before are read") {
    const auto station = survey_table(4, 5);
    const auto all = survey::candidates(station, over_pins(150, true));
    const auto distances = static_cast<std::size_t>(std::count_if(
        all.begin(), all.end(), [](const auto& c) { return c.observation.kind == Kind::distance; }));
    CHECK(distances == 31 + 24);  // neighbours over the pins, diagonals between them
    const std::vector<Candidate> list(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(distances));
    survey::Greedy greedy(nothing_of(station), list, {});
    List made;
    std::set<std::size_t> taken;
    for (int step = 0; step < 30; ++step) {
      const auto best = greedy.best();
      REQUIRE(best.has_value());
      CHECK(taken.insert(*best).second);
      double most = 0, chosen = 0;
      for (std::size_t i = 0; i < list.size(); ++i) {
        if (i != *best && taken.contains(i)) continue;
        const auto& o = list[i].observation;
        const double gain = std::log1p(given(station, made, o).variance / (o.u * o.u));
        most = std::max(most, gain);
        if (i == *best) chosen = gain;
      }
      CHECK(near(chosen, most, 1e-6, 0));
      greedy.take(*best);
      made.push_back(list[*best].observation);
    }
  }

  TEST_CASE("what others foretell of a reading, against covariances in full and against tables") {
    const auto station = survey_table(6, 7);
    std::mt19937_64 random(4711);
    survey::ToMeasureOptions options;
    options.next = over_pins(150, true);
    options.distances = 40;
    List list = survey::to_measure(nothing_of(station), options).distances;
    const List asked{length_of({2, 2}, {3, 2}), length_of({4, 4}, {5, 5}, Taken::inside)};
    double squares = 0;
    constexpr int kTables = 300;
    for (int table = 0; table < kTables; ++table) {
      const auto at = draw(station.grid, {1e-3, -5e-4, 4e-4}, random);
      read_all(list, station, at, random);
      Known known = nothing_of(station);
      known.made = list;
      for (const Observation& o : asked) {
        const auto told = survey::foretold(known, o);
        if (table < 3) {
          const Given full = given(station, list, o);
          CHECK(near(told.value, full.mean, 0, 1e-7));
          CHECK(near(told.sd, std::sqrt(full.variance + o.u * o.u), 1e-7, 0));
        }
        const double read = survey::exact_value(station, o, at) + o.u * normal(random);
        squares += (read - told.value) * (read - told.value) / (told.sd * told.sd);
      }
    }
    // the two of a table hang together little: sd of the mean square at most sqrt(2/300)
    CHECK(near(squares / (2 * kTables), 1, 0, 4 * std::sqrt(2.0 / kTables)));
  }

  TEST_CASE("a plan of 60 distances on 9 x 11 holes: within reach, no hole left out, walked row by row") {
    const auto station = survey_table();
    CHECK(survey::usual_distances(station.grid) == 60);
    for (const bool between : {false, true}) {
      survey::ToMeasureOptions options;
      options.next = over_pins(150, between);
      const auto plan = survey::to_measure(nothing_of(station), options);
      REQUIRE(plan.distances.size() == 60);
      CHECK(plan.closing.size() == 3);
      CHECK(plan.minutes == 69);
      std::set<Hole> touched;
      std::size_t slanted = 0;
      for (const Observation& o : plan.distances) {
        CHECK(o.value <= 150);
        touched.insert(o.from);
        touched.insert(o.to);
        if (o.from.column != o.to.column && o.from.row != o.to.row) ++slanted;
        CHECK((o.taken == Taken::inside) == (o.from.column != o.to.column && o.from.row != o.to.row));
      }
      CHECK(touched.size() >= 97);
      CHECK((slanted > 0) == between);
      // neighbours alone do not see shear; diagonals both ways do
      CHECK(plan.u_distances.has_value() == between);
      REQUIRE(plan.u_all.has_value());
      CHECK(*plan.u_all < 2.3e-4);
      // as it was chosen: without a thought for the way
      auto chosen = plan.distances;
      std::mt19937_64 random(5);
      std::shuffle(chosen.begin(), chosen.end(), random);
      CHECK(survey::walked(plan.distances) < 0.4 * survey::walked(chosen));
      for (std::size_t i = 1; i < plan.distances.size(); ++i) {
        const auto &a = plan.distances[i - 1], &b = plan.distances[i];
        CHECK(std::min(b.from.row, b.to.row) >= std::min(a.from.row, a.to.row));
        // a shared hole keeps its dog
        if (b.from == a.to) CHECK(b.to == a.from);
        if (b.to == a.from) CHECK(b.from == a.to);
      }
    }
  }

  TEST_CASE("a plan goes on from what was measured, by checks alone or for a setup") {
    const auto station = survey_table();
    survey::ToMeasureOptions options;
    options.next = over_pins(150, false);
    options.distances = 20;
    Known known = nothing_of(station);
    const List first = survey::to_measure(known, options).distances;
    known.made = first;
    for (Observation& o : known.made) std::swap(o.from, o.to);  // read the other way round
    for (const Observation& o : survey::to_measure(known, options).distances) {
      CHECK(std::none_of(first.begin(), first.end(), [&](const Observation& made) {
        return holds_hole(made, o.from) && holds_hole(made, o.to);
      }));
    }
    station::Setup setup;
    setup.rail = {{{5, 2}, "tall-1"}, {{5, 10}, "tall-2"}};
    setup.fence = {{{1, 9}, "low-1"}, {{4, 9}, "low-2"}};
    options.next.checks = {setup};
    options.closing = Closing::checks;
    const auto by_checks = survey::to_measure(nothing_of(station), options);
    CHECK(!by_checks.u_distances.has_value());
    CHECK(by_checks.u_all.has_value());
    for (const Observation& o : by_checks.closing) CHECK(o.kind == Kind::corner);
    options.lines = survey::lines_of(setup);
    const auto for_setup = survey::to_measure(nothing_of(station), options);
    REQUIRE(for_setup.u_all.has_value());
    CHECK(*for_setup.u_all < 3e-5);
    CHECK(for_setup.closing.front().dog_from == "tall-1");  // the setup as it stands
    options.closing = Closing::none;
    CHECK(survey::to_measure(nothing_of(station), options).closing.empty());
  }
}
