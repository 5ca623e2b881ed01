// SPDX-License-Identifier: MIT
/// \file station_file.hpp
/// Station files: JSON text <-> station::Station.
#pragma once

#include <string>
#include <string_view>

#include "files/text_file.hpp"
#include "station/station.hpp"
#include "units/number.hpp"

namespace quarterturn::files {

/// \throws units::InputError with the path (`setups.crosscut.rail.far.hole`), line and column, and a hint
station::Station parse_station(const Text& text);

/// Parses back to an equal Station; keys in the order of the format's description, numbers shortest.
std::string write_station(const station::Station& station);

/// The station with one value of its file replaced, or added where its format has it.
/// \param path   of the file: `grid.pitch_mm`, `dogs.tall-1.diameter_mm`; not of a list's item
/// \param value  as typed: lengths with their unit if not in `unit`, words without quotes
/// \throws units::InputError naming the path
station::Station with_value(const station::Station& station, std::string_view path, std::string_view value,
                            units::Unit unit);

}  // namespace quarterturn::files
