// SPDX-License-Identifier: MIT
/// \file moves.hpp
/// Every way to turn the rail against the fence that the station's data make possible, one function a family
/// of means.
///
/// In       what is wanted: a change of eps [rad]; the dogs of the lines that are known
/// Out      moves with their change of eps, its standard uncertainty, and the instruction in words
/// Maths    METHOD.md (M4), (M44)–(M47), (M49), (M50), (M116)
/// Assumes  a dog stands where its hole is; its play in the hole lets it stand anywhere in it (sd play/4 a
/// direction)
#pragma once

#include <string>
#include <vector>

#include "correct/correct.hpp"

namespace quarterturn::correct {

/// A dog of a line that is known, and what moving the line there does.
struct Place {
  WhichDog dog = WhichDog::none;
  bool rail = true, second = false;
  const station::ContactLine* line = nullptr;
  const station::Post* post = nullptr;   ///< empty from options alone
  const station::Dog* stands = nullptr;  ///< the dog that stands there; empty from options alone
  double per_normal = 0;  ///< change of eps a mm of the line along n [rad/mm]; 0 when the face is not known
  double per_m = 0;       ///< change of eps a mm of the dog along m [rad/mm]
};

struct Wanted {
  const Request& request;
  double mu = 0;  ///< what eps is believed to be; the change wanted is -mu
  double v = 0;   ///< with that variance
  std::vector<Place> places;
};
Wanted wanted_of(const Request& request, double mu);

/// `FAR rail dog (E10)`
std::string named(const Place& place);
/// `right`, `left`, `operator's side`, `far side`; empty when not known
std::string face_of(const Place& place);
/// `to the right`, `towards you`; two directions with their amounts `{x}` and `{y}` for a slanting one
std::string direction_words(station::Vec shift_mm);
/// Play of the dog in its hole [mm], >= 0.
double play_mm(const Request& request, const Place& place);
/// A person's word inside a pattern: inert on a terminal, without braces.
std::string safe_word(const std::string& word);
/// A move of the line at that place by `along_n_mm` (or along m), its numbers and what it leaves filled in.
Move move_along_normal(const Wanted& wanted, const Place& place, Means means, double along_n_mm, double u_mm);
Move move_along_m(const Wanted& wanted, const Place& place, Means means, double along_m_mm, double u_mm);
/// Fills what follows from the rest: minutes, whether it can be undone, what remains (M49).
void finish(const Wanted& wanted, Move& move);

std::vector<Move> shim_moves(const Wanted& wanted);  ///< the person's own shims, best stack of each line
std::vector<Move> unnamed_shim_moves(const Wanted& wanted);  ///< a thickness to be found
std::vector<Move> re_seat_moves(const Wanted& wanted);
std::vector<Move> turn_dog_moves(const Wanted& wanted);
std::vector<Move> eccentric_moves(const Wanted& wanted);
std::vector<Move> exchange_moves(const Wanted& wanted);
std::vector<Move> turn_bar_moves(const Wanted& wanted);
std::vector<Move> other_rail_moves(const Wanted& wanted);
std::vector<Move> wider_pair_moves(const Wanted& wanted);
/// Empty `use`: there is no survey.
std::vector<Move> other_holes_moves(const Wanted& wanted, std::optional<SurveyUse>& use);
std::vector<Move> re_bore_moves(const Wanted& wanted);
std::vector<Move> plain_shifts(const Wanted& wanted);  ///< each of the dogs known, nulling eps as estimated

inline constexpr double kMoveReadingMm =
    0.01;  ///< how well a move of a dog is read; common practice, no source

}  // namespace quarterturn::correct
