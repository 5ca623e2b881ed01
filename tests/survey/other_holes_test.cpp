// SPDX-License-Identifier: MIT
// Other holes for the same dogs: against conditioning written out in full, and on simulated tables whose
// exact geometry tells what remains.
#include "survey/other_holes.hpp"

#include <doctest/doctest.h>

#include "support/near.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Adjustment;
using survey::NowAndThen;
using survey::Opinions;
using survey::Taken;

namespace {

constexpr double kPlayMm = 0.04;

station::Station table_with_play() {
  station::Station station = survey_table(7, 8);
  for (auto& [name, dog] : station.dogs) dog.play = units::Length::from_mm(kPlayMm);
  return station;
}

/// The setup in use: rail B1 B8, fence C2 G2.
survey::Lines lines_in_use() {
  survey::Lines lines;
  lines.rail = {{{2, 1}, "tall-1"}, {{2, 8}, "tall-2"}};
  lines.fence = {{{3, 2}, "low-1"}, {{7, 2}, "low-2"}};
  return lines;
}
Observation corner_on(const survey::Lines& lines) {
  station::Setup setup;
  setup.rail = lines.rail;
  setup.fence = lines.fence;
  return survey::corner(setup, 0, kCheckU);
}

std::vector<Observation> distances(const station::Grid& grid, std::size_t count, std::mt19937_64& random) {
  std::vector<Observation> all;
  add_neighbours(all, grid, Taken::centre);
  for (int k = 1; k <= 3; ++k) add_diagonals(all, grid, k, k, Taken::centre);
  return some_of(all, count, random);
}

survey::PairOptions admissible() {
  survey::PairOptions options;
  options.columns = {2, 3};
  options.rows = {2, 3};
  options.usable = [](Hole near, Hole, Hole left, Hole) { return left.column > near.column; };
  return options;
}

/// The holes that a setup's dogs stand in, each somewhere in its play.
survey::Displaced standing(const survey::Displaced& at, const survey::Lines& lines, std::mt19937_64& random,
                           std::map<survey::Standing, station::Vec>& stands) {
  survey::Displaced here = at;
  for (const auto* pair : {&lines.rail, &lines.fence}) {
    for (const auto* post : {&pair->first, &pair->second}) {
      const auto [found, fresh] = stands.try_emplace({post->hole, post->dog});
      if (fresh) found->second = {kPlayMm / 4 * normal(random), kPlayMm / 4 * normal(random)};
      here.holes[post->hole] = here.holes[post->hole] + found->second;
    }
  }
  return here;
}

struct Outcome {
  double covered = 0, squares = 0, improves = 0, improved = 0, loss = 0, least = 0, before = 0, tables = 0;
};

enum class Way { fresh_check, check_in_survey, with_shim };

/// Draws tables, surveys them, takes the named holes and looks what remains.
Outcome run(Way way, int tables, std::uint64_t seed) {
  const station::Station station = table_with_play();
  const survey::Lines in_use = lines_in_use();
  std::mt19937_64 random(seed);
  Outcome out;
  for (int i = 0; i < tables; ++i) {
    Truth truth;
    truth.shear = 1e-4 * normal(random);
    survey::Displaced at = draw(station.grid, truth, random);
    at.dogs = {{"tall-1", 0.01}, {"tall-2", -0.01}, {"low-1", 0.005}, {"low-2", -0.01}};
    std::map<survey::Standing, station::Vec> stands;
    std::vector<Observation> list = distances(station.grid, 110, random);
    read_all(list, station, at, random);
    // the dogs' sizes are known by exchanging those of another setup
    for (const int k : {0, 1, 2}) {
      std::vector<Observation> one{survey::exchanged(check_on(5, 1, 7, 6, 1, 4), k == 1, k == 2)};
      std::map<survey::Standing, station::Vec> put_in;
      survey::Lines lines = survey::lines_of_holes({5, 1}, {5, 7}, {1, 6}, {4, 6});
      lines.rail.first.dog = one[0].dog_from;
      lines.rail.second.dog = one[0].dog_to;
      lines.fence.first.dog = one[0].dog_via[0];
      lines.fence.second.dog = one[0].dog_via[1];
      read_all(one, station, standing(at, lines, random, put_in), random);
      list.push_back(one[0]);
    }
    Observation check = corner_on(in_use);
    const survey::Displaced as_it_stands = standing(at, in_use, random, stands);
    const double shim = way == Way::with_shim ? 5e-4 : 0;
    const double was = survey::exact_value(station, check, as_it_stands) + shim;
    check.value = was + kCheckU * normal(random);
    if (way == Way::check_in_survey) list.push_back(check);
    survey::PresentPair present{in_use, check.value, kCheckU, Opinions::both};
    if (way == Way::check_in_survey) present.opinions = Opinions::survey_has_it;
    if (way == Way::with_shim) present.opinions = Opinions::difference_only;
    const Adjustment adjusted(station, list);
    const auto found = survey::other_holes(adjusted, present, admissible());
    REQUIRE(!found.best.empty());
    const survey::OtherHoles& best = found.best.front();
    const auto remains = [&](const survey::Lines& lines) {
      std::map<survey::Standing, station::Vec> put_in = stands;  // dogs that stay, stay as they stand
      return survey::exact_value(station, corner_on(lines), standing(at, lines, random, put_in)) + shim;
    };
    const double then = remains(best.lines);
    const double u = std::sqrt(best.known.v_then);
    out.covered += std::fabs(then - best.known.then) <= 1.96 * u;
    out.squares += std::pow((then - best.known.then) / u, 2);
    out.improves += best.known.improves();
    out.improved += std::fabs(then) < std::fabs(was);
    out.loss += then * then;
    out.before += was * was;
    double least = 1;
    for (const int c : {2, 3})
      for (const int r : {2, 3}) {
        const survey::Lines lines = [&] {
          survey::Lines l = in_use;
          l.rail.first.hole.column = l.rail.second.hole.column = c;
          l.fence.first.hole = {c + 1, r};
          l.fence.second.hole = {7, r};
          return l;
        }();
        least = std::min(least, std::pow(remains(lines), 2));
      }
    out.least += least;
    out.tables += 1;
  }
  for (double* sum :
       {&out.covered, &out.squares, &out.improves, &out.improved, &out.loss, &out.least, &out.before})
    *sum /= out.tables;
  return out;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("other holes: what remains is covered, and named holes are better than those in use" *
            doctest::test_suite("coverage")) {
    for (const Way way : {Way::fresh_check, Way::check_in_survey, Way::with_shim}) {
      CAPTURE(static_cast<int>(way));
      const Outcome o = run(way, 300, 91);
      MESSAGE("covered " << o.covered << ", squares " << o.squares << ", improves " << o.improves
                         << " foretold, " << o.improved << " found; left " << std::sqrt(o.loss) << " of "
                         << std::sqrt(o.before) << ", least of four " << std::sqrt(o.least));
      CHECK(std::fabs(o.covered - 0.95) < 0.038);  // three standard errors of 300
      CHECK(std::fabs(o.improved - o.improves) < 0.07);
      CHECK(o.loss < 0.25 * o.before);
    }
  }

  TEST_CASE("other holes: a check in the survey tells what it tells beside it, and no more") {
    const station::Station station = table_with_play();
    std::mt19937_64 random(92);
    std::vector<Observation> list = distances(station.grid, 110, random);
    for (const bool turned : {false, true})
      for (const bool rail : {false, true})
        list.push_back(survey::exchanged(check_on(5, 1, 7, 6, 1, 4), rail, turned));
    read_all(list, station, draw(station.grid, {}, random), random);
    Observation check = corner_on(lines_in_use());
    check.value = 1.5e-4;
    std::vector<Observation> with = list;
    with.push_back(check);
    survey::AdjustOptions given;
    given.hole_sd_mm = kHoleSd;
    given.second_order = false;
    const Adjustment beside(station, list, given), within(station, with, given);
    survey::PresentPair present{lines_in_use(), check.value, kCheckU, Opinions::both};
    const auto one = survey::other_holes(beside, present, admissible());
    REQUIRE(one.opinions == Opinions::both);
    present.opinions = Opinions::survey_has_it;
    const auto two = survey::other_holes(within, present, admissible());
    REQUIRE(one.best.size() == 3);
    REQUIRE(two.best.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
      const NowAndThen &a = one.best[i].known, &b = two.best[i].known;
      CHECK(one.best[i].lines.rail.first.hole == two.best[i].lines.rail.first.hole);
      CHECK(one.best[i].lines.fence.second.hole == two.best[i].lines.fence.second.hole);
      CHECK(near(a.now, b.now, 1e-8, 1e-13));
      CHECK(near(a.then, b.then, 1e-8, 1e-13));
      CHECK(near(a.v_then, b.v_then, 1e-8, 0));
      CHECK(near(a.covariance, b.covariance, 1e-8, 0));
    }
    present.opinions = Opinions::both;  // counted twice: surer than it is
    CHECK(survey::other_holes(within, present, admissible()).best[0].known.v_then < one.best[0].known.v_then);
    CHECK(survey::has_check(with, lines_in_use(), check.value));
    CHECK_FALSE(survey::has_check(with, lines_in_use(), check.value + 1e-5));
    CHECK_FALSE(survey::has_check(list, lines_in_use(), check.value));
  }

  TEST_CASE(
      "other holes: a check that the survey contradicts counts, and of the survey the difference alone") {
    const station::Station station = table_with_play();
    std::mt19937_64 random(93);
    std::vector<Observation> list = distances(station.grid, 140, random);
    for (const int k : {0, 1, 2})
      list.push_back(survey::exchanged(check_on(5, 1, 7, 6, 1, 4), k == 1, k == 2));
    read_all(list, station, draw(station.grid, {}, random), random);
    const Adjustment adjusted(station, list);
    const auto found =
        survey::other_holes(adjusted, {lines_in_use(), 2e-3, kCheckU, Opinions::both}, admissible());
    CHECK(found.opinions == Opinions::difference_only);
    REQUIRE(found.foretold.has_value());
    for (const auto& one : found.best) {
      CHECK(near(one.known.then, 2e-3 + one.change, 1e-12, 0));
      const auto now = std::get<check::Estimate>(adjusted.eps(lines_in_use()));
      const auto then = std::get<check::Estimate>(adjusted.eps(one.lines));
      CHECK(near(one.change, then.x - now.x, 1e-9, 1e-14));
    }
  }

  TEST_CASE("other holes: from neighbours alone the difference is told, dogs as stated") {
    const station::Station station = table_with_play();
    std::mt19937_64 random(94);
    std::vector<Observation> list;
    add_neighbours(list, station.grid, Taken::centre);
    read_all(list, station, draw(station.grid, {}, random), random);
    const Adjustment adjusted(station, list);
    const auto found =
        survey::other_holes(adjusted, {lines_in_use(), 4e-4, kCheckU, Opinions::both}, admissible());
    CHECK_FALSE(found.foretold.has_value());
    CHECK(found.dogs_as_stated);
    CHECK(found.opinions == Opinions::difference_only);
    CHECK(!found.best.empty());
  }

  TEST_CASE("chance that it improves: against draws") {
    std::mt19937_64 random(95);
    for (const NowAndThen k :
         {NowAndThen{2e-4, 5e-5, 1e-9, 4e-9, 1e-9}, NowAndThen{5e-5, -6e-5, 9e-9, 4e-9, -3e-9},
          NowAndThen{0, 1e-4, 1e-8, 1e-8, 9e-9}}) {
      int better = 0;
      constexpr int kDraws = 200000;
      for (int i = 0; i < kDraws; ++i) {
        const double z = normal(random), now = k.now + std::sqrt(k.v_now) * z;
        const double then = k.then + k.covariance / std::sqrt(k.v_now) * z +
                            std::sqrt(k.v_then - k.covariance * k.covariance / k.v_now) * normal(random);
        better += std::fabs(then) < std::fabs(now);
      }
      CHECK(std::fabs(k.improves() - static_cast<double>(better) / kDraws) < 0.004);
    }
    CHECK(near(NowAndThen{0, 0, 1, 1, 0}.improves(), 0.5, 1e-6, 0));
    CHECK(near(NowAndThen{0, 0, 1, 1, 0}.within(1.96), 0.95, 1e-4, 0));
  }
}
