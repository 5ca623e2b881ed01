// SPDX-License-Identifier: MIT
#include "files/station_file.hpp"

#include <nlohmann/json.hpp>

#include "files/caliper_classes.hpp"
#include "files/json_places.hpp"
#include "files/json_text.hpp"
#include "files/station_keys.hpp"

namespace quarterturn::files {

using station::Station;
using units::InputError;
using units::Length;

namespace {

constexpr int kMostHoles = 100'000;  // whole numbers that fit; station::validate knows how many a table takes
constexpr int kMostLayers = 100;
// A layer's thickness of which nothing is stated is taken to be good to a tenth: common practice, no source.
constexpr double kLayerShare = 0.1;

// Shapes and words are held here; sizes, names and holes by station::validate, whichever way a station comes
// in. The words of each enumeration, in its order.
const std::vector<std::string> kHeld{"screwed", "pushed", "wedged", "unknown"};
const std::vector<std::string> kSides{"left", "right"};
const std::vector<std::string> kPanelSides{"before", "beyond"};

Length length(const JsonValue& value) {
  return Length::from_mm(value.number());
}

std::optional<Length> length_if(const JsonValue& object, const char* key) {
  const auto found = object.find(key);
  return found ? std::optional(length(*found)) : std::nullopt;
}

station::Hole hole(const JsonValue& value) {
  return value.parsed([](const std::string& text) { return station::parse_hole(text); });
}

station::Grid grid(const JsonValue& value) {
  value.hold_to_keys({"pitch_mm", "columns", "rows", "hole_diameter_mm", "missing", "drill_scatter_mm"});
  station::Grid out;
  out.pitch = length(value.at("pitch_mm"));
  out.columns = value.at("columns").whole(1, kMostHoles);
  out.rows = value.at("rows").whole(1, kMostHoles);
  if (const auto diameter = length_if(value, "hole_diameter_mm")) out.hole_diameter = *diameter;
  if (const auto missing = value.find("missing")) {
    for (const JsonValue& item : missing->items()) out.missing.push_back(hole(item));
  }
  out.drill_scatter = length_if(value, "drill_scatter_mm");
  return out;
}

station::Dog dog(const std::string& name, const JsonValue& value) {
  value.hold_to_keys({"diameter_mm", "held", "eccentric_mm", "eccentric_deg", "play_mm"});
  station::Dog out;
  out.name = name;
  out.diameter = length(value.at("diameter_mm"));
  if (const auto held = value.find("held")) out.held = static_cast<station::Held>(held->word(kHeld));
  out.eccentric = length_if(value, "eccentric_mm");
  if (const auto turn = value.find("eccentric_deg")) out.eccentric_deg = turn->number();
  out.play = length_if(value, "play_mm");
  return out;
}

station::Rail rail(const std::string& name, const JsonValue& value) {
  value.hold_to_keys({"length_mm", "width_mm", "joined"});
  station::Rail out{name, length(value.at("length_mm")), length(value.at("width_mm")), false};
  if (const auto joined = value.find("joined")) out.joined = joined->flag();
  return out;
}

station::Shim shim(const JsonValue& value) {
  value.hold_to_keys({"name", "layer_mm", "uncertainty_mm", "layers", "hard"});
  station::Shim out;
  out.name = value.at("name").text();
  out.layer = length(value.at("layer_mm"));
  out.uncertainty = length_if(value, "uncertainty_mm").value_or(kLayerShare * out.layer);
  if (const auto layers = value.find("layers")) out.layers = layers->whole(1, kMostLayers);
  if (const auto hard = value.find("hard")) out.hard = hard->flag();
  return out;
}

station::OwnedCaliper caliper(const JsonValue& value) {
  value.hold_to_keys({"name", "class"});
  const std::string caliper_class =
      value.at("class").parsed([](const std::string& text) { return caliper_of_class(text).name; });
  return {value.at("name").text(), caliper_class};
}

station::Post post(const JsonValue& value) {
  value.hold_to_keys({"hole", "dog"});
  return {hole(value.at("hole")), value.at("dog").text()};
}

station::Bar bar(const JsonValue& value) {
  value.hold_to_keys({"length_mm", "bow_mm", "taper_mm"});
  return {length(value.at("length_mm")), length_if(value, "bow_mm"), length_if(value, "taper_mm")};
}

units::Tolerance tolerance(const JsonValue& value) {
  value.hold_to_keys({"mm", "over_mm", "deg"});
  if (const auto deg = value.find("deg")) {
    if (value.find("mm") || value.find("over_mm")) value.fail("either mm over over_mm, or deg");
    return units::Tolerance::from_deg(deg->number());
  }
  const Length over = length(value.at("over_mm"));
  // Held here because two negative lengths would make a fair-looking angle.
  if (over.mm() <= 0) value.at("over_mm").fail("a length above 0");
  return units::Tolerance::from_mm_over(length(value.at("mm")), over);
}

station::Setup setup(const std::string& name, const JsonValue& value) {
  value.hold_to_keys({"nominal_deg", "rail", "fence", "panel_side", "keep", "tolerance"});
  station::Setup out;
  out.name = name;
  if (const auto nominal = value.find("nominal_deg")) out.nominal_deg = nominal->number();
  const JsonValue rail_line = value.at("rail");
  rail_line.hold_to_keys({"near", "far", "rail_on_face", "rail"});
  out.rail = {post(rail_line.at("near")), post(rail_line.at("far"))};
  out.rail_on_face = static_cast<station::Side>(rail_line.at("rail_on_face").word(kSides));
  if (const auto rail_name = rail_line.find("rail")) out.rail_name = rail_name->text();
  const JsonValue fence = value.at("fence");
  fence.hold_to_keys({"left", "right", "bar"});
  out.fence = {post(fence.at("left")), post(fence.at("right"))};
  if (const auto found = fence.find("bar")) out.bar = bar(*found);
  out.panel_side = static_cast<station::PanelSide>(value.at("panel_side").word(kPanelSides));
  out.keep = static_cast<station::Side>(value.at("keep").word(kSides));
  out.tolerance = tolerance(value.at("tolerance"));
  return out;
}

Station station_of(const JsonValue& root) {
  root.hold_to_keys({"name", "operator", "id", "grid", "dogs", "rails", "shims", "calipers", "setups"});
  Station out;
  out.name = root.at("name").text();
  // Holes are counted from the operator's left front corner, so there is only one place to stand.
  if (const auto stands = root.find("operator")) (void)stands->word({"front"});
  if (const auto id = root.find("id")) out.id = id->text();
  out.grid = grid(root.at("grid"));
  if (const auto dogs = root.find("dogs")) {
    for (const auto& [name, value] : dogs->members()) out.dogs.emplace(name, dog(name, value));
  }
  if (const auto rails = root.find("rails")) {
    for (const auto& [name, value] : rails->members()) out.rails.emplace(name, rail(name, value));
  }
  if (const auto shims = root.find("shims")) {
    for (const JsonValue& value : shims->items()) out.shims.push_back(shim(value));
  }
  if (const auto calipers = root.find("calipers")) {
    for (const JsonValue& value : calipers->items()) out.calipers.push_back(caliper(value));
  }
  if (const auto setups = root.find("setups")) {
    for (const auto& [name, value] : setups->members()) out.setups.emplace(name, setup(name, value));
  }
  return out;
}

}  // namespace

Station parse_station(const Text& text) {
  const nlohmann::json root = parse_json(text, "station file");
  try {
    Station out = station_of(JsonValue(root, "", text));
    station::validate(out);
    return out;
  } catch (const InputError& error) {
    const auto& path = error.subject();
    throw InputError(path, error.value(), error.must_be(),
                     error.where().line > 0 ? error.where() : place_of_path(text, path),
                     error.hint().empty() ? station_key_help(path) : error.hint());
  }
}

}  // namespace quarterturn::files
