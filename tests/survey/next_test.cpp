// SPDX-License-Identifier: MIT
#include "survey/next.hpp"

#include <doctest/doctest.h>

#include <limits>

#include "support/near.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Adjustment;
using survey::Candidate;
using survey::Effect;
using survey::Taken;

namespace {

using List = std::vector<Observation>;

survey::AdjustOptions given() {
  survey::AdjustOptions options;
  options.hole_sd_mm = kHoleSd;
  options.second_order = false;
  return options;
}

double u_after(const station::Station& station, List list, const std::vector<Observation>& more,
               Effect wanted) {
  list.insert(list.end(), more.begin(), more.end());
  const survey::Answer answer = Adjustment(station, list, given()).effect(wanted);
  const auto* known = std::get_if<check::Estimate>(&answer);
  return known ? known->u : std::numeric_limits<double>::infinity();
}

List diagonals(const station::Station& station, std::size_t count, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  List all;
  add_neighbours(all, station.grid, Taken::centre);
  add_diagonals(all, station.grid, 1, 1, Taken::centre);
  return some_of(all, count, random);
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("the first suggestion is the best of all by trying each") {
    const station::Station station = survey_table(6, 7);
    const List list = diagonals(station, 40, 81);
    const Adjustment now(station, list, given());
    survey::NextOptions options;
    options.reach_mm = 400;
    options.compare_minutes = options.distance_minutes = 1;
    std::vector<Candidate> all = survey::candidates(station, options);
    CHECK(all.size() > 300);
    double best = std::numeric_limits<double>::infinity();
    for (const Candidate& one : all) {
      best = std::min(best, u_after(station, list, {one.observation}, Effect::shear));
    }
    const auto suggested = survey::next_observations(now, Effect::shear, all, 3);
    REQUIRE(suggested.size() == 3);
    CHECK(near(suggested[0].u_after.value(), best, 1e-3, 0));
    const auto& first = suggested[0].candidate.observation;
    CHECK(near(suggested[0].u_after.value(), u_after(station, list, {first}, Effect::shear), 1e-10, 0));
    CHECK(near(suggested[2].u_after.value(),
               u_after(station, list,
                       {first, suggested[1].candidate.observation, suggested[2].candidate.observation},
                       Effect::shear),
               1e-10, 0));
    // the second by trying each after the first
    best = std::numeric_limits<double>::infinity();
    for (const Candidate& one : all) {
      if (one.observation.from == first.from && one.observation.to == first.to &&
          one.observation.via == first.via)
        continue;
      best = std::min(best, u_after(station, list, {first, one.observation}, Effect::shear));
    }
    CHECK(near(suggested[1].u_after.value(), best, 1e-3, 0));
  }

  TEST_CASE("minutes count") {
    const station::Station station = survey_table(6, 7);
    const Adjustment now(station, diagonals(station, 40, 82), given());
    std::vector<Candidate> two = {{survey::compare({1, 1}, {6, 7}, {6, 1}, {1, 7}, 0, 0.03), 1},
                                  {length_of({2, 2}, {3, 3}, Taken::centre), 1}};
    CHECK(survey::next_observations(now, Effect::shear, two, 1)[0].candidate.observation.kind ==
          survey::Kind::compare);
    two[0].minutes = 1e4;
    CHECK(survey::next_observations(now, Effect::shear, two, 1)[0].candidate.observation.kind ==
          survey::Kind::distance);
  }

  TEST_CASE("of an undetermined function what frees it comes first, and until then there is no number") {
    const station::Station station = survey_table();
    List neighbours;
    add_neighbours(neighbours, station.grid, Taken::centre);
    const Adjustment blind(station, neighbours, given());
    survey::NextOptions options;
    const auto all = survey::candidates(station, options);
    for (const Candidate& one : all) {
      // a caliper of 150 mm spans two neighbours and no diagonal
      if (one.observation.kind == survey::Kind::distance) CHECK(one.observation.value < 97);
    }
    const auto suggested = survey::next_observations(blind, Effect::shear, all, 1);
    REQUIRE(suggested.size() == 1);
    CHECK(suggested[0].candidate.observation.kind == survey::Kind::compare);
    CHECK(suggested[0].u_after.value() < 1.5e-4);
    // checks alone: shear and the dogs part only when each pair has been exchanged
    station::Setup setup;
    setup.rail = {{{5, 2}, "tall-1"}, {{5, 10}, "tall-2"}};
    setup.fence = {{{1, 9}, "low-1"}, {{5, 9}, "low-2"}};
    const Adjustment one(station, {survey::corner(setup, 0, kCheckU)}, given());
    survey::NextOptions checks;
    checks.reach_mm = 0;
    checks.checks = {setup};
    std::vector<Candidate> turned;
    for (const Candidate& c : survey::candidates(station, checks)) {
      if (c.observation.kind == survey::Kind::corner) turned.push_back(c);
    }
    CHECK(turned.size() == 4);
    const auto freed = survey::next_observations(one, Effect::shear, turned, 1);
    REQUIRE(freed.size() == 1);
    CHECK(freed[0].candidate.observation.dog_from == "tall-2");  // both exchanged at once: eps without dogs
    CHECK(freed[0].candidate.observation.dog_via[0] == "low-2");
    CHECK(freed[0].u_after.has_value());
  }

  TEST_CASE("a wanted corner is narrowed by what touches its holes, measured before or not") {
    const station::Station station = survey_table(6, 7);
    const List list = diagonals(station, 12, 83);
    const Adjustment now(station, list, given());
    const survey::Functional eps =
        survey::eps_of(station, survey::lines_of_holes({3, 1}, {3, 7}, {1, 3}, {6, 3}));
    survey::NextOptions options;
    options.reach_mm = 1000;
    const auto all = survey::candidates(station, options);
    const auto suggested = survey::next_observations(now, eps, all, 4);
    REQUIRE(suggested.size() == 4);
    List more = list;
    for (const auto& one : suggested) more.push_back(one.candidate.observation);
    const auto after = std::get<check::Estimate>(Adjustment(station, more, given()).estimate(eps));
    CHECK(near(suggested[3].u_after.value(), after.u, 1e-10, 0));
    CHECK(suggested[3].u_after.value() < suggested[0].u_after.value());
  }
}
