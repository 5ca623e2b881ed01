// SPDX-License-Identifier: MIT
/// \file one_station_file.hpp
/// A single station file as a station::Store that holds one station.
#pragma once

#include <string>
#include <vector>

#include "station/station.hpp"

namespace quarterturn::files {

class OneStationFile : public station::Store {
 public:
  explicit OneStationFile(std::string path) : path_(std::move(path)) {}
  /// The name of the station in the file.
  [[nodiscard]] std::vector<std::string> list() const override;
  [[nodiscard]] station::Station find(const std::string& name) const override;
  /// Writes the file. \throws FileTrouble
  void save(const station::Station& station) override;
  void rename(const std::string& from, const std::string& to) override;

 private:
  std::string path_;
};

}  // namespace quarterturn::files
