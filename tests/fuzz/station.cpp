// SPDX-License-Identifier: MIT
/// Fuzz target: a station file; behind a NUL the path of one of its values, behind another what it is set to.
#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>

#include "app/nominal.hpp"
#include "files/station_file.hpp"
#include "fuzz/support/hold.hpp"
#include "station/geometry.hpp"

using namespace quarterturn;
using fuzz::hold;

namespace {

constexpr const char* kSource = "station.json";

void hold_geometry(const station::Station& station) {
  for (const auto& [name, setup] : station.setups) {
    const auto geometry = station::geometry_of(station, setup);
    if (const auto span = geometry.seating_span_mm())
      hold(std::isfinite(*span) && *span > 0, "a span is real");
    const int sign = station::corner_sign(geometry.keep, geometry.panel_side);
    hold(sign == 1 || sign == -1, "a corner has a side");
    if (const auto room = station::room_of(station, setup))
      hold(room->between_near_dog_and_fence_mm >= 0, "the room is a length, or without an end");
    const int pieces = app::pieces_that_close(setup);
    hold(pieces == 0 || (pieces >= check::kFewestPieces && pieces <= check::kMostPieces),
         "a ring has pieces");
  }
}

/// What is read and written again is read the same.
station::Station round(const station::Station& read) {
  const std::string written = files::write_station(read);
  hold(nlohmann::json::accept(written), "a station file is JSON");
  const auto again = files::parse_station(files::text_of(written, kSource));
  hold(files::write_station(again) == written, "a station is written the same again");
  hold(again.name == read.name && again.dogs.size() == read.dogs.size() &&
           again.rails.size() == read.rails.size() && again.shims.size() == read.shims.size() &&
           again.setups.size() == read.setups.size() && again.grid.missing == read.grid.missing,
       "nothing of a station is lost");
  hold(again.grid.pitch == read.grid.pitch && again.grid.hole_diameter == read.grid.hole_diameter,
       "the grid");
  for (const auto& [name, dog] : read.dogs) {
    const auto& other = again.dogs.at(name);
    hold(other.diameter == dog.diameter && other.held == dog.held && other.play == dog.play &&
             other.eccentric == dog.eccentric && other.eccentric_deg == dog.eccentric_deg,
         "a dog is the same");
  }
  for (const auto& [name, setup] : read.setups) {
    const auto& other = again.setups.at(name);
    hold(other.nominal_deg == setup.nominal_deg && other.keep == setup.keep &&
             other.panel_side == setup.panel_side && other.rail.first.hole == setup.rail.first.hole &&
             other.rail.second.hole == setup.rail.second.hole &&
             other.fence.first.hole == setup.fence.first.hole &&
             other.fence.second.hole == setup.fence.second.hole,
         "a setup is the same");
    hold(other.tolerance.has_value() == setup.tolerance.has_value(), "its tolerance stays");
    if (setup.tolerance) hold(other.tolerance->angle == setup.tolerance->angle, "its tolerance is the same");
  }
  return again;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  const auto first = bytes.find('\0');
  const std::string content = bytes.substr(0, first);
  std::optional<station::Station> read;
  try {
    read = files::parse_station(files::text_of(content, kSource));
    station::validate(*read);
    hold_geometry(round(*read));
  } catch (const units::InputError& fault) {
    fuzz::hold_fault(fault, kSource, content);
    hold(!read, "what was read holds to its own rules");
    return 0;
  }
  if (first == std::string::npos) return 0;
  const auto second = bytes.find('\0', first + 1);
  if (second == std::string::npos) return 0;
  try {
    round(files::with_value(*read, bytes.substr(first + 1, second - first - 1), bytes.substr(second + 1),
                            units::Unit::mm));
  } catch (const units::InputError& fault) {
    fuzz::hold_text(fault.what(), 3000, "a fault");
  }
  return 0;
}
