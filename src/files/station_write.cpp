// SPDX-License-Identifier: MIT
/// \file station_write.cpp
/// A Station as a station file.
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "files/station_file.hpp"
#include "files/station_keys.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using Json = nlohmann::ordered_json;
using station::Station;
using units::Length;

namespace {

constexpr double kExactWhole = 1e9;

/// Whole numbers without a decimal point, as people write them.
Json plain(double value) {
  if (value == std::floor(value) && std::fabs(value) < kExactWhole) return static_cast<std::int64_t>(value);
  return value;
}
Json mm(Length length) {
  return plain(length.mm());
}

void put_if(Json& object, const char* key, const std::optional<Length>& length) {
  if (length) object[key] = mm(*length);
}

const char* word(station::Side side) {
  return side == station::Side::left ? "left" : "right";
}
const char* word(station::PanelSide side) {
  return side == station::PanelSide::before ? "before" : "beyond";
}
const char* word(station::Held held) {
  switch (held) {
    case station::Held::screwed:
      return "screwed";
    case station::Held::pushed:
      return "pushed";
    case station::Held::wedged:
      return "wedged";
    case station::Held::unknown:
      break;
  }
  return "unknown";
}

Json grid_json(const station::Grid& grid) {
  Json out = {{"pitch_mm", mm(grid.pitch)},
              {"columns", grid.columns},
              {"rows", grid.rows},
              {"hole_diameter_mm", mm(grid.hole_diameter)}};
  if (!grid.missing.empty()) {
    Json missing = Json::array();
    for (const station::Hole& hole : grid.missing) missing.push_back(hole.name());
    out["missing"] = std::move(missing);
  }
  put_if(out, "drill_scatter_mm", grid.drill_scatter);
  return out;
}

Json dog_json(const station::Dog& dog) {
  Json out = {{"diameter_mm", mm(dog.diameter)}};
  if (dog.held != station::Held::unknown) out["held"] = word(dog.held);
  put_if(out, "eccentric_mm", dog.eccentric);
  if (dog.eccentric_deg) out["eccentric_deg"] = plain(*dog.eccentric_deg);
  put_if(out, "play_mm", dog.play);
  return out;
}

Json post_json(const station::Post& post) {
  return {{"hole", post.hole.name()}, {"dog", post.dog}};
}

Json setup_json(const station::Setup& setup) {
  Json rail = {{"near", post_json(setup.rail.first)},
               {"far", post_json(setup.rail.second)},
               {"rail_on_face", word(setup.rail_on_face)}};
  if (!setup.rail_name.empty()) rail["rail"] = setup.rail_name;
  Json fence = {{"left", post_json(setup.fence.first)}, {"right", post_json(setup.fence.second)}};
  if (setup.bar) {
    Json bar = {{"length_mm", mm(setup.bar->length)}};
    put_if(bar, "bow_mm", setup.bar->bow);
    put_if(bar, "taper_mm", setup.bar->taper);
    fence["bar"] = std::move(bar);
  }
  Json out = {{"nominal_deg", plain(setup.nominal_deg)},
              {"rail", std::move(rail)},
              {"fence", std::move(fence)},
              {"panel_side", word(setup.panel_side)},
              {"keep", word(setup.keep)}};
  if (setup.tolerance) {
    const units::Tolerance& tolerance = *setup.tolerance;
    if (tolerance.offset && tolerance.over) {
      out["tolerance"] = {{"mm", mm(*tolerance.offset)}, {"over_mm", mm(*tolerance.over)}};
    } else {
      out["tolerance"] = {{"deg", plain(units::stated_deg(tolerance.angle))}};
    }
  }
  return out;
}

Json station_json(const Station& station) {
  Json out = {{"name", station.name}, {"operator", "front"}};
  if (!station.id.empty()) out["id"] = station.id;
  out["grid"] = grid_json(station.grid);
  for (const auto& [name, dog] : station.dogs) out["dogs"][name] = dog_json(dog);
  for (const auto& [name, rail] : station.rails) {
    out["rails"][name] = {
        {"length_mm", mm(rail.length)}, {"width_mm", mm(rail.width)}, {"joined", rail.joined}};
  }
  for (const station::Shim& shim : station.shims) {
    out["shims"].push_back({{"name", shim.name},
                            {"layer_mm", mm(shim.layer)},
                            {"uncertainty_mm", mm(shim.uncertainty)},
                            {"layers", shim.layers},
                            {"hard", shim.hard}});
  }
  for (const station::OwnedCaliper& caliper : station.calipers) {
    out["calipers"].push_back({{"name", caliper.name}, {"class", caliper.caliper_class}});
  }
  for (const auto& [name, setup] : station.setups) out["setups"][name] = setup_json(setup);
  return out;
}

}  // namespace

std::string write_station(const Station& station) {
  try {
    return station_json(station).dump(2) + "\n";
  } catch (const Json::type_error&) {
    throw units::InputError("station", station.name, "named in UTF-8, with all it holds", {},
                            "save the file as UTF-8");
  }
}

namespace {

[[noreturn]] void nowhere(const std::string& name) {
  throw units::InputError("what to set", name, "a value of the station's file, such as grid.pitch_mm", {},
                          "'station export' shows them all");
}

/// The value at `grid.pitch_mm` or `shims.0.layer_mm`; made where it is not there yet, but no list with holes
/// in it.
Json& place_at(Json& root, const std::string& name) {
  constexpr std::size_t kMostDigits = 6;
  Json* at = &root;
  for (std::size_t from = 0; from <= name.size();) {
    const std::size_t dot = std::min(name.find('.', from), name.size());
    const std::string part = name.substr(from, dot - from);
    from = dot + 1;
    const bool number = !part.empty() && part.find_first_not_of("0123456789") == std::string::npos;
    if (at->is_array()) {
      if (!number || part.size() > kMostDigits || std::stoul(part) > at->size()) nowhere(name);
      at = &(*at)[std::stoul(part)];
    } else {
      at = &(*at)[part];  // of a single value: refused by the library
    }
  }
  return *at;
}

}  // namespace

Station with_value(const Station& station, std::string_view path, std::string_view value, units::Unit unit) {
  const std::string name(path), typed(units::trimmed(value));
  auto root = Json::parse(write_station(station));
  try {
    Json& place = place_at(root, name);
    const auto bare = Json::parse(typed, nullptr, false);
    if (name.ends_with("_mm")) {
      place = mm(units::parse_length(typed, name, unit));
    } else if (bare.is_number() || bare.is_boolean()) {
      place = bare;
    } else if (place.is_structured()) {
      throw units::InputError(name, typed, "one value of it", {}, station_key_help(name));
    } else {
      place = typed;
    }
  } catch (const Json::exception&) {  // inside of a single value
    nowhere(name);
  }
  std::string content;
  try {
    content = root.dump(2);
  } catch (const Json::type_error&) {
    throw units::InputError("what to set", name + " " + typed, "text in UTF-8");
  }
  try {
    return parse_station(text_of(std::move(content), ""));
  } catch (const units::InputError& error) {
    throw error.at({});
  }
}

}  // namespace quarterturn::files
