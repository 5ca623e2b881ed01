// SPDX-License-Identifier: MIT
#include "survey/solved_lines.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::survey {
namespace {

double inner(const std::vector<stats::Entry>& a, const std::vector<double>& b) {
  double sum = 0;
  for (const stats::Entry& e : a) sum += e.value * b[static_cast<std::size_t>(e.index)];
  return sum;
}

std::vector<int> all_or(const std::vector<int>& given, int count, const char* what) {
  std::vector<int> out = given;
  if (out.empty()) {
    for (int i = 1; i <= count; ++i) out.push_back(i);
  }
  for (const int i : out) {
    if (i < 1 || i > count) {
      throw units::InputError(what, std::to_string(i), "from 1 to " + std::to_string(count));
    }
  }
  return out;
}

bool shares_a_hole(const SolvedLine& a, const SolvedLine& b) {
  return a.first == b.first || a.first == b.second || a.second == b.first || a.second == b.second;
}

}  // namespace

Row joined(const Row& rail, const Row& fence) {
  Row both = rail;
  both.random.insert(both.random.end(), fence.random.begin(), fence.random.end());
  both.fixed += fence.fixed;
  both.fresh += fence.fresh;
  both.newly_put += fence.newly_put;
  both.unseen_dogs.insert(both.unseen_dogs.end(), fence.unseen_dogs.begin(), fence.unseen_dogs.end());
  both.size += fence.size;
  return both;
}

std::vector<double> joined(const std::vector<double>& rail, const std::vector<double>& fence) {
  std::vector<double> solved = rail;
  for (std::size_t i = 0; i < solved.size(); ++i) solved[i] += fence[i];
  return solved;
}

std::vector<SolvedLine> SolvedLines::rails() const {
  const station::Grid& grid = adjustment_.station().grid;
  std::vector<SolvedLine> out;
  for (const int c : all_or(options_.columns, grid.columns, "columns")) {
    for (int a = 1; a <= grid.rows; ++a) {
      for (int b = a + options_.fewest_pitches; b <= grid.rows; ++b) add(out, {c, a}, {c, b}, true);
    }
  }
  return out;
}

std::vector<SolvedLine> SolvedLines::fences() const {
  const station::Grid& grid = adjustment_.station().grid;
  std::vector<SolvedLine> out;
  for (const int r : all_or(options_.rows, grid.rows, "rows")) {
    for (int a = 1; a <= grid.columns; ++a) {
      for (int b = a + options_.fewest_pitches; b <= grid.columns; ++b) add(out, {a, r}, {b, r}, false);
    }
  }
  return out;
}

void SolvedLines::add(std::vector<SolvedLine>& out, Hole first, Hole second, bool rail) const {
  const station::Grid& grid = adjustment_.station().grid;
  if (grid.has(first) && grid.has(second)) out.push_back(line(first, second, rail));
}

SolvedLine SolvedLines::line(Hole first, Hole second, bool rail) const {
  const station::Station& station = adjustment_.station();
  Lines lines = lines_of_holes(first, second, first, second);
  if (options_.dogs) {
    const std::array<std::string, 4>& dogs = *options_.dogs;
    lines.rail = {{first, dogs[0]}, {second, dogs[1]}};
    lines.fence = {{first, dogs[2]}, {second, dogs[3]}};
  }
  lines.rail_on_face = options_.rail_on_face;
  lines.panel_side = options_.panel_side;
  SolvedLine line;
  line.first = first;
  line.second = second;
  line.turn = rail ? rail_turn(station.grid, lines) : -1.0 * fence_turn(station.grid, lines);
  if (options_.dogs_as_stated) line.turn.dogs.clear();
  line.row = adjustment_.model().row_of(line.turn);
  const std::vector<double>& theta = adjustment_.components().theta;
  line.scaled = adjustment_.model().scaled(line.row, theta);
  line.solved = adjustment_.solve(line.row);
  line.variance = inner(line.scaled, line.solved) + MixedModel::besides(line.row, theta);
  line.value = inner(line.scaled, adjustment_.factored().solution) +
               (rail ? nominal_rail_turn(station, lines) : -nominal_fence_turn(station, lines));
  return line;
}

PairResult SolvedLines::pair(const SolvedLine& rail, const SolvedLine& fence) const {
  PairResult out{rail.first, rail.second, fence.first, fence.second, 0, 0, 0, 0, {}};
  const double variance = rail.variance + fence.variance + 2 * inner(rail.scaled, fence.solved);
  out.eps = rail.value + fence.value;
  out.u = std::sqrt(std::max(variance, 0.0));
  out.probability = within(out, check::kUnbounded);
  return out;
}

PairResult SolvedLines::finished(PairResult pair, const SolvedLine& rail, const SolvedLine& fence) const {
  const check::Estimate estimate =
      adjustment_.estimate_from(joined(rail.row, fence.row), joined(rail.solved, fence.solved));
  pair.u = estimate.u;
  pair.dof = estimate.dof;
  pair.probability = within(pair, pair.dof);
  for (const Hole& hole : {pair.near, pair.far, pair.left, pair.right}) {
    if (!adjustment_.model().index_of(hole)) pair.unseen.push_back(hole);
  }
  return pair;
}

std::vector<std::string> SolvedLines::undetermined(const SolvedLine& rail, const SolvedLine& fence) const {
  Row both;
  both.fixed = rail.row.fixed + fence.row.fixed;
  both.unseen_dogs = rail.row.unseen_dogs;
  both.unseen_dogs.insert(both.unseen_dogs.end(), fence.row.unseen_dogs.begin(), fence.row.unseen_dogs.end());
  both.size = rail.row.size + fence.row.size;
  return adjustment_.model().undetermined(both);
}

double SolvedLines::covariance(const SolvedLine& a, const SolvedLine& b) const {
  return inner(a.scaled, b.solved) +
         adjustment_.model().besides(a.turn, b.turn, adjustment_.components().theta);
}

bool SolvedLines::fit(const SolvedLine& rail, const SolvedLine& fence) const {
  return !shares_a_hole(rail, fence) &&
         (!options_.usable || options_.usable(rail.first, rail.second, fence.first, fence.second));
}

double SolvedLines::within(const PairResult& pair, double dof) const {
  const double t = options_.tolerance_rad;
  return stats::t_probability((t - pair.eps) / pair.u, dof) -
         stats::t_probability((-t - pair.eps) / pair.u, dof);
}

}  // namespace quarterturn::survey
