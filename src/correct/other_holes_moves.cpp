// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cmath>

#include "correct/moves.hpp"
#include "survey/other_holes.hpp"

namespace quarterturn::correct {
namespace {

using station::Hole;

constexpr double kClearOfSawMm = 30;       // as for a wider pair; common practice, no source
constexpr double kShareUnderPanel = 0.75;  // an outer fence dog farther out is soon left by the panel
constexpr double kUsualPanelMm = 600;      // common practice, no source
constexpr int kMinutesOfBoth = 25;         // common practice, no source
constexpr double kBothMustLeave = 0.8;     // of what one line's other holes leave, for the longer work

bool along_the_grid(const station::Setup& setup) {
  return std::fabs(setup.nominal_deg - 90) < 0.01 &&
         setup.rail.first.hole.column == setup.rail.second.hole.column &&
         setup.fence.first.hole.row == setup.fence.second.hole.row;
}

/// Rail and bar reach over both dogs; fence dogs stay clear of the saw and under the panel, or where they
/// are.
bool carries(const Request& request, Hole near, Hole far, Hole left, Hole right) {
  const station::Station& station = *request.station;
  const double pitch = station.grid.pitch.mm();
  const auto rail = station.rails.find(request.setup->rail_name);
  if (rail != station.rails.end() && (far.row - near.row) * pitch > rail->second.length.mm()) return false;
  if (request.setup->bar && (right.column - left.column) * pitch > request.setup->bar->length.mm())
    return false;
  station::Setup then = *request.setup;
  then.rail.first.hole = near;
  then.rail.second.hole = far;
  then.fence.first.hole = left;
  then.fence.second.hole = right;
  const auto room = station::room_of(station, then), now = station::room_of(station, *request.setup);
  if (!room || !now) return false;
  const auto& over = request.setup->tolerance ? request.setup->tolerance->over : std::nullopt;
  const double farthest = kShareUnderPanel * (over ? over->mm() : kUsualPanelMm);
  return room->fence_inner_mm >= std::min(kClearOfSawMm, now->fence_inner_mm) - 1e-6 &&
         room->fence_outer_mm <= std::max(farthest, now->fence_outer_mm) + 1e-6;
}

std::vector<HoleChange> changes_of(const station::Setup& now, const survey::Lines& then) {
  std::vector<HoleChange> out;
  const auto add = [&](WhichDog dog, const station::Post& a, const station::Post& b) {
    if (!(a.hole == b.hole)) out.push_back({dog, a.hole, b.hole});
  };
  add(WhichDog::rail_near, now.rail.first, then.rail.first);
  add(WhichDog::rail_far, now.rail.second, then.rail.second);
  add(WhichDog::fence_left, now.fence.first, then.fence.first);
  add(WhichDog::fence_right, now.fence.second, then.fence.second);
  return out;
}

std::string text_of(const std::vector<HoleChange>& changes) {
  std::string text = "Put the ";
  for (std::size_t i = 0; i < changes.size(); ++i) {
    std::string name(dog_words(changes[i].dog));
    const std::size_t blank = name.find(' ');
    std::transform(name.begin(), name.begin() + static_cast<std::ptrdiff_t>(blank), name.begin(),
                   [](char c) { return static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c); });
    text += (i == 0                    ? ""
             : i + 1 == changes.size() ? " and the "
                                       : ", the ") +
            name + " from " + changes[i].from.name() + " into " + changes[i].to.name();
  }
  return text + ", the same " + (changes.size() == 1 ? "dog, on the same side." : "dogs, on the same sides.");
}

Move move_of(const Wanted& wanted, const survey::OtherHoles& found) {
  const Request& request = wanted.request;
  Move move;
  move.means = Means::other_holes;
  if (found.rail && found.fence) move.minutes = kMinutesOfBoth;
  move.moved_rad = found.known.then - request.eps_rad;
  const double over = found.known.v_then - request.u_rad * request.u_rad;
  move.u_action_rad = std::sqrt(std::max(over, 0.0));
  finish(wanted, move);
  move.remaining_rad = found.known.then;
  move.remaining_u_rad = std::sqrt(found.known.v_then);
  OtherHolesMove other;
  other.changes = changes_of(*request.setup, found.lines);
  other.change_rad = found.change;
  other.change_u_rad = found.change_u;
  other.improves = found.known.improves();
  other.within = found.known.within(request.tolerance_rad);
  other.unseen = found.unseen;
  move.text = text_of(other.changes);
  move.other_holes = std::move(other);
  return move;
}

SurveyUse use_of(const survey::OtherHolesFound& found, const survey::PresentPair& asked) {
  using How = SurveyUse::How;
  SurveyUse use;
  use.foretold_rad = found.foretold;
  use.foretold_u_rad = found.foretold_u;
  use.dogs_as_stated = found.dogs_as_stated;
  if (found.opinions == survey::Opinions::survey_has_it) use.how = How::has_check;
  if (found.opinions != survey::Opinions::difference_only) return use;
  use.how = asked.opinions == survey::Opinions::difference_only ? How::between
            : found.foretold && !found.dogs_as_stated           ? How::contradicted
                                                                : How::difference;
  return use;
}

}  // namespace

// (M116)
std::vector<Move> other_holes_moves(const Wanted& wanted, std::optional<SurveyUse>& use) {
  const Request& request = wanted.request;
  if (!request.survey || request.station == nullptr || request.setup == nullptr) return {};
  use.emplace();
  use->how = SurveyUse::How::not_this_setup;
  if (!along_the_grid(*request.setup)) return {};
  survey::PresentPair present{survey::lines_of(*request.setup), request.eps_rad, request.u_rad,
                              survey::Opinions::both};
  if (request.survey->has_check) present.opinions = survey::Opinions::survey_has_it;
  if (request.survey->between) present.opinions = survey::Opinions::difference_only;
  survey::PairOptions options;
  options.tolerance_rad = request.tolerance_rad;
  options.usable = [&](Hole near, Hole far, Hole left, Hole right) {
    return (!request.survey->usable || request.survey->usable(near, far, left, right)) &&
           carries(request, near, far, left, right);
  };
  const auto found = survey::other_holes(*request.survey->adjustment, present, options);
  use = use_of(found, present);
  std::vector<Move> moves;
  double of_one = -1;  // what other holes of one line leave
  for (const auto& one : found.best) {
    const double left = one.known.then * one.known.then + one.known.v_then;
    const bool both = one.rail && one.fence;
    if (!both) of_one = of_one < 0 ? left : std::min(of_one, left);
  }
  for (const auto& one : found.best) {
    const double left = one.known.then * one.known.then + one.known.v_then;
    if (one.rail && one.fence && of_one >= 0 && left > kBothMustLeave * of_one) continue;
    Move move = move_of(wanted, one);
    if (move.other_holes->improves > 0.5 && left < wanted.mu * wanted.mu + wanted.v)
      moves.push_back(std::move(move));
  }
  use->named = !moves.empty();
  return moves;
}

}  // namespace quarterturn::correct
