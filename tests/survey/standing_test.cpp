// SPDX-License-Identifier: MIT
// Checks of one setup share where its dogs stand in their holes: against one check that stands for all of
// them, and by simulation.
#include <doctest/doctest.h>

#include "support/near.hpp"
#include "survey/adjust.hpp"
#include "survey/pairs.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Adjustment;
using survey::Taken;

namespace {

constexpr double kPlayMm = 0.1, kStandingSd = kPlayMm / 4;

station::Station with_play(double play_mm) {
  station::Station station = survey_table(7, 8);
  for (auto& [name, dog] : station.dogs) dog.play = units::Length::from_mm(play_mm);
  return station;
}

std::vector<Observation> distances(const station::Grid& grid, std::size_t count, std::mt19937_64& random) {
  std::vector<Observation> all;
  add_neighbours(all, grid, Taken::centre);
  for (int k = 1; k <= 3; ++k) add_diagonals(all, grid, k, k, Taken::centre);
  return some_of(all, count, random);
}

const Observation kPlain = check_on(3, 1, 8, 2, 4, 7);
const survey::Lines kByHoles = survey::lines_of_holes({3, 1}, {3, 8}, {4, 2}, {7, 2});

/// Lines of the check with its dogs.
survey::Lines as_they_stand() {
  survey::Lines lines = kByHoles;
  lines.rail = {{{3, 1}, "tall-1"}, {{3, 8}, "tall-2"}};
  lines.fence = {{{4, 2}, "low-1"}, {{7, 2}, "low-2"}};
  return lines;
}

survey::AdjustOptions given() {
  survey::AdjustOptions options;
  options.hole_sd_mm = kHoleSd;
  return options;
}

double u_of(const survey::Answer& answer) {
  return std::get<check::Estimate>(answer).u;
}

struct Covered {
  double holes = 0, standing = 0;
};

/// Tables surveyed by distances and by four checks with the dogs each way round.
Covered cover(double told_play_mm, int tables) {
  const station::Station told = with_play(told_play_mm);
  std::mt19937_64 random(81);
  Covered covered;
  for (int i = 0; i < tables; ++i) {
    const survey::Displaced at = draw(told.grid, {}, random);
    std::vector<Observation> list = distances(told.grid, 60, random);
    read_all(list, told, at, random);
    double stands = 0;
    for (const bool turned : {false, true}) {
      survey::Displaced here = at;  // each time the dogs are put in they come to stand elsewhere
      for (const Hole& hole : kPlain.holes()) {
        here.holes[hole].x += kStandingSd * normal(random);
        here.holes[hole].y += kStandingSd * normal(random);
      }
      if (!turned) stands = survey::exact_value(told, kPlain, here);
      std::vector<Observation> checks(4, survey::exchanged(kPlain, turned, turned));
      read_all(checks, told, here, random);
      list.insert(list.end(), checks.begin(), checks.end());
    }
    const Adjustment adjusted(told, list, given());
    const auto holes = std::get<check::Estimate>(adjusted.eps(kByHoles));
    const auto standing = std::get<check::Estimate>(adjusted.eps(as_they_stand()));
    covered.holes += std::fabs(holes.x - survey::exact_value(told, kPlain, at)) <= holes.half_width;
    covered.standing += std::fabs(standing.x - stands) <= standing.half_width;
  }
  return {covered.holes / tables, covered.standing / tables};
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("three checks of one setup are one check whose ± does not go below what the dogs' play leaves") {
    std::mt19937_64 random(80);
    const station::Station loose = with_play(kPlayMm), tight = with_play(0);
    const std::vector<Observation> lengths = distances(loose.grid, 60, random);
    std::vector<Observation> several = lengths, merged = lengths;
    for (const bool turned : {false, true}) {
      std::vector<Observation> checks(3, survey::exchanged(kPlain, turned, turned));
      double sum = 0;
      for (Observation& o : checks) sum += o.value = 2e-4 * normal(random);
      Observation one = checks.front();
      one.value = sum / 3;
      const double across = 1 / (7 * kPitchMm), along = 1 / (3 * kPitchMm);
      one.u = std::sqrt(kCheckU * kCheckU / 3 +
                        2 * kStandingSd * kStandingSd * (across * across + along * along));
      several.insert(several.end(), checks.begin(), checks.end());
      merged.push_back(one);
    }
    survey::AdjustOptions options = given();
    options.second_order = false;
    const Adjustment a(loose, several, options), b(tight, merged, options);
    for (const survey::Lines& lines : {kByHoles, survey::lines_of_holes({5, 2}, {5, 7}, {1, 4}, {4, 4})}) {
      const auto one = std::get<check::Estimate>(a.eps(lines)), two = std::get<check::Estimate>(b.eps(lines));
      CHECK(near(one.x, two.x, 1e-9, 1e-14));
      CHECK(near(one.u, two.u, 1e-9, 0));
    }
    // as the dogs stand it is known by the checks alone; put in anew their play comes on top, in any holes
    CHECK(u_of(a.eps(as_they_stand())) < kCheckU / std::sqrt(3.0) * 1.0001);
    survey::Lines elsewhere = survey::lines_of_holes({5, 2}, {5, 7}, {1, 4}, {4, 4});
    const double without = u_of(a.eps(elsewhere));
    elsewhere.rail = {{{5, 2}, "tall-1"}, {{5, 7}, "tall-1"}};
    elsewhere.fence = {{{1, 4}, "low-1"}, {{4, 4}, "low-1"}};
    const double with = u_of(a.eps(elsewhere));
    const double b_rail = 5 * kPitchMm, b_fence = 3 * kPitchMm;
    CHECK(near(with * with - without * without,
               2 * kStandingSd * kStandingSd * (1 / (b_rail * b_rail) + 1 / (b_fence * b_fence)), 1e-9, 0));
    survey::PairOptions pairs;
    pairs.columns = {5};
    pairs.rows = {4};
    pairs.most = 1000;
    pairs.dogs = {"tall-1", "tall-1", "low-1", "low-1"};
    bool found = false;
    for (const survey::PairResult& pair : survey::rank_pairs(a, pairs).best) {
      if (pair.near != Hole{5, 2} || pair.far != Hole{5, 7} || pair.left != Hole{1, 4}) continue;
      if (pair.right != Hole{4, 4}) continue;
      found = true;
      CHECK(near(pair.u, with, 1e-9, 0));
    }
    CHECK(found);
  }

  TEST_CASE("what the play shares between checks is in the ± of the holes, and not in that of the setup") {
    const Covered told = cover(kPlayMm, 500);
    MESSAGE("play counted: holes " << told.holes << ", as the dogs stand " << told.standing);
    CHECK(std::fabs(told.holes - 0.95) < 0.03);
    CHECK(std::fabs(told.standing - 0.95) < 0.03);
    const Covered untold = cover(0, 500);
    MESSAGE("play left out: holes " << untold.holes << ", as the dogs stand " << untold.standing);
    CHECK(untold.holes < 0.5);
  }
}
