// SPDX-License-Identifier: MIT
#include "files/one_station_file.hpp"

#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::files {

std::vector<std::string> OneStationFile::list() const {
  return {parse_station(read_text(path_)).name};
}

station::Station OneStationFile::find(const std::string& name) const {
  auto station = parse_station(read_text(path_));
  if (!name.empty() && station.name != name) {
    throw units::InputError("station", name, "'" + station.name + "', the one this file holds", {path_, 0, 0},
                            "give that name, or the file of the other station");
  }
  return station;
}

void OneStationFile::save(const station::Station& station) {
  write_text(path_, write_station(station));
}

void OneStationFile::rename(const std::string& from, const std::string& to) {
  auto station = find(from);
  station.name = to;
  save(station);
}

}  // namespace quarterturn::files
