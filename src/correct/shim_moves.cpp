// SPDX-License-Identifier: MIT
#include <cmath>

#include "correct/moves.hpp"
#include "correct/shims.hpp"

namespace quarterturn::correct {
namespace {

constexpr int kMinutesToFindStock = 10;

const std::vector<station::Shim>& shims_of(const Request& request) {
  return request.station != nullptr && request.shims.empty() ? request.station->shims : request.shims;
}

std::string layers_words(const std::vector<Part>& parts) {
  std::string text;
  for (const Part& part : parts) {
    text += (text.empty() ? "" : " and ") + std::to_string(part.layers) +
            (part.layers == 1 ? " layer of " : " layers of ") + safe_word(part.shim);
  }
  return text;
}

std::string where_words(const Request& request, const Place& place) {
  if (!place.rail && request.geometry.bar_length_mm) {
    return "between the fence bar and the " + named(place) + ", " + face_of(place) + " of the dog";
  }
  return "on the " + named(place) + ", " + face_of(place) +
         (place.rail ? " face, where the rail touches" : ", where the panel touches");
}

/// A dog that is not screwed may not be home: a shim would then correct dust.
std::string home_first(const Place& place) {
  if (place.stands == nullptr) return "";
  const bool loose =
      place.stands->held == station::Held::pushed || place.stands->held == station::Held::wedged;
  return loose ? "First clean hole " + place.post->hole.name() + " and push its dog home; then " : "";
}

/// The dog of each known line that a shim must go on: it moves the line along n only, so the sign decides.
std::vector<const Place*> places_for_shims(const Wanted& wanted) {
  std::vector<const Place*> places;
  for (const Place& place : wanted.places) {
    if (place.per_normal * -wanted.mu > 0) places.push_back(&place);
  }
  return places;
}

/// The rail's face is not known, so which dog takes the shim is told both ways.
Move either_dog(const Wanted& wanted, const Place& far) {
  Place as_right = far;
  station::ContactLine line = *far.line;
  line.n = -1.0 * line.m;
  as_right.line = &line;
  const double signed_mm = wanted.mu * line.baseline_mm;  // > 0: the far dog if its right face is touched
  Move move = move_along_normal(wanted, as_right, Means::shim, signed_mm, kMoveReadingMm);
  move.dog = WhichDog::none;
  move.hole.reset();
  const bool far_right = signed_mm > 0;
  move.text = std::string("A shim of {amount} between the rail and its ") + (far_right ? "FAR" : "NEAR") +
              " dog if the rail rests on the right faces of its dogs, its " + (far_right ? "NEAR" : "FAR") +
              " dog if on their left faces; measure the shim before it goes in.";
  return move;
}

}  // namespace

// (M44) d_eps = -n·m z / B at a rail's far dog and a fence's left dog, + at the others
std::vector<Move> shim_moves(const Wanted& wanted) {
  std::vector<Move> moves;
  for (const Place* place : places_for_shims(wanted)) {
    const auto stack = nearest_stack(shims_of(wanted.request), -wanted.mu / place->per_normal);
    if (!stack) continue;
    Move move = move_along_normal(wanted, *place, Means::shim, stack->thickness_mm, stack->u_mm);
    move.face = face_of(*place);
    move.parts = stack->parts;
    move.one_layer_rad = std::fabs(stack->first_layer_mm * place->per_normal);
    move.text =
        home_first(*place) + layers_words(stack->parts) + " " + where_words(wanted.request, *place) + ".";
    moves.push_back(std::move(move));
  }
  return moves;
}

std::vector<Move> unnamed_shim_moves(const Wanted& wanted) {
  std::vector<Move> moves;
  for (const Place* place : places_for_shims(wanted)) {
    Move move =
        move_along_normal(wanted, *place, Means::shim, -wanted.mu / place->per_normal, kMoveReadingMm);
    move.face = face_of(*place);
    move.text = (home_first(*place).empty() ? "A" : home_first(*place) + "a") +
                std::string(" shim of {amount} ") + where_words(wanted.request, *place) +
                "; measure the shim before it goes in.";
    moves.push_back(std::move(move));
  }
  for (const Place& place : wanted.places) {
    if (place.dog == WhichDog::rail_far && place.per_normal == 0 && wanted.mu != 0) {
      moves.push_back(either_dog(wanted, place));
    }
  }
  for (Move& move : moves) move.minutes = kMinutesToFindStock;
  return moves;
}

}  // namespace quarterturn::correct
