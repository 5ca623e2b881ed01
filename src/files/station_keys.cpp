// SPDX-License-Identifier: MIT
#include "files/station_keys.hpp"

#include <algorithm>
#include <array>

namespace quarterturn::files {
namespace {

struct KeyRow {
  std::string_view key, help;
};

constexpr std::array kKeys{
    KeyRow{"name", "the name people call it by, such as \"dock\""},
    KeyRow{"id", "left out; the station gets one when it is kept"},
    KeyRow{"operator", "holes are counted from the operator's left front corner, so it is always \"front\""},
    KeyRow{"grid", "the holes of the table, such as { \"pitch_mm\": 96, \"columns\": 9, \"rows\": 11 }"},
    KeyRow{"pitch_mm", "from one hole's centre to the next, such as 96"},
    KeyRow{"columns", "how many holes from left to right, such as 9"},
    KeyRow{"rows", "how many holes from you to the back, such as 11"},
    KeyRow{"hole_diameter_mm", "the drill's diameter, such as 20"},
    KeyRow{"missing", "holes that were never drilled, such as [\"A1\"]"},
    KeyRow{"drill_scatter_mm", "how far holes stray from the grid, one standard deviation, such as 0.1"},
    KeyRow{"dogs", "the dogs by their names, such as { \"tall-1\": { \"diameter_mm\": 20 } }"},
    KeyRow{"diameter_mm", "of the dog where the rail or the panel touches it, such as 20"},
    KeyRow{"held", "how the dog sits in its hole"},
    KeyRow{"eccentric_mm", "how far the dog's centre lies from its hole's, such as 0.02"},
    KeyRow{"eccentric_deg", "which way it lies, counter-clockwise from the table's right, seen from above"},
    KeyRow{"play_mm", "how far the dog moves in its hole, such as 0.05"},
    KeyRow{"rails", "rails by their names, such as { \"long\": { \"length_mm\": 1400, \"width_mm\": 180 } }"},
    KeyRow{"length_mm", "such as 1400"},
    KeyRow{"width_mm", "such as 180"},
    KeyRow{"joined", "whether the rail is made of two"},
    KeyRow{"shims", "a list such as [ { \"name\": \"foil tape\", \"layer_mm\": 0.07 } ]"},
    KeyRow{"layer_mm", "how thick one layer is, such as 0.07"},
    KeyRow{"uncertainty_mm", "how well that is known, one standard deviation, such as 0.005"},
    KeyRow{"layers", "how many layers there are to use, such as 8"},
    KeyRow{"hard", "whether it stays as thick when pressed"},
    KeyRow{"calipers", "a list such as [ { \"name\": \"mine\", \"class\": \"digital\" } ]"},
    KeyRow{"class", "'quarterturn caliper' lists the classes"},
    KeyRow{"setups", "the setups by their names, each with a rail, a fence, sides and a tolerance"},
    KeyRow{"nominal_deg", "the angle between rail and fence that is meant, such as 90"},
    KeyRow{"rail",
           "the rail's two dogs: \"near\" and \"far\", and \"rail_on_face\": the face it lies against"},
    KeyRow{"fence", "the fence's two dogs, \"left\" and \"right\", and a \"bar\" if one lies against them"},
    KeyRow{"near", "a hole and a dog, such as { \"hole\": \"E2\", \"dog\": \"tall-1\" }"},
    KeyRow{"far", "a hole and a dog, such as { \"hole\": \"E10\", \"dog\": \"tall-2\" }"},
    KeyRow{"left", "a hole and a dog, such as { \"hole\": \"A9\", \"dog\": \"low-1\" }"},
    KeyRow{"right", "a hole and a dog, such as { \"hole\": \"D9\", \"dog\": \"low-2\" }"},
    KeyRow{"hole", "a hole is a column letter and a row number: E10"},
    KeyRow{"dog", "the name of one of the station's dogs"},
    KeyRow{"rail_on_face",
           "the face of the tall dogs, seen from where you stand, that the rail lies against"},
    KeyRow{"panel_side", "where the panel lies: before the fence is on your side of it, beyond on the other"},
    KeyRow{"keep", "the side of the rail on which the panel stays"},
    KeyRow{"bar", "such as { \"length_mm\": 600 }"},
    KeyRow{"bow_mm",
           "how far the bar's middle lies from its ends; above 0 when the side to the panel is hollow"},
    KeyRow{"taper_mm", "the bar's width at its left end less that at its right"},
    KeyRow{"tolerance", "such as { \"mm\": 0.10, \"over_mm\": 600 } or { \"deg\": 0.01 }"},
    KeyRow{"mm", "such as { \"mm\": 0.10, \"over_mm\": 600 }"},
    KeyRow{"over_mm", "such as { \"mm\": 0.10, \"over_mm\": 600 }"},
    KeyRow{"deg", "an angle in degrees, such as 0.01"},
};

}  // namespace

std::string station_key_help(std::string_view path) {
  while (!path.empty()) {
    const std::size_t dot = path.rfind('.');
    std::string_view key = dot == std::string_view::npos ? path : path.substr(dot + 1);
    key = key.substr(0, key.find('['));
    const auto row = std::ranges::find(kKeys, key, &KeyRow::key);
    if (row != kKeys.end()) return std::string(row->help);
    path = dot == std::string_view::npos ? std::string_view{} : path.substr(0, dot);
  }
  return {};
}

}  // namespace quarterturn::files
