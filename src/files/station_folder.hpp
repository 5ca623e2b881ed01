// SPDX-License-Identifier: MIT
/// \file station_folder.hpp
/// A folder of station files as a station::Store. Used until a log holds stations.
#pragma once

#include <string>
#include <vector>

#include "station/station.hpp"

namespace quarterturn::files {

/// \throws units::InputError unless the name can be a station's: 1 to 40 letters, digits, `-` and `_`
void hold_to_station_name(const std::string& name);

class StationFolder : public station::Store {
 public:
  /// \param folder  made on the first save
  explicit StationFolder(std::string folder);
  [[nodiscard]] std::vector<std::string> list() const override;
  [[nodiscard]] station::Station find(const std::string& name) const override;
  void save(const station::Station& station) override;
  void rename(const std::string& from, const std::string& to) override;

 private:
  std::string folder_;
};

}  // namespace quarterturn::files
