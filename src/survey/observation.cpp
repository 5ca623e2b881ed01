// SPDX-License-Identifier: MIT
#include "survey/observation.hpp"

#include <algorithm>
#include <cmath>

#include "survey/design.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::survey {
namespace {

std::size_t via_wanted(Kind kind) {
  return kind == Kind::distance ? 0 : 2;
}

void check_holes(const station::Station& station, const Observation& observation, const std::string& what) {
  if (observation.via.size() != via_wanted(observation.kind)) {
    throw units::InputError(what + ".via", std::to_string(observation.via.size()) + " holes",
                            std::to_string(via_wanted(observation.kind)) + " holes for this kind");
  }
  const std::vector<Hole> holes = observation.holes();
  for (const Hole& hole : holes) {
    if (!station.grid.has(hole)) {
      throw units::InputError(what, hole.name(), "a hole of the grid that was drilled", {},
                              "the grid has " + std::to_string(station.grid.columns) + " columns and " +
                                  std::to_string(station.grid.rows) + " rows");
    }
  }
  // two compared lengths may share a hole
  const bool all = observation.kind != Kind::compare;
  for (std::size_t i = 0; i < holes.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (holes[i] == holes[k] && (all || (i == 1 && k == 0) || (i == 3 && k == 2))) {
        throw units::InputError(what, holes[i].name() + " twice", "made of different holes");
      }
    }
  }
}

void check_dogs(const station::Station& station, const Observation& observation, const std::string& what) {
  const std::vector<std::string> dogs = observation.dogs();
  const auto named =
      std::count_if(dogs.begin(), dogs.end(), [](const std::string& dog) { return !dog.empty(); });
  const bool needed = observation.kind == Kind::corner ||
                      (observation.kind == Kind::distance && observation.taken != Taken::centre);
  if (named == 0 && !needed) return;
  if (dogs.size() != observation.holes().size() || static_cast<std::size_t>(named) != dogs.size()) {
    throw units::InputError(what + ".dogs", std::to_string(named) + " named",
                            "one dog for each of its " + std::to_string(observation.holes().size()) +
                                (needed ? " holes" : " holes, or none"));
  }
  for (std::size_t i = 0; i < dogs.size(); ++i) {
    if (!station.dogs.contains(dogs[i])) {
      throw units::InputError(what + ".dogs", dogs[i], "a dog of the station");
    }
    const bool carried = observation.kind == Kind::compare;  // from one length to the other
    for (std::size_t k = carried ? i / 2 * 2 : 0; k < i; ++k) {
      if (dogs[i] == dogs[k]) throw units::InputError(what + ".dogs", dogs[i] + " twice", "different dogs");
    }
  }
}

void check_value(const station::Station& station, const Observation& observation, const std::string& what) {
  if (!(std::isfinite(observation.u) && observation.u > 0)) {
    throw units::InputError(what + ".u", units::shortest(observation.u), "a standard uncertainty above zero");
  }
  const double nominal = nominal_value(station, observation);
  double most = kPlausibleMm;
  if (observation.kind == Kind::corner) most /= shorter_baseline_mm(station.grid, observation);
  if (!(std::fabs(observation.value - nominal) <= most)) {
    const std::string unit = observation.kind == Kind::corner ? " rad" : " mm";
    throw units::InputError(
        what + ".value", units::shortest(observation.value) + unit,
        "within " + units::shortest(most) + " of the nominal " + units::shortest(nominal) + unit, {},
        "another hole, or the length was taken otherwise (outside, inside, centre to centre)?");
  }
}

bool same_places(const Observation& a, const Observation& b) {
  return a.kind == Kind::corner && b.kind == Kind::corner && a.from == b.from && a.to == b.to &&
         a.via == b.via && a.side == b.side && a.panel_side == b.panel_side;
}

/// +1 the same two dogs, -1 exchanged, 0 other dogs.
int dogs_alike(const std::string& a1, const std::string& a2, const std::string& b1, const std::string& b2) {
  if (a1 == b1 && a2 == b2) return 1;
  return a1 == b2 && a2 == b1 ? -1 : 0;
}

}  // namespace

std::vector<Hole> Observation::holes() const {
  std::vector<Hole> all{from};
  if (kind != Kind::offset) all.push_back(to);
  all.insert(all.end(), via.begin(), via.end());
  return all;
}

std::vector<std::string> Observation::dogs() const {
  std::vector<std::string> all{dog_from};
  if (kind != Kind::offset) all.push_back(dog_to);
  all.insert(all.end(), dog_via.begin(), dog_via.end());
  const bool none = std::all_of(all.begin(), all.end(), [](const std::string& dog) { return dog.empty(); });
  return none ? std::vector<std::string>{} : all;
}

Observation distance(Hole from, Hole to, Taken taken, double value_mm, double u_mm, std::string dog_from,
                     std::string dog_to) {
  Observation out;
  out.from = from;
  out.to = to;
  out.taken = taken;
  out.value = value_mm;
  out.u = u_mm;
  out.dog_from = std::move(dog_from);
  out.dog_to = std::move(dog_to);
  return out;
}

Observation compare(Hole from, Hole to, Hole other_from, Hole other_to, double difference_mm, double u_mm) {
  Observation out = distance(from, to, Taken::centre, difference_mm, u_mm);
  out.kind = Kind::compare;
  out.via = {other_from, other_to};
  return out;
}

Observation corner(const station::Setup& setup, double eps_rad, double u_rad) {
  Observation out = distance(setup.rail.first.hole, setup.rail.second.hole, Taken::centre, eps_rad, u_rad,
                             setup.rail.first.dog, setup.rail.second.dog);
  out.kind = Kind::corner;
  out.via = {setup.fence.first.hole, setup.fence.second.hole};
  out.dog_via = {setup.fence.first.dog, setup.fence.second.dog};
  out.side = setup.rail_on_face;
  out.panel_side = setup.panel_side;
  return out;
}

Observation exchanged(Observation corner, bool rail, bool fence) {
  if (rail) std::swap(corner.dog_from, corner.dog_to);
  if (fence) std::swap(corner.dog_via.at(0), corner.dog_via.at(1));
  return corner;
}

void validate(const station::Station& station, const Observation& observation, const std::string& what) {
  check_holes(station, observation, what);
  check_dogs(station, observation, what);
  check_value(station, observation, what);
}

// (M107): half the difference of the two frees the dogs' unequal size.
std::vector<Exchange> exchanges(std::span<const Observation> observations) {
  std::vector<Exchange> found;
  for (std::size_t i = 0; i < observations.size(); ++i) {
    for (std::size_t k = i + 1; k < observations.size(); ++k) {
      const Observation &a = observations[i], &b = observations[k];
      if (!same_places(a, b)) continue;
      const int rail = dogs_alike(a.dog_from, a.dog_to, b.dog_from, b.dog_to);
      const int fence = dogs_alike(a.dog_via[0], a.dog_via[1], b.dog_via[0], b.dog_via[1]);
      if (rail == 0 || fence == 0 || (rail > 0 && fence > 0)) continue;
      found.push_back({i, k, rail < 0, fence < 0});
    }
  }
  return found;
}

}  // namespace quarterturn::survey
