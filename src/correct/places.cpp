// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cmath>

#include "correct/moves.hpp"
#include "station/play.hpp"
#include "units/input_error.hpp"

namespace quarterturn::correct {
namespace {

using station::Vec;

Place place_of(const Request& request, WhichDog dog, const station::ContactLine& line,
               const station::Post* post) {
  Place place;
  place.dog = dog;
  place.rail = dog == WhichDog::rail_near || dog == WhichDog::rail_far;
  place.second = dog == WhichDog::rail_far || dog == WhichDog::fence_right;
  place.line = &line;
  place.post = post;
  if (post != nullptr && request.station != nullptr) {
    const auto found = request.station->dogs.find(post->dog);
    if (found != request.station->dogs.end()) place.stands = &found->second;
  }
  const auto change = place.rail ? station::eps_change_rail : station::eps_change_fence;
  place.per_normal = change(line, place.second, line.n);
  place.per_m = change(line, place.second, line.m);
  return place;
}

Move move_by(const Wanted& wanted, const Place& place, Means means, Vec shift_mm, double u_mm) {
  const auto change = place.rail ? station::eps_change_rail : station::eps_change_fence;
  Move move;
  move.means = means;
  move.dog = place.dog;
  if (place.post != nullptr) move.hole = place.post->hole;
  move.shift_x_mm = shift_mm.x;
  move.shift_y_mm = shift_mm.y;
  move.moved_rad = change(*place.line, place.second, shift_mm);
  move.u_action_rad = u_mm / place.line->baseline_mm;
  move.numbers = {{"amount", std::hypot(shift_mm.x, shift_mm.y)},
                  {"x", std::fabs(shift_mm.x)},
                  {"y", std::fabs(shift_mm.y)}};
  finish(wanted, move);
  return move;
}

}  // namespace

Wanted wanted_of(const Request& request, double mu) {
  Wanted wanted{request, mu, 0, {}};
  const station::Setup* setup = request.setup;
  const auto add = [&](WhichDog dog, const std::optional<station::ContactLine>& line,
                       const station::Post* post) {
    if (line) wanted.places.push_back(place_of(request, dog, *line, post));
  };
  add(WhichDog::rail_far, request.geometry.rail, setup != nullptr ? &setup->rail.second : nullptr);
  add(WhichDog::rail_near, request.geometry.rail, setup != nullptr ? &setup->rail.first : nullptr);
  add(WhichDog::fence_right, request.geometry.fence, setup != nullptr ? &setup->fence.second : nullptr);
  add(WhichDog::fence_left, request.geometry.fence, setup != nullptr ? &setup->fence.first : nullptr);
  return wanted;
}

std::string named(const Place& place) {
  const std::string hole = place.post != nullptr ? " (" + place.post->hole.name() + ")" : "";
  switch (place.dog) {
    case WhichDog::rail_far:
      return "FAR rail dog" + hole;
    case WhichDog::rail_near:
      return "NEAR rail dog" + hole;
    case WhichDog::fence_right:
      return "RIGHT fence dog" + hole;
    case WhichDog::fence_left:
      return "LEFT fence dog" + hole;
    case WhichDog::none:
      break;
  }
  return "dog" + hole;
}

std::string face_of(const Place& place) {
  const Vec n = place.line->n, m = place.line->m;
  const double side = station::dot(n, m);  // +1: left of first-to-second
  if (side == 0) return "";
  if (place.rail) return side < 0 ? "right" : "left";
  return side < 0 ? "operator's side" : "far side";
}

std::string direction_words(Vec shift_mm) {
  std::string x = shift_mm.x >= 0 ? "to the right" : "to the left";
  std::string y = shift_mm.y >= 0 ? "away from you" : "towards you";
  const double slant = 1e-6 * std::hypot(shift_mm.x, shift_mm.y);
  if (std::fabs(shift_mm.y) <= slant) return x;
  if (std::fabs(shift_mm.x) <= slant) return y;
  return "at right angles to its line ({x} " + x + ", {y} " + y + ")";
}

double play_mm(const Request& request, const Place& place) {
  if (place.stands == nullptr || request.station == nullptr) return 0;
  return station::play_mm(request.station->grid, *place.stands);
}

std::string safe_word(const std::string& word) {
  std::string safe = units::inert(word);
  std::replace(safe.begin(), safe.end(), '{', '(');
  std::replace(safe.begin(), safe.end(), '}', ')');
  return safe;
}

Move move_along_normal(const Wanted& wanted, const Place& place, Means means, double along_n_mm,
                       double u_mm) {
  return move_by(wanted, place, means, along_n_mm * place.line->n, u_mm);
}
Move move_along_m(const Wanted& wanted, const Place& place, Means means, double along_m_mm, double u_mm) {
  return move_by(wanted, place, means, along_m_mm * place.line->m, u_mm);
}

// (M49) eps - moved, +- sqrt(u^2 + u_a^2), with the change's own sign
void finish(const Wanted& wanted, Move& move) {
  const MeansRow& row = means_row(move.means);
  if (move.minutes == 0) move.minutes = row.minutes;
  move.undoable = row.undoable;
  move.remaining_rad = wanted.request.eps_rad + (move.bound_only ? 0.0 : move.moved_rad);
  move.remaining_u_rad = std::hypot(wanted.request.u_rad, move.u_action_rad);
}

std::vector<Move> plain_shifts(const Wanted& wanted) {
  std::vector<Move> moves;
  if (wanted.request.eps_rad == 0) return moves;
  for (const Place& place : wanted.places) {
    Move move =
        move_along_m(wanted, place, Means::shift, -wanted.request.eps_rad / place.per_m, kMoveReadingMm);
    move.text = "Move the " + named(place) + " by {amount} " +
                direction_words({move.shift_x_mm, move.shift_y_mm}) + ".";
    moves.push_back(std::move(move));
  }
  return moves;
}

}  // namespace quarterturn::correct
