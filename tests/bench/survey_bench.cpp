// SPDX-License-Identifier: MIT
/// \file survey_bench.cpp
/// A survey of a whole grid, timed by itself.
///
///     survey_bench data COLUMNS ROWS                 the distances, for the peers
///     survey_bench near|far|model COLUMNS ROWS       `seconds X`, and sums to hold against the peers
///
/// Each hole's distance to the next along, across and on both diagonals, known weights, all invented. near
/// and far: the free network (M103) with three conditions for the datum, the ± of every coordinate, the
/// redundancy and w of every distance, and 320 angles between holes that are next to each other or far
/// apart, each with its ±. model: the mixed model of `survey` with its scatter fitted.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

#include "stats/large_pages.hpp"
#include "stats/network_adjustment.hpp"
#include "support/bench_survey.hpp"
#include "survey/adjust.hpp"

using namespace quarterturn;

namespace {

double since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

int network(const test::BenchSurvey& survey, bool far) {
  const auto angles = test::bench_angles(survey, far);
  const auto start = std::chrono::steady_clock::now();
  const stats::NetworkAdjustment found =
      stats::adjust_network(test::bench_network(survey), {.a_posteriori = false});
  double errors = 0, of_angles = 0, redundancy = 0;
  for (int i = 0; i < survey.unknowns(); ++i) errors += found.standard_deviation(i).value();
  for (const auto& angle : angles) of_angles += std::sqrt(found.covariance(angle, angle).value());
  const double seconds = since(start);
  for (const auto& one : found.residuals) redundancy += one.redundancy;
  std::printf("squares %.9e, steps %d, redundancy %.6f, sum of u %.9e, of the angles' u %.9e\n",
              found.weighted_squares, found.steps, redundancy, errors, of_angles);
  std::printf("seconds %.6f\n", seconds);
  return found.converged ? 0 : 1;
}

int model(const test::BenchSurvey& survey) {
  station::Station station;
  station.name = "bench";
  station.grid.columns = survey.columns;
  station.grid.rows = survey.rows;
  station.grid.pitch = units::Length::from_mm(test::kBenchPitchMm);
  std::vector<survey::Observation> all;
  for (const auto& d : survey.distances) {
    const auto hole = [&](int k) { return station::Hole{k % survey.columns + 1, k / survey.columns + 1}; };
    all.push_back(survey::distance(hole(d.from), hole(d.to), survey::Taken::centre, d.value, d.sigma));
  }
  const auto start = std::chrono::steady_clock::now();
  const survey::Adjustment found(station, std::move(all));
  const auto holes = found.holes();
  const double seconds = since(start);
  double errors = 0;
  for (const auto& hole : holes) errors += std::sqrt(hole.covariance.xx) + std::sqrt(hole.covariance.yy);
  std::printf("sum of u %.9e\nseconds %.6f\n", errors, seconds);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 4) return 2;
  stats::keep_memory();  // as src/main.cpp
  const std::string what = argv[1];
  const test::BenchSurvey survey = test::bench_survey(std::atoi(argv[2]), std::atoi(argv[3]));
  if (what == "model") return model(survey);
  if (what != "data") return network(survey, what == "far");
  for (const auto& d : survey.distances) std::printf("%d %d %.6f %.6f\n", d.from, d.to, d.value, d.sigma);
  return 0;
}
