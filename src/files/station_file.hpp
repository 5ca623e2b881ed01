// SPDX-License-Identifier: MIT
/// \file station_file.hpp
/// Station files: JSON text <-> station::Station.
#pragma once

#include <string>

#include "files/text_file.hpp"
#include "station/station.hpp"

namespace quarterturn::files {

/// \throws units::InputError with line and column for broken JSON, else the path
/// (`setups.crosscut.rail.far.hole`)
station::Station parse_station(const Text& text);

/// Parses back to an equal Station; keys in the order of the format's description, numbers shortest.
std::string write_station(const station::Station& station);

}  // namespace quarterturn::files
