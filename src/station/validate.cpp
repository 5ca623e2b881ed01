// SPDX-License-Identifier: MIT
/// The rules a station is held to. Every fault is named by its path in the station file, whichever way the
/// station came in: the prompt asks the same things under the same names.
#include <algorithm>
#include <cmath>
#include <set>

#include "station/geometry.hpp"
#include "station/station.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::station {
namespace {

using units::InputError;

constexpr double kLeastPitchMm = 5.0;
constexpr int kMostColumns = 18278;  // ZZZ
constexpr int kMostRows = 9999;
constexpr std::size_t kMostShims = 40;
constexpr double kSharpestDeg = 5.0;  // lines closer to parallel hardly cross on a table

/// Written so that NaN fails.
void hold_between(const std::string& what, double value, double low, double high,
                  const std::string& must_be) {
  if (!(value > low && value <= high)) throw InputError(what, units::shortest(value), must_be);
}
void hold_length(const std::string& what, Length value) {
  hold_between(what, value.mm(), 0.0, kLongestMm, "a length above 0, at most 10 m");
}
void hold_small(const std::string& what, const std::optional<Length>& value, double most_mm) {
  if (value && !(value->mm() >= 0.0 && value->mm() < most_mm)) {
    throw InputError(what, units::shortest(value->mm()),
                     "0 or more and below " + units::shortest(most_mm) + " mm");
  }
}

std::string extent(const Grid& grid) {
  return "A1 to " + Hole{grid.columns, grid.rows}.name();
}

void validate_grid(const Grid& grid) {
  hold_between("grid.pitch_mm", grid.pitch.mm(), kLeastPitchMm, kLongestMm, "above 5 mm, at most 10 m");
  if (grid.columns < 1 || grid.columns > kMostColumns) {
    throw InputError("grid.columns", std::to_string(grid.columns),
                     "from 1 to " + std::to_string(kMostColumns));
  }
  if (grid.rows < 1 || grid.rows > kMostRows) {
    throw InputError("grid.rows", std::to_string(grid.rows), "from 1 to " + std::to_string(kMostRows));
  }
  if (std::max(grid.columns, grid.rows) * grid.pitch.mm() > kLongestMm) {
    throw InputError(grid.columns > grid.rows ? "grid.columns" : "grid.rows",
                     std::to_string(std::max(grid.columns, grid.rows)), "as many as fit on a table of 10 m");
  }
  hold_between("grid.hole_diameter_mm", grid.hole_diameter.mm(), 0.0, grid.pitch.mm(),
               "above 0 and at most the pitch, " + units::shortest(grid.pitch.mm()) + " mm");
  hold_small("grid.drill_scatter_mm", grid.drill_scatter, grid.pitch.mm());
  for (std::size_t i = 0; i < grid.missing.size(); ++i) {
    const Hole hole = grid.missing[i];
    if (hole.column < 1 || hole.column > grid.columns || hole.row < 1 || hole.row > grid.rows) {
      throw InputError("grid.missing[" + std::to_string(i) + "]", hole.name(),
                       "a hole of the grid, " + extent(grid));
    }
  }
}

void validate_dogs(const Station& station) {
  for (const auto& [name, dog] : station.dogs) {
    const std::string path = "dogs." + name + ".";
    hold_between(path + "diameter_mm", dog.diameter.mm(), 0.0, station.grid.pitch.mm(),
                 "above 0 and at most the pitch, " + units::shortest(station.grid.pitch.mm()) + " mm");
    hold_small(path + "eccentric_mm", dog.eccentric, dog.diameter.mm() / 2);
    if (dog.eccentric_deg && !(std::fabs(*dog.eccentric_deg) <= 360.0)) {
      throw InputError(path + "eccentric_deg", units::shortest(*dog.eccentric_deg), "from -360 to 360", {},
                       "counter-clockwise from the table's right, seen from above");
    }
    hold_small(path + "play_mm", dog.play, dog.diameter.mm());
  }
}

void validate_stock(const Station& station) {
  for (const auto& [name, rail] : station.rails) {
    hold_length("rails." + name + ".length_mm", rail.length);
    if (!(rail.width.mm() >= 0.0 && rail.width.mm() <= kLongestMm)) {
      throw InputError("rails." + name + ".width_mm", units::shortest(rail.width.mm()),
                       "0 or more, at most 10 m");
    }
  }
  if (station.shims.size() > kMostShims) {
    throw InputError("shims", std::to_string(station.shims.size()) + " kinds",
                     "at most " + std::to_string(kMostShims));
  }
  std::set<std::string> names;
  for (std::size_t i = 0; i < station.shims.size(); ++i) {
    const Shim& shim = station.shims[i];
    const std::string path = "shims[" + std::to_string(i) + "].";
    if (shim.name.empty()) throw InputError(path + "name", "", "a name, such as foil tape");
    if (!names.insert(shim.name).second)
      throw InputError(path + "name", shim.name, "a name that no other shim has");
    hold_between(path + "layer_mm", shim.layer.mm(), 0.0, 20.0, "above 0, at most 20 mm");
    hold_small(path + "uncertainty_mm", shim.uncertainty, shim.layer.mm());
    if (shim.layers < 1) throw InputError(path + "layers", std::to_string(shim.layers), "1 or more");
  }
}

void validate_post(const Station& station, const Post& post, const std::string& path,
                   std::map<Hole, std::string>& holes, std::map<std::string, std::string>& dogs) {
  const std::string name = post.hole.name();
  if (!station.grid.has(post.hole)) {
    const bool drilled_elsewhere = post.hole.column <= station.grid.columns &&
                                   post.hole.row <= station.grid.rows && post.hole.column >= 1 &&
                                   post.hole.row >= 1;
    throw InputError(path + ".hole", name, "a hole of the grid, " + extent(station.grid), {},
                     drilled_elsewhere ? "grid.missing says that it was never drilled" : "");
  }
  const auto [hole, hole_free] = holes.emplace(post.hole, path);
  if (!hole_free)
    throw InputError(path + ".hole", name, "a hole without another dog", {}, hole->second + " stands in it");
  if (!station.dogs.contains(post.dog)) {
    std::vector<std::string> known;
    for (const auto& [key, dog] : station.dogs) known.push_back(key);
    throw InputError(path + ".dog", post.dog,
                     known.empty() ? "a dog, and none is described" : units::one_of(known), {},
                     units::did_you_mean(post.dog, known));
  }
  const auto [dog, dog_free] = dogs.emplace(post.dog, path);
  if (!dog_free)
    throw InputError(path + ".dog", post.dog, "a dog that stands nowhere else", {}, dog->second + " has it");
}

void validate_bar(const Setup& setup, const std::string& path, double apart_mm) {
  if (!setup.bar) return;
  hold_length(path + "fence.bar.length_mm", setup.bar->length);
  if (setup.bar->length.mm() < apart_mm) {
    throw InputError(path + "fence.bar.length_mm", units::shortest(setup.bar->length.mm()),
                     "at least " + units::shortest(apart_mm) + " mm, the distance of its two dogs");
  }
  for (const auto& [key, value] :
       {std::pair{"bow_mm", setup.bar->bow}, std::pair{"taper_mm", setup.bar->taper}}) {
    if (value && !(std::fabs(value->mm()) < 20.0)) {
      throw InputError(path + "fence.bar." + key, units::shortest(value->mm()), "between -20 and 20 mm");
    }
  }
}

void validate_setup(const Station& station, const std::string& name, const Setup& setup) {
  const std::string path = "setups." + name + ".";
  hold_between(path + "nominal_deg", setup.nominal_deg, kSharpestDeg, 180.0 - kSharpestDeg,
               "above " + units::shortest(kSharpestDeg) + " and at most " +
                   units::shortest(180.0 - kSharpestDeg) + " degrees");
  std::map<Hole, std::string> holes;
  std::map<std::string, std::string> dogs;
  validate_post(station, setup.rail.first, path + "rail.near", holes, dogs);
  validate_post(station, setup.rail.second, path + "rail.far", holes, dogs);
  validate_post(station, setup.fence.first, path + "fence.left", holes, dogs);
  validate_post(station, setup.fence.second, path + "fence.right", holes, dogs);
  if (setup.rail.first.hole.row >= setup.rail.second.hole.row) {
    throw InputError(path + "rail.far.hole", setup.rail.second.hole.name(),
                     "in a row farther from you than the near dog's, " + setup.rail.first.hole.name());
  }
  if (setup.fence.first.hole.column >= setup.fence.second.hole.column) {
    throw InputError(path + "fence.right.hole", setup.fence.second.hole.name(),
                     "in a column to the right of the left dog's, " + setup.fence.first.hole.name());
  }
  if (!setup.rail_name.empty() && !station.rails.contains(setup.rail_name)) {
    std::vector<std::string> known;
    for (const auto& [key, rail] : station.rails) known.push_back(key);
    throw InputError(
        path + "rail.rail", setup.rail_name,
        known.empty() ? "left out, or the name of one of the station's rails" : units::one_of(known), {},
        units::did_you_mean(setup.rail_name, known));
  }
  if (setup.tolerance) {
    hold_between(path + "tolerance", setup.tolerance->angle.deg(), 0.0, 1.0, "above 0, at most 1 degree");
  }
  const Vec left = hole_centre(station.grid, setup.fence.first.hole);
  const Vec right = hole_centre(station.grid, setup.fence.second.hole);
  validate_bar(setup, path, std::hypot(right.x - left.x, right.y - left.y));
  (void)geometry_of(station, setup);  // throws when the holes do not make the nominal angle
}

}  // namespace

void validate(const Station& station) {
  if (station.name.empty()) throw InputError("name", "", "a name for the station, such as dock");
  validate_grid(station.grid);
  validate_dogs(station);
  validate_stock(station);
  for (const auto& [name, setup] : station.setups) validate_setup(station, name, setup);
}

}  // namespace quarterturn::station
