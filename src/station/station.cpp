// SPDX-License-Identifier: MIT
#include "station/station.hpp"

#include <algorithm>

#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::station {

bool Grid::has(Hole hole) const {
  return hole.column >= 1 && hole.column <= columns && hole.row >= 1 && hole.row <= rows &&
         std::find(missing.begin(), missing.end(), hole) == missing.end();
}

const Setup& Station::setup(const std::string& wanted) const {
  if (wanted.empty() && setups.size() == 1) return setups.begin()->second;
  const auto found = setups.find(wanted);
  if (found != setups.end()) return found->second;
  if (setups.empty()) {
    throw units::InputError("setup", wanted, "one of station " + name, {},
                            "this station has no setup yet: name its rail dogs and fence dogs first");
  }
  std::vector<std::string> names;
  for (const auto& [key, value] : setups) names.push_back(key);
  throw units::InputError("setup", wanted, units::one_of(names), {},
                          wanted.empty() ? "station " + name + " has several setups: say which one"
                                         : units::did_you_mean(wanted, names));
}

}  // namespace quarterturn::station
