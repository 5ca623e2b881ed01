// SPDX-License-Identifier: MIT
#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>

#include "correct/moves.hpp"

namespace quarterturn::correct {
namespace {

constexpr double kAskRailStraightRad = 0.10 / 600;  // a larger correction may be the bow of the rail (M6)

/// What a move is expected to leave: (mu + d)^2 + u_a^2, against mu^2 + nothing if it is left alone (M42).
/// Of other holes that is known at once with eps now, whose own variance the others leave out here.
double left_over(const Wanted& wanted, const Move& move) {
  if (move.other_holes)
    return move.remaining_rad * move.remaining_rad + move.remaining_u_rad * move.remaining_u_rad - wanted.v;
  const double missed = wanted.mu + move.moved_rad;
  return missed * missed + move.u_action_rad * move.u_action_rad;
}

/// Whether the move pays by itself; whether what it leaves would not pay to be moved again; whether it leaves
/// at most half of what is allowed; whether that is known well enough for the move to be made at once (M42).
struct Worth {
  bool pays = false, enough = false, half = false, at_once = false;
};
Worth worth_of(const Wanted& wanted, const Move& move) {
  if (move.bound_only) return {};
  const double cost = std::pow(kMoveCostShare * wanted.request.tolerance_rad, 2);
  const double half = std::pow(wanted.request.tolerance_rad / 2, 2);
  const double left = left_over(wanted, move);
  return {wanted.mu * wanted.mu > left + cost, left <= cost, left <= half,
          wanted.v + move.u_action_rad * move.u_action_rad <= half};
}

void append(std::vector<Move>& all, std::vector<Move> some) {
  all.insert(all.end(), std::make_move_iterator(some.begin()), std::make_move_iterator(some.end()));
}

/// All means but the plain shifts; a move of known size that makes it worse is no way to correct.
std::vector<Move> ways(const Wanted& wanted, std::optional<SurveyUse>& use) {
  std::vector<Move> moves = shim_moves(wanted);
  // Where the check is too uncertain for any means, another shim would not help.
  const bool any_at_once = wanted.v <= std::pow(wanted.request.tolerance_rad / 2, 2);
  const bool own_shims_do = std::any_of(moves.begin(), moves.end(), [&](const Move& move) {
    const Worth worth = worth_of(wanted, move);
    return worth.pays && worth.half && (worth.at_once || !any_at_once);
  });
  if (!own_shims_do) {
    for (Move& move : unnamed_shim_moves(wanted)) {
      if (worth_of(wanted, move).pays) moves.push_back(std::move(move));
    }
  }
  append(moves, re_seat_moves(wanted));
  append(moves, turn_dog_moves(wanted));
  append(moves, eccentric_moves(wanted));
  append(moves, exchange_moves(wanted));
  append(moves, turn_bar_moves(wanted));
  append(moves, other_rail_moves(wanted));
  append(moves, wider_pair_moves(wanted));
  append(moves, other_holes_moves(wanted, use));
  append(moves, re_bore_moves(wanted));
  std::erase_if(moves, [&](const Move& move) {
    return !move.bound_only && !move.other_holes &&
           !(std::fabs(wanted.mu + move.moved_rad) < std::fabs(wanted.mu));
  });
  return moves;
}

/// By minutes, by whether it can be undone, by what remains.
void rank(const Wanted& wanted, std::vector<Move>& moves) {
  const auto key = [&](const Move& move) {
    const double left = move.bound_only ? wanted.mu * wanted.mu + move.u_action_rad * move.u_action_rad
                                        : left_over(wanted, move);
    return std::tuple(move.minutes, !move.undoable, left);
  };
  std::stable_sort(moves.begin(), moves.end(), [&](const Move& a, const Move& b) { return key(a) < key(b); });
}

/// Of the moves that pay the first in rank that leaves nothing worth a second move and is known well enough
/// to be made at once (M42); then the first that may be made at once and leaves at most half of what is
/// allowed; then one that asks for more measuring first; else what leaves least.
std::vector<Move>::iterator best_of(const Wanted& wanted, std::vector<Move>& moves) {
  const std::array<bool (*)(const Worth&), 3> kinds{[](const Worth& w) { return w.enough && w.at_once; },
                                                    [](const Worth& w) { return w.half && w.at_once; },
                                                    [](const Worth& w) { return w.enough; }};
  for (const auto is_of_kind : kinds) {
    const auto found = std::find_if(moves.begin(), moves.end(), [&](const Move& move) {
      const Worth worth = worth_of(wanted, move);
      return worth.pays && is_of_kind(worth);
    });
    if (found != moves.end()) return found;
  }
  auto best = moves.end();
  for (auto it = moves.begin(); it != moves.end(); ++it) {
    if (!worth_of(wanted, *it).pays) continue;
    if (best == moves.end() || left_over(wanted, *it) < left_over(wanted, *best)) best = it;
  }
  return best;
}

/// Uncertainty of the means that would be taken: of the advised one, else the surest there is.
double surest_action(const std::vector<Move>& moves, const std::vector<Move>& shifts) {
  double least = -1;
  for (const auto* list : {&moves, &shifts}) {
    for (const Move& move : *list) {
      if (!move.bound_only && (least < 0 || move.u_action_rad < least)) least = move.u_action_rad;
    }
    if (least >= 0) break;
  }
  return std::max(least, 0.0);
}

}  // namespace

Advice advise(const Request& request) {
  const auto decided = [&](double u_action) {
    return decide(request.eps_rad, request.u_rad, request.prior, u_action, request.tolerance_rad,
                  request.last);
  };
  const Decision alone = decided(0);
  Wanted wanted = wanted_of(request, alone.mu);
  wanted.v = alone.v;
  Advice advice;
  advice.moves = ways(wanted, advice.survey);
  rank(wanted, advice.moves);
  std::vector<Move> shifts = plain_shifts(wanted);
  const auto best = best_of(wanted, advice.moves);
  const bool found = best != advice.moves.end();
  advice.decision = decided(found ? best->u_action_rad : surest_action(advice.moves, shifts));
  if (found && advice.decision.correct != Correct::no && !advice.decision.find_first) {
    advice.has_best = true;
    best->advised = advice.decision.correct == Correct::yes;
    std::rotate(advice.moves.begin(), best, best + 1);
  }
  append(advice.moves, std::move(shifts));
  advice.ask_rail_straight =
      advice.decision.correct != Correct::no && std::fabs(wanted.mu) > kAskRailStraightRad;
  return advice;
}

void hold_back(Advice& advice, bool keep_best) {
  if (advice.decision.correct == Correct::yes) advice.decision.correct = Correct::unclear;
  for (Move& move : advice.moves) move.advised = false;
  if (!keep_best) advice.has_best = advice.ask_rail_straight = false;
}

}  // namespace quarterturn::correct
