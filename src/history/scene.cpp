// SPDX-License-Identifier: MIT
#include "history/scene.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "check/bow.hpp"

namespace quarterturn::history {
namespace {

// Standard deviations in good order; common practice, no source.
constexpr double kHoleMm = 0.1, kDogSizeMm = 0.01, kDogLeanMm = 0.01, kBowMm = 0.02, kSquareRad = 5e-5;
constexpr double kLooseFitMm = 0.02;  // of a dog that is screwed or wedged
constexpr double kStripAndKerfMm = 28;

struct Line {
  const station::ContactLine* line;
  const station::DogPair* pair;
  bool is_rail;
  [[nodiscard]] double per(bool second, station::Vec shift) const {
    return is_rail ? station::eps_change_rail(*line, second, shift)
                   : station::eps_change_fence(*line, second, shift);
  }
};

double play_of(const station::Station& station, const station::Post& post) {
  const auto found = station.dogs.find(post.dog);
  if (found == station.dogs.end()) return kLooseFitMm;
  const auto& dog = found->second;
  if (dog.play) return dog.play->mm();
  if (dog.held == station::Held::screwed || dog.held == station::Held::wedged) return kLooseFitMm;
  return std::max(kLooseFitMm, station.grid.hole_diameter.mm() - dog.diameter.mm());
}

void add_line(Scene& scene, Seen& seen, const station::Station& station, const Line& line,
              const Turned& turned) {
  const double scatter = station.grid.drill_scatter ? station.grid.drill_scatter->mm() : kHoleMm;
  for (const bool second : {false, true}) {
    const auto& post = second ? line.pair->second : line.pair->first;
    const double across = line.per(second, line.line->m), off = line.per(second, line.line->n);
    const std::string hole = post.hole.name();
    seen.shares.push_back(
        {scene.part(PartKind::hole, hole + (line.is_rail ? " along the fence" : " along the rail"), scatter),
         across});
    seen.shares.push_back({scene.part(PartKind::dog_size, post.dog, kDogSizeMm), off});
    const auto stands = turned.find(post.dog);
    seen.shares.push_back({scene.part(PartKind::dog_lean, post.dog, kDogLeanMm),
                           across * (stands == turned.end() ? 1 : stands->second)});
    scene.play_mm = std::max(scene.play_mm, play_of(station, post));
  }
  auto& pair = line.is_rail ? seen.rail_pair : seen.fence_pair;
  pair = line.pair->first.hole.name() + std::string(kAnd) + line.pair->second.hole.name();
  (line.is_rail ? seen.per_rail : seen.per_fence) = line.per(true, line.line->n);
}

}  // namespace

std::size_t Scene::part(PartKind kind, const std::string& name, double in_order) {
  const auto found =
      std::ranges::find_if(parts, [&](const Part& part) { return part.kind == kind && part.name == name; });
  if (found != parts.end()) return static_cast<std::size_t>(found - parts.begin());
  parts.push_back({kind, name, in_order});
  return parts.size() - 1;
}

std::optional<std::size_t> Scene::good() const {
  if (checks.size() < 2) return std::nullopt;
  std::optional<std::size_t> newest;
  for (std::size_t i = checks.size() - 1; i-- > 0;) {
    if (checks[i].setup != checks.back().setup) continue;
    if (checks[i].within) return i;
    if (!newest) newest = i;
  }
  return newest;
}

void stand_on(Scene& scene, Seen& seen, const station::Station& station, const station::Setup& setup,
              const Turned& turned, double panel_mm) {
  const auto geometry = station::geometry_of(station, setup);
  seen.setup = setup.name;
  seen.shares.push_back({scene.part(PartKind::square, "", kSquareRad), 1.0});
  if (geometry.rail) add_line(scene, seen, station, {&*geometry.rail, &setup.rail, true}, turned);
  if (geometry.fence) add_line(scene, seen, station, {&*geometry.fence, &setup.fence, false}, turned);
  const auto room = station::room_of(station, setup);
  if (!room || !geometry.rail || !geometry.rail->first) return;
  const auto& rail = *geometry.rail;
  const double middle = 0.5 * (rail.first->y + rail.second->y);
  double away = 0;  // from the face of the fence dogs
  if (geometry.fence && geometry.fence->first) {
    const auto dog = station.dogs.find(setup.fence.first.dog);
    const auto& diameter = dog == station.dogs.end() ? station.grid.hole_diameter : dog->second.diameter;
    const double fence = geometry.fence->first->y;
    away = setup.panel_side == station::PanelSide::before ? fence - middle : middle - fence;
    away -= diameter.mm() / 2;
  }
  // (M6), seen in eps: eta = q eps.
  seen.shares.push_back({scene.part(PartKind::bow, setup.rail_name, kBowMm),
                         geometry.q * check::bow_in_strip(1.0, panel_mm, away, room->fence_inner_mm,
                                                          room->fence_outer_mm, kStripAndKerfMm)});
}

std::vector<std::vector<double>> play_columns(const Scene& scene) {
  std::map<std::pair<int, std::string>, std::vector<double>> by_line;
  const double per_mm = std::numbers::sqrt2 / 4;  // (M74) of one line, over its baseline
  for (std::size_t i = 0; i < scene.checks.size(); ++i) {
    const auto& seen = scene.checks[i];
    const auto add = [&](const std::string& line, double per) {
      auto& x = by_line[{seen.insertion, line}];
      x.resize(scene.checks.size(), 0.0);
      x[i] = per_mm * per;
    };
    add("rail " + seen.rail_pair, seen.per_rail);
    add("fence " + seen.fence_pair, seen.per_fence);
  }
  std::vector<std::vector<double>> columns;
  for (auto& [line, x] : by_line) columns.push_back(std::move(x));
  return columns;
}

}  // namespace quarterturn::history
