// SPDX-License-Identifier: MIT
#include <cmath>
#include <limits>
#include <numeric>

#include "correct/moves.hpp"

namespace quarterturn::correct {
namespace {

using station::Hole;

constexpr double kUsualPanelMm =
    600;  // panel edge a tolerance is stated over, when none is; common practice, no source
constexpr double kShareUnderPanel =
    0.75;                             // an outer fence dog farther out is soon left by the shrinking panel
constexpr double kClearOfSawMm = 30;  // an inner fence dog this far from the cut; common practice, no source
constexpr double kLeastGain = 1.1;    // a pair less than a tenth longer is not worth its new holes

const Place* place_at(const Wanted& wanted, WhichDog dog) {
  for (const Place& place : wanted.places) {
    if (place.dog == dog) return &place;
  }
  return nullptr;
}

double drill_scatter_mm(const Request& request) {
  if (request.station != nullptr && request.station->grid.drill_scatter)
    return request.station->grid.drill_scatter->mm();
  return kDrillScatterMm;
}

/// One line's two posts, the step between holes along it, and how far it may grow.
struct Extent {
  Hole first, second;
  int columns = 0, rows = 0;  ///< one step from first towards second
  double step_mm = 0;
};

Extent extent_of(const station::Station& station, const station::DogPair& pair) {
  Extent extent{pair.first.hole, pair.second.hole, 0, 0, 0};
  const int columns = extent.second.column - extent.first.column, rows = extent.second.row - extent.first.row;
  const int steps = std::gcd(columns, rows);
  extent.columns = columns / steps;
  extent.rows = rows / steps;
  extent.step_mm = station.grid.pitch.mm() * std::hypot(extent.columns, extent.rows);
  return extent;
}

bool is_free(const Request& request, Hole hole) {
  if (!request.station->grid.has(hole)) return false;
  for (const auto* pair : {&request.setup->rail, &request.setup->fence}) {
    if (pair->first.hole == hole || pair->second.hole == hole) return false;
  }
  return true;
}

/// How many steps outward one dog of the pair may go: `sign` -1 for the first, +1 for the second; 0 is always
/// among them. A fence dog stays clear of the saw and under the panel.
std::vector<int> outward_steps(const Request& request, const Extent& extent, int sign, bool rail) {
  const auto room = station::room_of(*request.station, *request.setup);
  const bool left = request.setup->keep == station::Side::left;
  const auto& over = request.setup->tolerance ? request.setup->tolerance->over : std::nullopt;
  const double farthest_mm = kShareUnderPanel * (over ? over->mm() : kUsualPanelMm);
  const bool away_from_cut = (sign < 0) == left;
  std::vector<int> steps{0};
  const Hole from = sign < 0 ? extent.first : extent.second;
  for (int k = 1; rail || room; ++k) {
    const Hole hole{from.column + sign * k * extent.columns, from.row + sign * k * extent.rows};
    if (hole.column < 1 || hole.row < 1 || hole.column > request.station->grid.columns ||
        hole.row > request.station->grid.rows) {
      break;
    }
    if (!is_free(request, hole)) continue;
    if (!rail) {
      const double stands_mm = away_from_cut ? room->fence_outer_mm : room->fence_inner_mm;
      const double then_mm = stands_mm + (away_from_cut ? k : -k) * extent.step_mm;
      if (then_mm < kClearOfSawMm || then_mm > farthest_mm) continue;
    }
    steps.push_back(k);
  }
  return steps;
}

/// The longest free pair on the line: how many steps each dog goes outward.
std::pair<int, int> widest(const Request& request, const Extent& extent, double present_mm, bool rail) {
  double most_mm = std::numeric_limits<double>::infinity();
  const auto found = request.station->rails.find(request.setup->rail_name);
  if (rail && found != request.station->rails.end()) most_mm = found->second.length.mm();
  if (!rail && request.geometry.bar_length_mm) most_mm = *request.geometry.bar_length_mm;
  std::pair<int, int> best{0, 0};
  const auto second_steps = outward_steps(request, extent, +1, rail);
  for (const int a : outward_steps(request, extent, -1, rail)) {
    for (const int b : second_steps) {
      const bool longer = a + b > best.first + best.second;
      if (longer && present_mm + (a + b) * extent.step_mm <= most_mm) best = {a, b};
    }
  }
  return best;
}

std::optional<Move> wider_pair_move(const Wanted& wanted, const Place& second, bool rail) {
  const Request& request = wanted.request;
  const auto& pair = rail ? request.setup->rail : request.setup->fence;
  const Extent extent = extent_of(*request.station, pair);
  const double present_mm = second.line->baseline_mm;
  const auto [a, b] = widest(request, extent, present_mm, rail);
  const double wider_mm = present_mm + (a + b) * extent.step_mm;
  if (wider_mm < kLeastGain * present_mm) return std::nullopt;
  const Hole first_hole{extent.first.column - a * extent.columns, extent.first.row - a * extent.rows};
  const Hole second_hole{extent.second.column + b * extent.columns, extent.second.row + b * extent.rows};
  Move move = move_along_m(wanted, second, Means::wider_pair, 0, 0);
  // (M50) what is left of the error of holes is divided by the longer distance
  move.u_action_rad = std::hypot(drill_scatter_mm(request), drill_scatter_mm(request)) / wider_mm;
  move.bound_only = true;
  move.moved_rad = -wanted.mu * (1 - present_mm / wider_mm);
  move.dog = WhichDog::none;
  move.hole = b > 0 ? second_hole : first_hole;
  move.numbers = {{"now", present_mm}, {"then", wider_mm}};
  move.text = std::string("Put the ") + (rail ? "rail" : "fence") + " dogs in " + first_hole.name() +
              " and " + second_hole.name() + ", {then} apart instead of {now}; then measure again.";
  finish(wanted, move);
  return move;
}

}  // namespace

// (M47) the panel side of a bar of taper t over length L is turned by -(n·m) t/L; end for end, by as much the
// other way
std::vector<Move> turn_bar_moves(const Wanted& wanted) {
  const Place* right = place_at(wanted, WhichDog::fence_right);
  if (wanted.request.setup == nullptr || !wanted.request.setup->bar || right == nullptr) return {};
  const station::Bar& bar = *wanted.request.setup->bar;
  Move move = move_along_m(wanted, *right, Means::turn_bar, 0, 0);
  move.dog = WhichDog::none;
  move.hole.reset();
  if (bar.taper) {
    if (bar.taper->mm() == 0) return {};
    move.moved_rad = -2 * station::dot(right->line->n, right->line->m) * bar.taper->mm() / bar.length.mm();
    move.text = "Turn the fence bar end for end.";
  } else {
    move.bound_only = true;
    move.moved_rad = 0;
    // Turned, a taper counts twice: half of what is missing over the bar's length is what it would have to
    // be.
    move.numbers["taper"] = std::fabs(wanted.mu) * bar.length.mm() / 2;
    move.text =
        "Measure the fence bar's width at both ends; if one end is wider by about {taper}, turn the bar end "
        "for end "
        "and measure again.";
  }
  finish(wanted, move);
  return {move};
}

std::vector<Move> other_rail_moves(const Wanted& wanted) {
  const Request& request = wanted.request;
  const Place* far = place_at(wanted, WhichDog::rail_far);
  if (request.station == nullptr || request.setup == nullptr || request.setup->rail_name.empty() ||
      far == nullptr)
    return {};
  std::vector<Move> moves;
  for (const auto& [name, rail] : request.station->rails) {
    if (name == request.setup->rail_name || rail.length.mm() < far->line->baseline_mm) continue;
    Move move = move_along_m(wanted, *far, Means::other_rail, 0, 0);
    move.dog = WhichDog::none;
    move.hole.reset();
    move.bound_only = true;
    move.text = "Use the rail '" + safe_word(name) + "' instead of '" + safe_word(request.setup->rail_name) +
                "' and measure again: it tells a bent rail from dogs out of place.";
    finish(wanted, move);
    moves.push_back(std::move(move));
  }
  return moves;
}

std::vector<Move> wider_pair_moves(const Wanted& wanted) {
  std::vector<Move> moves;
  if (wanted.request.station == nullptr || wanted.request.setup == nullptr) return moves;
  for (const WhichDog dog : {WhichDog::rail_far, WhichDog::fence_right}) {
    const Place* second = place_at(wanted, dog);
    if (second == nullptr) continue;
    if (auto move = wider_pair_move(wanted, *second, dog == WhichDog::rail_far))
      moves.push_back(std::move(*move));
  }
  return moves;
}

// (M50)
std::vector<Move> re_bore_moves(const Wanted& wanted) {
  std::vector<Move> moves;
  if (wanted.mu == 0) return moves;
  for (const WhichDog dog : {WhichDog::rail_far, WhichDog::fence_right}) {
    const Place* place = place_at(wanted, dog);
    if (place == nullptr) continue;
    const double u_mm = std::hypot(drill_scatter_mm(wanted.request), play_mm(wanted.request, *place) / 4);
    Move move = move_along_m(wanted, *place, Means::re_bore, -wanted.mu / place->per_m, u_mm);
    const std::string way = direction_words({move.shift_x_mm, move.shift_y_mm});
    if (place->post == nullptr) {
      move.text = "Plug the hole of the " + named(*place) + ", then bore it anew {amount} " + way +
                  " of where it is.";
    } else {
      const station::Grid& grid = wanted.request.station->grid;
      const station::Vec from_corner =
          station::hole_centre(grid, place->post->hole) - station::hole_centre(grid, Hole{1, 1});
      move.numbers["right"] = from_corner.x + move.shift_x_mm;
      move.numbers["away"] = from_corner.y + move.shift_y_mm;
      move.text = "Plug the hole of the " + named(*place) + ", then bore it anew {amount} " + way +
                  ": by the grid its centre is then {right} to the right of A1 and {away} away from you.";
    }
    moves.push_back(std::move(move));
  }
  return moves;
}

}  // namespace quarterturn::correct
