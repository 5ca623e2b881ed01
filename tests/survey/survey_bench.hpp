// SPDX-License-Identifier: MIT
/// \file survey_bench.hpp
/// A table to survey, lists of observations on it, and what they would read on a table that is out of place.
#pragma once

#include <cmath>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "support/simulate.hpp"
#include "survey/design.hpp"

namespace quarterturn::test {

using station::Hole;
using survey::Observation;

inline constexpr double kPitchMm = 96, kDistanceU = 0.03, kHoleSd = 0.1, kCheckU = 3e-5;

/// An invented table of the scenery workshop: nominal dogs of 20 mm.
inline station::Station survey_table(int columns = 9, int rows = 11) {
  station::Station station;
  station.name = "loft";
  station.grid.pitch = units::Length::from_mm(kPitchMm);
  station.grid.columns = columns;
  station.grid.rows = rows;
  for (const char* dog : {"tall-1", "tall-2", "low-1", "low-2", "pin-1", "pin-2"}) {
    station.dogs[dog] = {dog, units::Length::from_mm(20), {}, {}, {}, {}};
  }
  return station;
}

/// A distance with its nominal value, outside over two pins.
inline Observation length_of(Hole a, Hole b, survey::Taken taken = survey::Taken::outside) {
  const double l = kPitchMm * std::hypot(b.column - a.column, b.row - a.row);
  const double pins = taken == survey::Taken::centre ? 0 : taken == survey::Taken::outside ? 20 : -20;
  const bool named = taken != survey::Taken::centre;
  return survey::distance(a, b, taken, l + pins, kDistanceU, named ? "pin-1" : "", named ? "pin-2" : "");
}

inline void add_neighbours(std::vector<Observation>& out, const station::Grid& grid,
                           survey::Taken taken = survey::Taken::outside) {
  for (int c = 1; c <= grid.columns; ++c)
    for (int r = 1; r <= grid.rows; ++r) {
      if (c < grid.columns) out.push_back(length_of({c, r}, {c + 1, r}, taken));
      if (r < grid.rows) out.push_back(length_of({c, r}, {c, r + 1}, taken));
    }
}
/// All diagonals over dc columns and dr rows, both ways round.
inline void add_diagonals(std::vector<Observation>& out, const station::Grid& grid, int dc, int dr,
                          survey::Taken taken = survey::Taken::outside) {
  for (int c = 1; c + dc <= grid.columns; ++c)
    for (int r = 1; r + dr <= grid.rows; ++r) {
      out.push_back(length_of({c, r}, {c + dc, r + dr}, taken));
      out.push_back(length_of({c + dc, r}, {c, r + dr}, taken));
    }
}

/// So many of them, chosen by chance.
inline std::vector<Observation> some_of(std::vector<Observation> all, std::size_t count,
                                        std::mt19937_64& random) {
  for (std::size_t i = 0; i < count; ++i) std::swap(all[i], all[i + random() % (all.size() - i)]);
  all.resize(count);
  return all;
}

/// A check on rail holes (column, near and far row) and fence holes (row, left and right column).
inline Observation check_on(int column, int near, int far, int row, int left, int right) {
  station::Setup setup;
  setup.rail = {{{column, near}, "tall-1"}, {{column, far}, "tall-2"}};
  setup.fence = {{{left, row}, "low-1"}, {{right, row}, "low-2"}};
  return survey::corner(setup, 0, kCheckU);
}

/// What the table is like.
struct Truth {
  double pitch_x = 0, pitch_y = 0, shear = 0;
  double hole_sd = kHoleSd, row_shift = 0, row_tilt_mm = 0;  ///< tilt: at the ends of the row
};

inline survey::Displaced draw(const station::Grid& grid, const Truth& truth, std::mt19937_64& random) {
  survey::Displaced at;
  const double half = 0.5 * kPitchMm * (grid.columns - 1);
  for (int r = 1; r <= grid.rows; ++r) {
    const double shift_x = truth.row_shift * normal(random), shift_y = truth.row_shift * normal(random);
    const double tilt = truth.row_tilt_mm * normal(random) / half;
    for (int c = 1; c <= grid.columns; ++c) {
      const double x = kPitchMm * (c - 0.5 * (grid.columns + 1)), y = kPitchMm * (r - 0.5 * (grid.rows + 1));
      at.holes[{c, r}] = {
          truth.pitch_x * x - truth.shear * y / 2 + shift_x + truth.hole_sd * normal(random),
          truth.pitch_y * y - truth.shear * x / 2 + shift_y + tilt * x + truth.hole_sd * normal(random)};
    }
  }
  return at;
}

/// Reads every observation on that table.
inline void read_all(std::vector<Observation>& observations, const station::Station& station,
                     const survey::Displaced& at, std::mt19937_64& random) {
  for (Observation& o : observations) o.value = survey::exact_value(station, o, at) + o.u * normal(random);
}

}  // namespace quarterturn::test
