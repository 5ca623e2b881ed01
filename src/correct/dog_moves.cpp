// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include "correct/moves.hpp"

namespace quarterturn::correct {
namespace {

using station::Dog;

double square(double x) {
  return x * x;
}

/// e cos psi of (M45): how far the dog's eccentricity carries its contact along the normal [mm], after a turn
/// of `turn_deg` counter-clockwise; 0 for a true dog. Only asked of dogs whose direction is known.
double eccentric_mm(const Dog& dog, const station::ContactLine& line, double turn_deg = 0) {
  if (!dog.eccentric || !dog.eccentric_deg) return 0;
  const double direction = (*dog.eccentric_deg + turn_deg) * std::numbers::pi / 180;
  return dog.eccentric->mm() * station::dot({std::cos(direction), std::sin(direction)}, line.n);
}
double size_of_eccentric_mm(const Dog& dog) {
  return dog.eccentric ? dog.eccentric->mm() : 0;
}
bool direction_unknown(const Dog& dog) {
  return size_of_eccentric_mm(dog) > 0 && !dog.eccentric_deg;
}

/// The largest change in the direction wanted, and nothing promised.
void only_a_bound(const Wanted& wanted, Move& move, double bound_rad) {
  move.bound_only = true;
  move.moved_rad = wanted.mu > 0 ? -bound_rad : bound_rad;
  finish(wanted, move);
}

Move half_turn_unknown(const Wanted& wanted, const Place& place) {
  const double e_mm = size_of_eccentric_mm(*place.stands);
  // 2 e cos psi with psi anywhere has the standard deviation sqrt(2) e
  Move move = move_along_normal(wanted, place, Means::turn_dog, 0, std::numbers::sqrt2 * e_mm);
  only_a_bound(wanted, move, 2 * e_mm * std::fabs(place.per_normal));
  move.text = "Turn the " + named(place) +
              " by half a turn and measure again: it moves the line there by at most {most}.";
  move.numbers["most"] = 2 * e_mm;
  return move;
}

std::string turn_words(double turn_deg) {
  if (turn_deg == 180) return "half a turn";
  return turn_deg == 90 ? "a quarter turn to the left (counter-clockwise, seen from above)"
                        : "a quarter turn to the right (clockwise, seen from above)";
}

/// In place, or with a spare: the dog's eccentricity carries the contact to where it is wanted.
std::optional<Move> eccentric_move(const Wanted& wanted, const Place& place, const std::string& name,
                                   const Dog& dog, bool spare) {
  const double needed_mm = -wanted.mu / place.per_normal;
  const double radius_difference = spare ? (dog.diameter - place.stands->diameter).mm() / 2 : 0;
  const double to_reach = eccentric_mm(*place.stands, *place.line) + needed_mm - radius_difference;
  if (!(std::fabs(to_reach) <= size_of_eccentric_mm(dog))) return std::nullopt;
  const double u_mm = std::hypot(kMoveReadingMm, play_mm(wanted.request, place) / 4);
  Move move = move_along_normal(wanted, place, Means::eccentric, needed_mm, u_mm);
  move.face = face_of(place);
  const std::string line = place.rail ? "the rail" : "the fence";
  move.text = (spare ? "Put dog " + safe_word(name) + " in place of the " + named(place) + " and turn it"
                     : "Loosen the " + named(place) + " and turn it") +
              " until " + line + " stands {amount} further " +
              direction_words({move.shift_x_mm, move.shift_y_mm}) + " there; then fix it.";
  return move;
}

}  // namespace

std::vector<Move> re_seat_moves(const Wanted& wanted) {
  std::string holes;
  double bound_rad = 0, variance = 0;
  const Place* loosest = nullptr;
  for (const Place& place : wanted.places) {
    if (place.stands == nullptr) continue;
    if (place.stands->held != station::Held::pushed && place.stands->held != station::Held::wedged) continue;
    holes += (holes.empty() ? "" : ", ") + place.post->hole.name();
    const double reach_rad = play_mm(wanted.request, place) * std::fabs(place.per_m);
    bound_rad += reach_rad;
    variance += square(reach_rad / 4);
    if (loosest == nullptr || reach_rad > play_mm(wanted.request, *loosest) * std::fabs(loosest->per_m))
      loosest = &place;
  }
  if (loosest == nullptr) return {};
  Move move = move_along_m(wanted, *loosest, Means::re_seat, 0, 0);
  move.u_action_rad = std::sqrt(variance);
  only_a_bound(wanted, move, bound_rad);
  move.text = "Lift each dog that is not screwed (" + holes +
              "), clean hole and pin, push it home; then measure again.";
  return {move};
}

// (M45) contact e cos psi before, e cos(psi + turn) after: half a turn -2 e cos psi, a quarter -e (cos psi +-
// sin psi)
std::vector<Move> turn_dog_moves(const Wanted& wanted) {
  std::vector<Move> moves;
  for (const Place& place : wanted.places) {
    if (place.stands == nullptr || size_of_eccentric_mm(*place.stands) <= 0) continue;
    if (direction_unknown(*place.stands)) {
      moves.push_back(half_turn_unknown(wanted, place));
      continue;
    }
    const auto carried_mm = [&](double turn_deg) {
      return eccentric_mm(*place.stands, *place.line, turn_deg) - eccentric_mm(*place.stands, *place.line);
    };
    const auto left = [&](double turn_deg) {
      return std::fabs(wanted.mu + place.per_normal * carried_mm(turn_deg));
    };
    double best = 180;
    for (const double turn_deg : {90.0, 270.0}) {
      if (left(turn_deg) < left(best)) best = turn_deg;
    }
    Move move = move_along_normal(wanted, place, Means::turn_dog, carried_mm(best),
                                  play_mm(wanted.request, place) / 4);
    move.text = "Turn the " + named(place) + " by " + turn_words(best) +
                ": it carries its contact {amount} " + direction_words({move.shift_x_mm, move.shift_y_mm}) +
                ".";
    moves.push_back(std::move(move));
  }
  return moves;
}

std::vector<Move> eccentric_moves(const Wanted& wanted) {
  std::vector<Move> moves;
  if (wanted.request.station == nullptr || wanted.mu == 0) return moves;
  std::set<std::string> standing;
  for (const Place& place : wanted.places) {
    if (place.post != nullptr) standing.insert(place.post->dog);
  }
  for (const Place& place : wanted.places) {
    if (place.stands == nullptr || direction_unknown(*place.stands)) continue;
    if (auto move = eccentric_move(wanted, place, place.post->dog, *place.stands, false)) {
      moves.push_back(std::move(*move));
      continue;
    }
    for (const auto& [name, dog] : wanted.request.station->dogs) {
      if (standing.contains(name)) continue;
      if (auto move = eccentric_move(wanted, place, name, dog, true)) {
        moves.push_back(std::move(*move));
        break;
      }
    }
  }
  return moves;
}

// (M46) the contacts' distances from their holes change places
std::vector<Move> exchange_moves(const Wanted& wanted) {
  std::vector<Move> moves;
  for (const Place& far : wanted.places) {
    if (!far.second || far.stands == nullptr) continue;
    for (const Place& near : wanted.places) {
      if (near.line != far.line || near.second || near.stands == nullptr) continue;
      const Dog &one = *near.stands, &two = *far.stands;
      const double radii_mm = (two.diameter - one.diameter).mm() / 2;
      const double shift_mm = -2 * (radii_mm + eccentric_mm(two, *far.line) - eccentric_mm(one, *far.line));
      const double u_mm = std::hypot(play_mm(wanted.request, near), play_mm(wanted.request, far)) / 4;
      // Two dogs that both move by half of it turn the line as one that moves by all of it.
      Move move = move_along_normal(wanted, far, Means::exchange_dogs, shift_mm, u_mm);
      if (direction_unknown(one) || direction_unknown(two)) {
        const double most_mm =
            2 * (std::fabs(radii_mm) + size_of_eccentric_mm(one) + size_of_eccentric_mm(two));
        only_a_bound(wanted, move, most_mm * std::fabs(far.per_normal));
      } else if (shift_mm == 0) {
        continue;
      }
      move.dog = WhichDog::none;
      move.hole.reset();
      move.text =
          "Exchange the " + named(near) + " and the " + named(far) + ", each pointing the way it did.";
      moves.push_back(std::move(move));
    }
  }
  return moves;
}

}  // namespace quarterturn::correct
