// SPDX-License-Identifier: MIT
#include "survey/pairs.hpp"

#include <doctest/doctest.h>

#include <map>

#include "stats/distributions.hpp"
#include "support/near.hpp"
#include "survey/survey_bench.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Adjustment;
using survey::Taken;

namespace {

using List = std::vector<Observation>;

Adjustment surveyed(const station::Station& station, std::size_t distances, bool fitted) {
  std::mt19937_64 random(71);
  List all;
  add_neighbours(all, station.grid, Taken::centre);
  for (int k = 1; k <= 3; ++k) add_diagonals(all, station.grid, k, k, Taken::centre);
  List list = some_of(all, distances, random);
  Truth truth;
  truth.shear = 2e-4;
  read_all(list, station, draw(station.grid, truth, random), random);
  survey::AdjustOptions options;
  if (!fitted) options.hole_sd_mm = kHoleSd;
  return Adjustment(station, list, options);
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("every pair is what asking for it alone gives, and they come in order") {
    for (const bool fitted : {false, true}) {
      const Adjustment adjusted = surveyed(survey_table(5, 6), 60, fitted);
      for (const survey::RankBy by : {survey::RankBy::error_and_uncertainty, survey::RankBy::probability}) {
        survey::PairOptions options;
        options.most = 100000;
        options.rank_by = by;
        const survey::PairTable table = survey::rank_pairs(adjusted, options);
        // rails: 5 columns, 10 pairs of rows two apart; fences: 6 rows, 6 pairs of columns; less shared holes
        int shared = 0;
        for (int column = 1; column <= 5; ++column)
          for (int row = 1; row <= 6; ++row) {
            const int rails = (row > 2 ? row - 2 : 0) + (row < 5 ? 5 - row : 0);
            const int fences = (column > 2 ? column - 2 : 0) + (column < 4 ? 4 - column : 0);
            shared += rails * fences;
          }
        CHECK(table.considered == static_cast<std::size_t>(50 * 36 - shared));
        CHECK(table.best.size() == table.considered);
        CHECK(table.undetermined == 0);
        double before = -1;
        for (std::size_t i = 0; i < table.best.size(); i += 7) {
          const survey::PairResult& pair = table.best[i];
          const auto alone = std::get<check::Estimate>(
              adjusted.eps(survey::lines_of_holes(pair.near, pair.far, pair.left, pair.right)));
          CHECK(near(pair.eps, alone.x, 1e-9, 1e-13));
          CHECK(near(pair.u, alone.u, 1e-9, 0));
          CHECK(near(std::min(pair.dof, 1e9), std::min(alone.dof, 1e9), 1e-8, 0));
          const double t = 0.10 / 600;
          CHECK(near(pair.probability,
                     stats::t_probability((t - alone.x) / alone.u, alone.dof) -
                         stats::t_probability((-t - alone.x) / alone.u, alone.dof),
                     1e-8, 1e-12));
          const double rank =
              by == survey::RankBy::probability ? 1 - pair.probability : std::fabs(pair.eps) + pair.u;
          CHECK(rank >= before - 0.01 * (by == survey::RankBy::probability));
          before = rank;
        }
      }
    }
  }

  TEST_CASE("the best are kept, and columns, rows and length can be asked for") {
    const Adjustment adjusted = surveyed(survey_table(5, 6), 60, false);
    survey::PairOptions all;
    all.most = 100000;
    survey::PairOptions few = all;
    few.most = 12;
    const survey::PairTable whole = survey::rank_pairs(adjusted, all),
                            best = survey::rank_pairs(adjusted, few);
    REQUIRE(best.best.size() == 12);
    for (std::size_t i = 0; i < 12; ++i) CHECK(best.best[i].u == whole.best[i].u);
    few.columns = {4};
    few.rows = {2, 3};
    few.fewest_pitches = 4;
    few.most = 1000;
    const survey::PairTable chosen = survey::rank_pairs(adjusted, few);
    CHECK(chosen.considered == 6);  // rows 1-5, 2-6, 1-6; columns 1-5; two rows
    for (const survey::PairResult& pair : chosen.best) CHECK(pair.near.column == 4);
    few.columns = {6};
    CHECK_THROWS_AS(survey::rank_pairs(adjusted, few), units::InputError);
  }

  TEST_CASE("holes nobody measured say so and carry the scatter of holes") {
    const station::Station station = survey_table(5, 6);
    List list;
    for (int c = 1; c <= 3; ++c)
      for (int r = 1; r <= 3; ++r) {
        list.push_back(length_of({c, r}, {c + 1, r + 1}, Taken::centre));
        list.push_back(length_of({c + 1, r}, {c, r + 1}, Taken::centre));
        list.push_back(length_of({c, r}, {c + 1, r}, Taken::centre));
      }
    survey::AdjustOptions options;
    options.hole_sd_mm = kHoleSd;
    const Adjustment adjusted(station, list, options);
    survey::PairOptions corner;
    corner.columns = {5};
    corner.rows = {6};
    corner.most = 1000;
    const survey::PairTable table = survey::rank_pairs(adjusted, corner);
    const auto shear = std::get<check::Estimate>(adjusted.effect(survey::Effect::shear));
    int checked = 0;
    for (const survey::PairResult& pair : table.best) {
      if (pair.unseen.size() != 4) continue;
      const double br = kPitchMm * (pair.far.row - pair.near.row);
      const double bf = kPitchMm * (pair.right.column - pair.left.column);
      const double holes = 2 * kHoleSd * kHoleSd * (1 / (br * br) + 1 / (bf * bf));
      CHECK(near(pair.u, std::sqrt(shear.u * shear.u + holes), 1e-9, 0));
      ++checked;
    }
    CHECK(checked > 5);
  }

  TEST_CASE("sixty well chosen distances and three checks: what they cannot know has no number") {
    std::mt19937_64 random(72);
    const station::Station station = survey_table();
    List neighbours;
    add_neighbours(neighbours, station.grid, Taken::centre);
    List list = some_of(neighbours, 60, random);
    const Observation check = check_on(5, 2, 10, 9, 1, 5);
    for (int i = 0; i < 3; ++i) list.push_back(check);
    survey::AdjustOptions options;
    options.hole_sd_mm = kHoleSd;
    const Adjustment blind(station, list, options);
    survey::PairOptions one_column;
    one_column.columns = {5};
    one_column.rows = {9};
    one_column.most = 100000;
    // with dogs alike in a line: not without knowing shear
    const survey::PairTable alike = survey::rank_pairs(blind, one_column);
    CHECK(alike.considered > 900);
    CHECK(alike.undetermined == alike.considered);
    CHECK(alike.because == std::vector<std::string>{"low-1", "low-2", "shear", "tall-1", "tall-2"});
    // with the dogs of the check: pairs of the same baselines, 768 and 384 mm, and no others
    one_column.dogs = {"tall-1", "tall-2", "low-1", "low-2"};
    const survey::PairTable standing = survey::rank_pairs(blind, one_column);
    CHECK(standing.best.size() + standing.undetermined == standing.considered);
    CHECK(standing.best.size() == 13);  // 3 rails and 5 fences of those lengths, less those that share E9
    for (const survey::PairResult& pair : standing.best) {
      CHECK(pair.far.row - pair.near.row == 8);
      CHECK(pair.right.column - pair.left.column == 4);
    }
    CHECK(near(standing.best.front().u, kCheckU / std::sqrt(3.0), 0.3, 0));
  }
}
