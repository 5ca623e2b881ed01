// SPDX-License-Identifier: MIT
/// \file make_survey.cpp
/// Makes examples/surveys from an exact table with fixed seeds. All of it is invented.
///   make_survey STATIONS_FOLDER SURVEYS_FOLDER
/// dock.csv: the 60 distances and three checks that app::plan_survey chooses for the dock, read on a table
/// out of square by kDockShear. loft.csv: rows and columns out of square by kShear, columns too far apart by
/// kPitchX, every hole off by chance, H7 by kBadX, kBadY besides. loft-autumn.csv: half a year later, D4 has
/// moved by kMovedX. tests/app/survey_example_test.cpp holds the answers against the same figures.
#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "app/plan_survey.hpp"
#include "files/observation_file.hpp"
#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "station/geometry.hpp"
#include "support/dock_table.hpp"
#include "support/oracle.hpp"
#include "support/simulate.hpp"

namespace {

using namespace quarterturn;
using station::Hole;

constexpr double kShear = 3e-4, kPitchX = 1e-4, kHoleSd = 0.08, kOversize1 = 0.01, kOversize2 = -0.01;
constexpr double kBadX = 0.6, kBadY = -0.45, kMovedX = 0.35;
constexpr double kReadingU = 0.022, kCornerU = 3e-5, kStickU = 0.03;
constexpr int kNeighbours = 60, kDiagonals = 24;

using Place = std::map<Hole, test::Point>;  // how far each hole is off

Place draw(const station::Grid& grid, std::mt19937_64& random) {
  Place at;
  for (int c = 1; c <= grid.columns; ++c) {
    for (int r = 1; r <= grid.rows; ++r) {
      const double x = grid.pitch.mm() * (c - 6), y = grid.pitch.mm() * (r - 6);
      at[{c, r}] = {kPitchX * x - kShear * y + kHoleSd * test::normal(random),
                    kHoleSd * test::normal(random)};
    }
  }
  at[{8, 7}].x += kBadX;
  at[{8, 7}].y += kBadY;
  return at;
}

double apart(const station::Grid& grid, const Place& at, Hole a, Hole b) {
  const station::Vec p = station::hole_centre(grid, a), q = station::hole_centre(grid, b);
  return std::hypot(q.x + at.at(b).x - p.x - at.at(a).x, q.y + at.at(b).y - p.y - at.at(a).y);
}

double rounded(double value, double steps) {
  return std::round(value * steps) / steps;
}

files::ObservationRow length(const station::Grid& grid, const Place& at, Hole a, Hole b, survey::Taken taken,
                             std::mt19937_64& random) {
  const double pins = (20 + kOversize1 + kOversize2) * (taken == survey::Taken::outside ? 1 : -1);
  const double read = apart(grid, at, a, b) + pins + kReadingU * test::normal(random);
  files::ObservationRow row;
  row.observation = survey::distance(a, b, taken, rounded(read, 100), 0, "steel-1", "steel-2");
  return row;
}

/// Of the exact tangents, with its dogs as they stand or exchanged.
files::ObservationRow corner(const station::Station& station, station::Setup setup, const Place& at,
                             std::mt19937_64& random) {
  setup.bar.reset();
  test::Table table = test::table_of(station, setup);
  for (auto [dog, post] :
       {std::pair{&table.rail_near, &setup.rail.first}, std::pair{&table.rail_far, &setup.rail.second},
        std::pair{&table.fence_left, &setup.fence.first},
        std::pair{&table.fence_right, &setup.fence.second}}) {
    dog->shift = at.at(post->hole);
    if (post->dog == "steel-1") dog->diameter_mm += 2 * kOversize1;
    if (post->dog == "steel-2") dog->diameter_mm += 2 * kOversize2;
  }
  const double eps = test::exact_eps(table) + kCornerU * test::normal(random);
  files::ObservationRow row;
  row.observation = survey::corner(setup, rounded(eps * 600, 1000) / 600, 0.018 / 600);
  return row;
}

files::ObservationFile measured(const station::Station& station, const Place& at, std::mt19937_64& random) {
  const station::Grid& grid = station.grid;
  files::ObservationFile file;
  file.station = station.name;
  file.setup = "crosscut";
  file.caliper = check::Caliper{"digital", 0.01, 0.012, 0.25, 150};
  file.note = "invented, scenery workshop";
  std::vector<std::pair<Hole, Hole>> along, across;
  for (int c = 1; c <= grid.columns; ++c) {
    for (int r = 1; r <= grid.rows; ++r) {
      if (c < grid.columns) along.push_back({{c, r}, {c + 1, r}});
      if (r < grid.rows) along.push_back({{c, r}, {c, r + 1}});
      if (c < grid.columns && r < grid.rows) across.push_back({{c, r}, {c + 1, r + 1}});
      if (c < grid.columns && r < grid.rows) across.push_back({{c + 1, r}, {c, r + 1}});
    }
  }
  // H7 and D4 by all that is around them, the rest by chance.
  const auto take = [&](auto& all, int count, survey::Taken taken) {
    const auto near = [](const auto& pair) {
      const auto is = [&](Hole h) { return pair.first == h || pair.second == h; };
      return is({8, 7}) || is({4, 4});
    };
    std::stable_partition(all.begin(), all.end(), near);
    const auto fixed = static_cast<std::size_t>(std::count_if(all.begin(), all.end(), near));
    for (std::size_t i = fixed; i < static_cast<std::size_t>(count); ++i)
      std::swap(all[i], all[i + random() % (all.size() - i)]);
    all.resize(static_cast<std::size_t>(count));
    std::sort(all.begin(), all.end());
    for (const auto& pair : all)
      file.rows.push_back(length(grid, at, pair.first, pair.second, taken, random));
  };
  take(along, kNeighbours, survey::Taken::outside);
  take(across, kDiagonals, survey::Taken::inside);
  // Four rectangles, both diagonals of each by one stick and feelers.
  for (const auto& [a, b] :
       {std::pair<Hole, Hole>{{1, 1}, {11, 11}}, {{2, 1}, {10, 9}}, {{1, 3}, {8, 11}}, {{4, 1}, {11, 10}}}) {
    const Hole c{b.column, a.row}, d{a.column, b.row};
    const double by = apart(grid, at, a, b) - apart(grid, at, c, d) + kStickU * test::normal(random);
    files::ObservationRow row;
    row.observation = survey::compare(a, b, c, d, rounded(by, 100), kStickU);
    file.rows.push_back(row);
  }
  station::Setup setup = station.setup("crosscut");
  file.rows.push_back(corner(station, setup, at, random));
  std::swap(setup.rail.first.dog, setup.rail.second.dog);
  file.rows.push_back(corner(station, setup, at, random));
  std::swap(setup.fence.first.dog, setup.fence.second.dog);
  file.rows.push_back(corner(station, setup, at, random));
  return file;
}

/// What the plan asks for, read on that table.
files::ObservationFile dock_measured(const station::Station& dock, std::mt19937_64& random) {
  const test::DockTable table = test::dock_table(dock.grid, random);
  app::SurveyPlanRequest request;
  request.station = dock;
  std::tie(request.dog_1, request.dog_2) = app::usual_dogs(dock);
  request.distances = 60;
  request.closing = survey::Closing::checks;
  files::ObservationFile file;
  file.station = dock.name;
  file.setup = "crosscut";
  file.date = "2026-02-21";
  file.caliper = check::Caliper{"digital", 0.01, 0.012, 0.25, 150};
  file.note = "invented, scenery workshop";
  for (files::ObservationRow row : app::plan_survey(request, nullptr).rows) {
    survey::Observation& o = row.observation;
    row.measured = true;
    if (o.kind == survey::Kind::distance) {
      const double pins = 20 + test::dock_oversize(o.dog_from) + test::dock_oversize(o.dog_to);
      o.value =
          rounded(apart(dock.grid, table.off, o.from, o.to) + pins + kReadingU * test::normal(random), 100);
    } else {
      station::Setup setup = dock.setup("crosscut");
      setup.rail = {{o.from, o.dog_from}, {o.to, o.dog_to}};
      setup.fence = {{o.via[0], o.dog_via[0]}, {o.via[1], o.dog_via[1]}};
      const double eps =
          test::exact_eps(test::dock_setup(dock, setup, table)) + kCornerU * test::normal(random);
      o.value = rounded(eps * 600, 1000) / 600;
      o.u = 0.018 / 600;
    }
    file.rows.push_back(std::move(row));
  }
  return file;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const std::string stations = argv[1], surveys = argv[2];
  const station::Station loft = files::parse_station(files::read_text(stations + "/loft.json"));
  std::mt19937_64 random(401);
  Place at = draw(loft.grid, random);
  files::ObservationFile file = measured(loft, at, random);
  file.date = "2026-04-11";
  std::ofstream(surveys + "/loft.csv") << files::write_observations(file);
  at[{4, 4}].x += kMovedX;
  file = measured(loft, at, random);
  file.date = "2026-10-03";
  std::ofstream(surveys + "/loft-autumn.csv") << files::write_observations(file);
  const station::Station dock = files::parse_station(files::read_text(stations + "/dock.json"));
  std::mt19937_64 again(test::kDockSeed);
  std::ofstream(surveys + "/dock.csv") << files::write_observations(dock_measured(dock, again));
  return 0;
}
