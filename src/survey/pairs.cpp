// SPDX-License-Identifier: MIT
#include "survey/pairs.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::survey {
namespace {

/// One line with N^-1 c.
struct Line {
  Hole first, second;
  Row row;
  std::vector<stats::Entry> scaled;
  std::vector<double> solved;
  double variance = 0, value = 0;
};

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

class Table {
 public:
  Table(const Adjustment& adjustment, const PairOptions& options)
      : adjustment_(adjustment), options_(options) {}

  [[nodiscard]] std::vector<Line> rails() const {
    const station::Grid& grid = adjustment_.station().grid;
    std::vector<Line> out;
    for (const int c : all_or(options_.columns, grid.columns, "columns")) {
      for (int a = 1; a <= grid.rows; ++a) {
        for (int b = a + options_.fewest_pitches; b <= grid.rows; ++b) add(out, {c, a}, {c, b}, true);
      }
    }
    return out;
  }
  [[nodiscard]] std::vector<Line> fences() const {
    const station::Grid& grid = adjustment_.station().grid;
    std::vector<Line> out;
    for (const int r : all_or(options_.rows, grid.rows, "rows")) {
      for (int a = 1; a <= grid.columns; ++a) {
        for (int b = a + options_.fewest_pitches; b <= grid.columns; ++b) add(out, {a, r}, {b, r}, false);
      }
    }
    return out;
  }

  /// eps = rail - fence; the fence line comes with its sign turned.
  [[nodiscard]] PairResult pair(const Line& rail, const Line& fence) const {
    PairResult out{rail.first, rail.second, fence.first, fence.second, 0, 0, 0, 0, {}};
    const double variance = rail.variance + fence.variance + 2 * inner(rail.scaled, fence.solved);
    out.eps = rail.value + fence.value;
    out.u = std::sqrt(std::max(variance, 0.0));
    out.probability = within(out, check::kUnbounded);
    return out;
  }
  /// The same with all that a single estimate has.
  [[nodiscard]] PairResult finished(PairResult pair, const Line& rail, const Line& fence) const {
    std::vector<double> solved = rail.solved;
    for (std::size_t i = 0; i < solved.size(); ++i) solved[i] += fence.solved[i];
    Row both = rail.row;
    both.random.insert(both.random.end(), fence.row.random.begin(), fence.row.random.end());
    both.fixed += fence.row.fixed;
    both.fresh += fence.row.fresh;
    both.newly_put += fence.row.newly_put;
    const check::Estimate estimate = adjustment_.estimate_from(both, solved);
    pair.u = estimate.u;
    pair.dof = estimate.dof;
    pair.probability = within(pair, pair.dof);
    for (const Hole& hole : {pair.near, pair.far, pair.left, pair.right}) {
      if (!adjustment_.model().index_of(hole)) pair.unseen.push_back(hole);
    }
    return pair;
  }
  [[nodiscard]] std::vector<std::string> undetermined(const Line& rail, const Line& fence) const {
    Row both;
    both.fixed = rail.row.fixed + fence.row.fixed;
    both.unseen_dogs = rail.row.unseen_dogs;
    both.unseen_dogs.insert(both.unseen_dogs.end(), fence.row.unseen_dogs.begin(),
                            fence.row.unseen_dogs.end());
    both.size = rail.row.size + fence.row.size;
    return adjustment_.model().undetermined(both);
  }

 private:
  [[nodiscard]] double within(const PairResult& pair, double dof) const {
    const double t = options_.tolerance_rad;
    return stats::t_probability((t - pair.eps) / pair.u, dof) -
           stats::t_probability((-t - pair.eps) / pair.u, dof);
  }
  void add(std::vector<Line>& out, Hole first, Hole second, bool rail) const {
    const station::Station& station = adjustment_.station();
    if (!station.grid.has(first) || !station.grid.has(second)) return;
    Lines lines = lines_of_holes(first, second, first, second);
    if (options_.dogs) {
      const std::array<std::string, 4>& dogs = *options_.dogs;
      lines.rail = {{first, dogs[0]}, {second, dogs[1]}};
      lines.fence = {{first, dogs[2]}, {second, dogs[3]}};
    }
    lines.rail_on_face = options_.rail_on_face;
    lines.panel_side = options_.panel_side;
    Line line;
    line.first = first;
    line.second = second;
    const Functional turn = rail ? rail_turn(station.grid, lines) : -1.0 * fence_turn(station.grid, lines);
    line.row = adjustment_.model().row_of(turn);
    line.scaled = adjustment_.model().scaled(line.row, adjustment_.components().theta);
    line.solved = adjustment_.solve(line.row);
    line.variance = inner(line.scaled, line.solved) + fresh(line.row);
    line.value = inner(line.scaled, adjustment_.factored().solution) +
                 (rail ? nominal_rail_turn(station, lines) : -nominal_fence_turn(station, lines));
    out.push_back(std::move(line));
  }
  [[nodiscard]] double fresh(const Row& row) const {
    return MixedModel::besides(row, adjustment_.components().theta);
  }
  const Adjustment& adjustment_;
  const PairOptions& options_;
};

/// A pair with its lines' places, while many are compared.
struct Candidate {
  PairResult pair;
  std::size_t rail, fence;
};

bool better(const PairResult& a, const PairResult& b, RankBy by) {
  if (by == RankBy::probability) return a.probability > b.probability;
  return std::fabs(a.eps) + a.u < std::fabs(b.eps) + b.u;
}

bool shares_a_hole(const Line& a, const Line& b) {
  return a.first == b.first || a.first == b.second || a.second == b.first || a.second == b.second;
}

}  // namespace

// (M112)
PairTable rank_pairs(const Adjustment& adjustment, const PairOptions& options) {
  const Table table(adjustment, options);
  const std::vector<Line> rails = table.rails(), fences = table.fences();
  PairTable out;
  std::vector<Candidate> best;  // a heap, the worst on top
  const auto order = [&](const Candidate& a, const Candidate& b) {
    return better(a.pair, b.pair, options.rank_by);
  };
  std::set<std::string> because;
  for (std::size_t r = 0; r < rails.size(); ++r) {
    for (std::size_t f = 0; f < fences.size(); ++f) {
      if (shares_a_hole(rails[r], fences[f])) continue;
      if (options.usable &&
          !options.usable(rails[r].first, rails[r].second, fences[f].first, fences[f].second)) {
        continue;
      }
      ++out.considered;
      const std::vector<std::string> why = table.undetermined(rails[r], fences[f]);
      if (!why.empty()) {
        ++out.undetermined;
        because.insert(why.begin(), why.end());
        continue;
      }
      best.push_back({table.pair(rails[r], fences[f]), r, f});
      std::push_heap(best.begin(), best.end(), order);
      if (best.size() > options.most) {
        std::pop_heap(best.begin(), best.end(), order);
        best.pop_back();
      }
    }
  }
  std::sort_heap(best.begin(), best.end(), order);
  for (const Candidate& one : best)
    out.best.push_back(table.finished(one.pair, rails[one.rail], fences[one.fence]));
  std::stable_sort(out.best.begin(), out.best.end(),
                   [&](const PairResult& a, const PairResult& b) { return better(a, b, options.rank_by); });
  out.because.assign(because.begin(), because.end());
  return out;
}

}  // namespace quarterturn::survey
