// SPDX-License-Identifier: MIT
// Simulated tables: standardised errors, shear, predicted pairs.
#include <doctest/doctest.h>

#include "survey/adjust.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Taken;
using survey::Term;

namespace {

struct Cell {
  Truth truth;
  survey::AdjustOptions options;
  int tables = 100;
  int distances = 110;
  bool longest = false;  ///< only pairs over the whole table
};

struct Found {
  double squares = 0, shear = 0, shear_squares = 0;  ///< of standardised errors, means
  double covered = 0, shear_covered = 0, rows_taken = 0;
};

survey::Lines any_pair(const station::Grid& grid, std::mt19937_64& random) {
  const auto from = [&](int low, int high) {
    return low + static_cast<int>(random() % static_cast<unsigned>(high - low + 1));
  };
  for (;;) {
    const int near = from(1, grid.rows - 2), far = from(near + 2, grid.rows);
    const int left = from(1, grid.columns - 2), right = from(left + 2, grid.columns);
    const int column = from(1, grid.columns), row = from(1, grid.rows);
    if ((column == left || column == right) && (row == near || row == far)) continue;
    return survey::lines_of_holes({column, near}, {column, far}, {left, row}, {right, row});
  }
}

survey::Lines longest_pair(const station::Grid& grid, std::mt19937_64& random) {
  const int column = 2 + static_cast<int>(random() % static_cast<unsigned>(grid.columns - 2));
  const int row = 2 + static_cast<int>(random() % static_cast<unsigned>(grid.rows - 2));
  return survey::lines_of_holes({column, 1}, {column, grid.rows}, {1, row}, {grid.columns, row});
}

Found run(const Cell& cell, std::uint64_t seed) {
  constexpr int kPairs = 10;
  const station::Station station = survey_table(7, 8);
  std::vector<Observation> all;
  add_neighbours(all, station.grid, Taken::centre);
  for (int k = 1; k <= 3; ++k) add_diagonals(all, station.grid, k, k, Taken::centre);
  std::mt19937_64 random(seed);
  Found found;
  for (int i = 0; i < cell.tables; ++i) {
    const survey::Displaced at = draw(station.grid, cell.truth, random);
    std::vector<Observation> list = some_of(all, static_cast<std::size_t>(cell.distances), random);
    read_all(list, station, at, random);
    const survey::Adjustment adjusted(station, list, cell.options);
    found.rows_taken += adjusted.components().theta.size() > 1;
    const auto shear = std::get<check::Estimate>(adjusted.effect(survey::Effect::shear));
    const double off = (shear.x - cell.truth.shear) / shear.u;
    found.shear += off;
    found.shear_squares += off * off;
    found.shear_covered += std::fabs(shear.x - cell.truth.shear) <= shear.half_width;
    for (int k = 0; k < kPairs; ++k) {
      const survey::Lines lines =
          cell.longest ? longest_pair(station.grid, random) : any_pair(station.grid, random);
      const auto eps = std::get<check::Estimate>(adjusted.eps(lines));
      const double error = eps.x - survey::apply(survey::eps_of(station, lines), at);
      found.squares += error * error / (eps.u * eps.u) / kPairs;
      found.covered += (std::fabs(error) <= eps.half_width) / static_cast<double>(kPairs);
    }
  }
  for (double* sum : {&found.squares, &found.shear, &found.shear_squares, &found.covered,
                      &found.shear_covered, &found.rows_taken}) {
    *sum /= cell.tables;
  }
  return found;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("standardised errors have variance 1, also with rows shifted and tilted") {
    Cell cell;
    cell.truth.shear = 3e-4;
    cell.truth.pitch_x = 1e-4;
    cell.options.hole_sd_mm = kHoleSd;
    cell.tables = 1200;
    const Found plain = run(cell, 51);
    CHECK(std::fabs(plain.squares - 1) < 0.05);
    CHECK(std::fabs(plain.shear) < 0.09);               // three standard errors of a mean of 1200
    CHECK(std::fabs(plain.shear_squares - 1) < 0.125);  // and of their squares
    cell.truth.row_shift = 0.1;
    cell.truth.row_tilt_mm = 0.15;
    cell.options.rows = {Term::row_shift, Term::row_tilt};
    cell.options.row_sd_mm = {0.1, 0.15};
    const Found rows = run(cell, 52);
    CHECK(std::fabs(rows.squares - 1) < 0.05);
    CHECK(std::fabs(rows.shear) < 0.09);
    CHECK(std::fabs(rows.shear_squares - 1) < 0.125);
  }

  TEST_CASE("predicted pairs cover 0.95 when scatter and row terms are found by the fit" *
            doctest::test_suite("coverage")) {
    Cell cell;
    cell.truth.shear = -2e-4;
    cell.tables = 150;
    const Found plain = run(cell, 53);
    CHECK(std::fabs(plain.covered - 0.95) < 0.025);
    CHECK(plain.rows_taken < 0.45);
    cell.truth.row_shift = 0.1;
    cell.truth.row_tilt_mm = 0.2;
    const Found found = run(cell, 54);
    CHECK(std::fabs(found.covered - 0.95) < 0.025);
    CHECK(found.rows_taken > 0.95);
    CHECK(found.shear_covered > 0.89);
    CHECK(std::fabs(found.shear) < 0.3);
  }

  TEST_CASE("the longest pairs of a table drilled row by row need the row terms") {
    Cell cell;
    cell.truth.row_shift = 0.05;
    cell.truth.row_tilt_mm = 0.3;
    cell.distances = 90;
    cell.longest = true;
    cell.tables = 100;
    const Found found = run(cell, 56);
    CHECK(found.covered > 0.90);
    cell.options.look_for_rows = false;
    const Found blind = run(cell, 56);
    CHECK(blind.covered < 0.86);
  }
}
