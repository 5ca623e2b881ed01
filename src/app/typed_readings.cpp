// SPDX-License-Identifier: MIT
#include "app/typed_readings.hpp"

#include "files/readings_cells.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::app {

std::vector<check::Reading> readings_of(std::string_view text, std::string_view what, units::Unit unit,
                                        const char* quantity) {
  if (units::trimmed(text).empty()) return {};
  // The same door as the cells of a file, so that the same words give the same numbers.
  files::Gatherer gatherer(unit, std::string(what), quantity);
  gatherer.add({}, 0.0, text, {std::string(what), 0, 0}, "");
  auto strips = gatherer.strips();
  auto readings = std::move(strips.front().spots.front().readings);
  for (auto& reading : readings) reading.line = reading.column = 0;
  return readings;
}

units::Unit unit_typed(const check::Reading& reading, units::Unit bare) {
  return units::parse_number(reading.as_typed, "width").unit.value_or(bare);
}

check::Strip strip_of(const Ends& ends, int panel, int from_cut, int to_cut) {
  check::Strip strip;
  strip.panel = panel;
  strip.from_cut = from_cut;
  strip.to_cut = to_cut;
  strip.spots.push_back({0, ends.fence_end});
  if (!ends.middle.empty()) strip.spots.push_back({ends.apart_mm / 2, ends.middle});
  strip.spots.push_back({ends.apart_mm, ends.free_end});
  return strip;
}

}  // namespace quarterturn::app
