// SPDX-License-Identifier: MIT
#include "survey/to_measure.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace quarterturn::survey {
namespace {

std::vector<Candidate> of_kind(const std::vector<Candidate>& all, Kind kind) {
  std::vector<Candidate> out;
  std::copy_if(all.begin(), all.end(), std::back_inserter(out),
               [&](const Candidate& one) { return one.observation.kind == kind; });
  return out;
}

bool same(const Observation& a, const Observation& b) {
  return a.kind == b.kind && a.taken == b.taken && a.via == b.via && a.dogs() == b.dogs() &&
         ((a.from == b.from && a.to == b.to) ||
          (a.kind == Kind::distance && a.from == b.to && a.to == b.from));
}

/// The same length over the same dogs, whichever stood where.
bool was_made(const Known& known, const Candidate& candidate) {
  Observation turned = candidate.observation;
  std::swap(turned.dog_from, turned.dog_to);
  return std::any_of(known.made.begin(), known.made.end(), [&](const Observation& made) {
    return same(made, candidate.observation) ||
           (made.kind == Kind::distance && turned.kind == Kind::distance && same(made, turned));
  });
}

/// Takes so many of a list, best first, and counts them as made.
void choose(Known& known, std::vector<Candidate> list, const Wanted& wanted, int how_many,
            std::vector<Observation>& out, double& minutes) {
  std::erase_if(list, [&](const Candidate& one) { return was_made(known, one); });
  if (list.empty() || how_many < 1) return;
  Greedy greedy(known, list, wanted);
  for (int taken = 0; taken < how_many; ++taken) {
    const std::optional<std::size_t> best = greedy.best();
    if (!best) break;
    greedy.take(*best);
    out.push_back(list[*best].observation);
    minutes += list[*best].minutes;
  }
  known.made.insert(known.made.end(), out.begin(), out.end());
}

double far(Hole a, Hole b) {
  return std::hypot(a.column - b.column, a.row - b.row);
}

}  // namespace

int usual_distances(const station::Grid& grid) {
  return std::max(1, (3 * grid.columns * grid.rows + 4) / 5);
}

ToMeasure to_measure(const Known& known, const ToMeasureOptions& options) {
  const std::vector<Candidate> all = candidates(known.station, options.next);
  const std::vector<Candidate> closing = options.closing == Closing::none    ? std::vector<Candidate>{}
                                         : options.closing == Closing::stick ? of_kind(all, Kind::compare)
                                                                             : of_kind(all, Kind::corner);
  const Wanted wanted = [&](const MixedModel& model) {
    return options.lines ? model.row_of(eps_of(known.station, *options.lines)) : model.row_of(Effect::shear);
  };
  ToMeasure out;
  Known now = known;
  const auto take_distances = [&](const Wanted& by) {
    choose(now, of_kind(all, Kind::distance), by, options.distances, out.distances, out.minutes);
  };
  const auto u_now = [&]() { return now.made.empty() ? std::nullopt : u_of(now, wanted); };
  if (options.lines) {
    // What distances tell of a setup rests on what closes: that comes first.
    Known without = known;
    choose(now, closing, wanted, options.closings, out.closing, out.minutes);
    take_distances(wanted);
    without.made.insert(without.made.end(), out.distances.begin(), out.distances.end());
    if (!without.made.empty()) out.u_distances = u_of(without, wanted);
  } else {
    take_distances({});
    out.u_distances = u_now();
    choose(now, closing, wanted, options.closings, out.closing, out.minutes);
  }
  out.u_all = u_now();
  out.distances = in_walking_order(std::move(out.distances));
  return out;
}

std::vector<Observation> in_walking_order(std::vector<Observation> distances) {
  std::sort(distances.begin(), distances.end(), [](const Observation& a, const Observation& b) {
    const auto key = [](const Observation& o) {
      const int row = std::min(o.from.row, o.to.row);
      const int along = o.from.column + o.to.column;  // there in odd rows, back in even ones
      return std::tuple(row, row % 2 == 1 ? along : -along, o.from.row + o.to.row, o.from, o.to);
    };
    return key(a) < key(b);
  });
  std::optional<Hole> first, second;  // where the two dogs stand
  for (Observation& o : distances) {
    if (first) {
      const auto moves = [&](Hole a, Hole b) {
        const int lifted = (a == *first ? 0 : 1) + (b == *second ? 0 : 1);
        return std::pair(lifted, far(a, *first) + far(b, *second));
      };
      if (moves(o.to, o.from) < moves(o.from, o.to)) std::swap(o.from, o.to);
    }
    first = o.from;
    second = o.to;
  }
  return distances;
}

double walked(const std::vector<Observation>& distances) {
  double sum = 0;
  for (std::size_t i = 1; i < distances.size(); ++i) {
    const Observation &a = distances[i - 1], &b = distances[i];
    sum += std::hypot(a.from.column + a.to.column - b.from.column - b.to.column,
                      a.from.row + a.to.row - b.from.row - b.to.row) /
           2;
  }
  return sum;
}

}  // namespace quarterturn::survey
