// SPDX-License-Identifier: MIT
/// \file bench_survey.hpp
/// A grid of holes that are a little off, with distances between neighbours; all invented. The same numbers
/// on every machine.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include "stats/network_adjustment.hpp"

namespace quarterturn::test {

inline constexpr double kBenchPitchMm = 96;

struct BenchDistance {
  int from = 0, to = 0;  ///< row * columns + column
  double value = 0, sigma = 0.03;
};

struct BenchSurvey {
  int columns = 0, rows = 0;
  std::vector<BenchDistance> distances;
  [[nodiscard]] int unknowns() const { return 2 * columns * rows; }
  [[nodiscard]] double x(int k) const { return kBenchPitchMm * (k % columns - 0.5 * (columns - 1)); }
  [[nodiscard]] double y(int k) const { return kBenchPitchMm * (k / columns - 0.5 * (rows - 1)); }
};

/// Uniform on -1 to 1: a linear congruential generator's upper bits.
class BenchDraw {
 public:
  double operator()() {
    state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<double>(static_cast<std::int64_t>(state_)) * 0x1p-63;
  }

 private:
  std::uint64_t state_ = 20260314;
};

/// Along, across and on both diagonals: four a hole, but at the edges.
inline BenchSurvey bench_survey(int columns, int rows) {
  BenchSurvey survey{columns, rows, {}};
  BenchDraw draw;
  std::vector<double> off(static_cast<std::size_t>(survey.unknowns()));
  for (double& one : off) one = 0.15 * draw();
  const auto apart = [&](int a, int b) {
    const auto i = static_cast<std::size_t>(a), j = static_cast<std::size_t>(b);
    return std::hypot(survey.x(b) + off[2 * j] - survey.x(a) - off[2 * i],
                      survey.y(b) + off[2 * j + 1] - survey.y(a) - off[2 * i + 1]);
  };
  const auto add = [&](int c, int r, int to_c, int to_r) {
    if (to_c < 0 || to_c >= columns || to_r >= rows) return;
    const int from = r * columns + c, to = to_r * columns + to_c;
    const double read = apart(from, to) + 0.05 * draw();
    survey.distances.push_back({from, to, std::round(1e4 * read) / 1e4, 0.03});
  };
  for (int r = 0; r < rows; ++r)
    for (int c = 0; c < columns; ++c) {
      add(c, r, c + 1, r);
      add(c, r, c, r + 1);
      add(c, r, c + 1, r + 1);
      add(c, r, c - 1, r + 1);
    }
  return survey;
}

/// Displacements of the holes, all of them together neither moved nor turned. The survey must outlive it.
inline stats::Network bench_network(const BenchSurvey& survey) {
  stats::Network network;
  const auto n = static_cast<std::size_t>(survey.unknowns());
  network.start.assign(n, 0);
  for (const BenchDistance& d : survey.distances) network.observations.push_back({d.value, d.sigma});
  network.model = [&survey](int i, std::span<const double> x, std::vector<stats::Entry>& out) {
    const BenchDistance& d = survey.distances[static_cast<std::size_t>(i)];
    const auto a = 2 * static_cast<std::size_t>(d.from), b = 2 * static_cast<std::size_t>(d.to);
    const double dx = survey.x(d.to) + x[b] - survey.x(d.from) - x[a],
                 dy = survey.y(d.to) + x[b + 1] - survey.y(d.from) - x[a + 1], length = std::hypot(dx, dy);
    out = {{2 * d.from, -dx / length},
           {2 * d.from + 1, -dy / length},
           {2 * d.to, dx / length},
           {2 * d.to + 1, dy / length}};
    return length;
  };
  network.datum.assign(3, std::vector<double>(n, 0));
  for (int k = 0; k < survey.columns * survey.rows; ++k) {
    const auto i = 2 * static_cast<std::size_t>(k);
    network.datum[0][i] = network.datum[1][i + 1] = 1;
    network.datum[2][i] = -survey.y(k) / kBenchPitchMm;
    network.datum[2][i + 1] = survey.x(k) / kBenchPitchMm;
  }
  return network;
}

/// 320 angles at holes all over the grid, from one leg to the other by small shifts; of near ones the legs
/// end at the next hole along and across, of far ones half the grid away.
inline std::vector<std::vector<stats::Entry>> bench_angles(const BenchSurvey& survey, bool far) {
  std::vector<std::vector<stats::Entry>> angles;
  const int along = far ? survey.columns / 2 : 1, across = far ? survey.rows / 2 : 1;
  const int wide = survey.columns - along, high = survey.rows - across;
  for (int i = 0; i < 320; ++i) {
    const int k = static_cast<int>(static_cast<std::int64_t>(i) * wide * high / 320);
    const int at = k / wide * survey.columns + k % wide;
    const int first = at + along, second = at + across * survey.columns;
    std::vector<stats::Entry> angle;
    for (const auto& [leg, sign] : {std::pair{first, -1.0}, std::pair{second, 1.0}}) {
      const double dx = survey.x(leg) - survey.x(at), dy = survey.y(leg) - survey.y(at),
                   squared = dx * dx + dy * dy;
      angle.push_back({2 * leg, -sign * dy / squared});
      angle.push_back({2 * leg + 1, sign * dx / squared});
      angle.push_back({2 * at, sign * dy / squared});
      angle.push_back({2 * at + 1, -sign * dx / squared});
    }
    angles.push_back(std::move(angle));
  }
  return angles;
}

}  // namespace quarterturn::test
