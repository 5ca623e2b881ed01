// SPDX-License-Identifier: MIT
#include "app/run_survey.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "app/fit_inputs.hpp"
#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "files/identity.hpp"
#include "station/geometry.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

using station::Hole;
using station::Setup;
using survey::Kind;
using survey::Observation;
using units::InputError;

constexpr double kTolerance = 0.10 / 600;  ///< ranks pairs where none was stated
constexpr double kReachMm = 150;
constexpr int kFewestFree = 5;  ///< pitches that a panel wants each way; common practice, no source

const Setup* setup_of(const SurveyRequest& request) {
  const std::string& named = request.setup.empty() ? request.file.setup : request.setup;
  if (!named.empty()) {
    try {
      return &request.station.setup(named);
    } catch (const InputError& error) {
      if (!request.setup.empty()) throw;
      throw error.at({request.file.source, 0, 0});  // the file names it
    }
  }
  return request.station.setups.size() == 1 ? &request.station.setups.begin()->second : nullptr;
}

bool square(const Setup& setup) {
  return std::fabs(setup.nominal_deg - 90) < 0.01;
}

/// What a table offers a panel, in pitches: along the fence from the rail to the table's edge, along the rail
/// from the fence to the edge or to a rail dog that stands in its way.
struct Room {
  int along_fence = 0, along_rail = 0;
};

Room room_of(const station::Grid& grid, station::PanelSide side, const std::array<Hole, 4>& at) {
  const auto& [near, far, left, right] = at;
  Room room;
  room.along_fence = right.column < near.column ? near.column - 1 : grid.columns - near.column;
  const bool before = side == station::PanelSide::before;
  room.along_rail = before ? left.row - 1 : grid.rows - left.row;
  const int to_dog = before ? left.row - near.row : far.row - left.row;
  if (to_dog > 0) room.along_rail = std::min(room.along_rail, to_dog);
  return room;
}

/// The fence's holes on one side of the rail, with room for a panel: where a setup says how, on its side and
/// with its room but for one pitch.
bool usable(const station::Grid& grid, const Setup* like, const std::array<Hole, 4>& at) {
  const auto& [near, far, left, right] = at;
  const bool is_left = right.column<near.column, is_right = left.column> near.column;
  if (!is_left && !is_right) return false;
  if (like == nullptr) {
    const Room room = room_of(grid, station::PanelSide::before, at);
    return room.along_fence >= std::min(kFewestFree, (grid.columns - 1) / 2) &&
           room.along_rail >= std::min(kFewestFree, (grid.rows - 1) / 2);
  }
  const std::array<Hole, 4> was{like->rail.first.hole, like->rail.second.hole, like->fence.first.hole,
                                like->fence.second.hole};
  const bool was_left = was[3].column < was[0].column;
  const Room room = room_of(grid, like->panel_side, at), wanted = room_of(grid, like->panel_side, was);
  return was_left == is_left && room.along_fence >= wanted.along_fence - 1 &&
         room.along_rail >= wanted.along_rail - 1;
}

void take_whole(survey::Result& result) {
  const survey::Adjustment& adjustment = *result.adjustment;
  using survey::Effect;
  result.whole = {adjustment.effect(Effect::pitch_x), adjustment.effect(Effect::pitch_y),
                  adjustment.effect(Effect::shear)};
  for (const Observation& o : adjustment.observations()) {
    const auto slanted = [](Hole a, Hole b) { return a.column != b.column && a.row != b.row; };
    if (o.kind == Kind::distance || o.kind == Kind::compare) {
      result.slanted =
          result.slanted || slanted(o.from, o.to) || (o.kind == Kind::compare && slanted(o.via[0], o.via[1]));
    }
  }
  result.holes = adjustment.holes();
  result.snooping = survey::snoop(adjustment);
}

void take_setups(const SurveyRequest& request, survey::Result& result) {
  std::map<std::pair<std::string, std::string>, bool> seen;
  for (const auto& [name, setup] : request.station.setups) {
    if (!square(setup)) {  // pitch and shear turn the lines of a mitre otherwise
      result.passed_over.push_back(name);
      continue;
    }
    survey::SetupAnswer answer;
    answer.name = name;
    answer.lines = survey::lines_of(setup);
    answer.q = station::corner_sign(setup.keep, setup.panel_side);
    answer.eps = result.adjustment->eps(answer.lines);
    survey::Lines alike = answer.lines;
    for (auto* pair : {&alike.rail, &alike.fence}) pair->first.dog = pair->second.dog = "";
    answer.by_holes = result.adjustment->eps(alike);
    result.setups.push_back(std::move(answer));
    for (const auto* pair : {&setup.rail, &setup.fence}) {
      if (!seen.emplace(std::pair(pair->first.dog, pair->second.dog), true).second) continue;
      result.dogs.push_back({pair->first.dog, pair->second.dog,
                             result.adjustment->oversize_difference(pair->first.dog, pair->second.dog)});
    }
  }
}

void take_pairs(const SurveyRequest& request, const Setup* setup, survey::Result& result) {
  result.pairs_asked = request.pairs > 0;
  if (!result.pairs_asked) return;
  survey::PairOptions options;
  options.columns = request.columns;
  options.rows = request.rows;
  options.tolerance_rad = result.tolerance_rad;
  options.most = static_cast<std::size_t>(request.pairs);
  options.usable = [&grid = request.station.grid, setup](Hole near, Hole far, Hole left, Hole right) {
    return usable(grid, setup, {near, far, left, right});
  };
  if (setup != nullptr) {
    options.rail_on_face = setup->rail_on_face;
    options.panel_side = setup->panel_side;
    options.dogs = {setup->rail.first.dog, setup->rail.second.dog, setup->fence.first.dog,
                    setup->fence.second.dog};
    result.pairs = survey::rank_pairs(*result.adjustment, options);
    result.pairs_with_dogs = !result.pairs.best.empty();
    if (result.pairs_with_dogs) return;
    options.dogs.reset();
  }
  result.pairs = survey::rank_pairs(*result.adjustment, options);
}

/// What would be measured next is measured as it was so far: over the same dogs, as well.
survey::NextOptions next_options(const SurveyRequest& request, const survey::Adjustment& adjustment) {
  survey::NextOptions options;
  options.reach_mm = request.file.caliper ? request.file.caliper->reach_mm : kReachMm;
  std::map<std::pair<std::string, std::string>, int> used;
  std::vector<double> of_distances, of_corners;
  for (const Observation& o : adjustment.observations()) {
    if (o.kind == Kind::distance) {
      options.between = options.between || o.taken == survey::Taken::inside;
      of_distances.push_back(o.u);
      if (o.taken != survey::Taken::centre) ++used[std::minmax(o.dog_from, o.dog_to)];
    }
    if (o.kind == Kind::corner) of_corners.push_back(o.u);
  }
  const auto middle = [](std::vector<double> list, double otherwise) {
    if (list.empty()) return otherwise;
    std::ranges::sort(list);
    return list[list.size() / 2];
  };
  options.distance_u_mm = options.compare_u_mm = middle(of_distances, options.distance_u_mm);
  options.corner_u_rad = middle(of_corners, options.corner_u_rad);
  const auto most = std::ranges::max_element(used, {}, [](const auto& entry) { return entry.second; });
  if (most != used.end()) {
    options.dog_1 = most->first.first;
    options.dog_2 = most->first.second;
  }
  for (const auto& [name, setup] : request.station.setups) {
    if (square(setup)) options.checks.push_back(setup);
  }
  return options;
}

void take_next(const SurveyRequest& request, const Setup* setup, survey::Result& result) {
  const survey::Adjustment& adjustment = *result.adjustment;
  result.next_for_setup = request.next_for_setup && setup != nullptr && square(*setup);
  const survey::Answer now =
      result.next_for_setup ? adjustment.eps(survey::lines_of(*setup)) : result.whole[2];
  if (const auto* known = std::get_if<check::Estimate>(&now)) result.next_before = known->u;
  if (request.next <= 0) return;
  const auto list = survey::candidates(request.station, next_options(request, adjustment));
  result.next =
      result.next_for_setup
          ? survey::next_observations(adjustment, survey::eps_of(request.station, survey::lines_of(*setup)),
                                      list, request.next)
          : survey::next_observations(adjustment, survey::Effect::shear, list, request.next);
}

void take_aim(const SurveyRequest& request, const Setup* setup, survey::Result& result) {
  const auto tolerance = request.tolerance  ? request.tolerance
                         : setup != nullptr ? setup->tolerance
                                            : std::nullopt;
  result.tolerance_given = tolerance.has_value();
  result.tolerance_rad = tolerance ? tolerance->angle.rad() : kTolerance;
  result.over_mm = told_over_mm(tolerance, std::nullopt, request.file.unit);
  if (setup == nullptr) return;
  if (!square(*setup) && !request.setup.empty())
    throw InputError("setup", setup->name, "one of 90 degrees", {},
                     "pairs of holes are sought for square setups");
  result.setup = setup->name;
  result.q = station::corner_sign(setup->keep, setup->panel_side);
}

}  // namespace

std::function<bool(Hole, Hole, Hole, Hole)> usable_like(const station::Grid& grid, const Setup& setup) {
  return [&grid, setup](Hole near, Hole far, Hole left, Hole right) {
    return usable(grid, &setup, {near, far, left, right});
  };
}

SurveyInUse survey_in_use(const SurveyRequest& request, const logbook::Logbook* log) {
  Observed observed = observed_of(request.station, request.file, log);
  survey::AdjustOptions options;
  options.hole_sd_mm = request.hole_sd_mm;
  options.confidence = request.confidence;
  SurveyInUse out;
  out.adjustment = survey::adjust(request.station, observed.observations, options);
  out.station = request.station.name;
  out.checks = std::move(observed.checks);
  out.barred = std::move(observed.barred);
  return out;
}

void take_survey(CheckRequest& request, const SurveyInUse& survey, const logbook::Logbook& log,
                 std::int64_t now_utc) {
  request.survey.reset();
  if (!request.station || request.check.test == check::TestKind::rail) return;
  SurveyInUse mine = survey;
  const Setup& setup = request.station->setup(request.setup.empty() ? request.check.setup : request.setup);
  const auto among = [&](const std::vector<std::string>& list, const std::string& name) {
    return std::ranges::find(list, name) != list.end();
  };
  mine.between = setup.bar.has_value() && !among(mine.barred, setup.name);
  if (const auto asked = asked_of(request, log, now_utc)) {
    const std::string recorded = files::recorded_now(), &date = request.check.date;
    const files::Order now =
        date.empty() ? files::Order{now_utc, recorded} : files::order_of(date, asked->utc, recorded);
    mine.between = mine.between || !put_between(log, asked->station, setup.name, now).empty();
  }
  if (!mine.checks.empty()) {
    const auto kept = kept_already(log, request, run_check(request), now_utc);
    mine.has_check = kept && among(mine.checks, kept->made.id);
  }
  request.survey = std::move(mine);
}

survey::Result run_survey(const SurveyRequest& request, const logbook::Logbook* log) {
  const Setup* setup = setup_of(request);
  if (setup != nullptr && !square(*setup) && request.setup.empty()) setup = nullptr;
  survey::Result result;
  take_aim(request, setup, result);
  result.station = request.station.name;
  result.date = request.file.date;
  result.source = request.file.source;
  result.unit = request.file.unit;
  result.unmeasured = static_cast<int>(request.file.unmeasured.size());
  Observed observed = observed_of(request.station, request.file, log);
  result.origins = std::move(observed.origins);
  result.barred = std::move(observed.barred);
  survey::AdjustOptions options;
  options.hole_sd_mm = request.hole_sd_mm;
  options.confidence = request.confidence;
  result.adjustment = survey::adjust(request.station, observed.observations, options);
  take_whole(result);
  take_setups(request, result);
  take_pairs(request, setup, result);
  take_next(request, setup, result);
  if (request.against) {
    const Observed before = observed_of(request.station, *request.against, log);
    result.against = {
        request.against->source, request.against->date,
        survey::compare_surveys(request.station, before.observations, result.adjustment->observations())};
  }
  return result;
}

}  // namespace quarterturn::app
