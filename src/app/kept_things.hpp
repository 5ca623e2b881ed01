// SPDX-License-Identifier: MIT
/// \file kept_things.hpp
/// The words `station`, `shims` and `caliper` as functions over a station::Store. Print and ask nothing.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "check/check.hpp"
#include "station/station.hpp"

namespace quarterturn::app {

/// Saves a station that must be new. \throws units::InputError when its name is taken or unfit, or it breaks
/// a rule
void add_station(station::Store& store, const station::Station& station);

/// What `set_in_station` can change, for help and errors.
const std::vector<std::string>& settable();

/// Changes one thing of a station and saves it. `what` is one of settable(); where the station has several
/// setups those of a setup are written `SETUP.tolerance`. All else goes by its path in the station's file,
/// such as `grid.pitch_mm` or `dogs.tall-1.diameter_mm`. \throws units::InputError
station::Station set_in_station(station::Store& store, const std::string& name, std::string_view what,
                                std::string_view value, units::Unit unit = units::Unit::mm);

/// `foil tape 8 layers 0.56` (eight layers together measure 0.56), `card 0.25`; `hard` at the end for steel
/// and card,
/// `+- 0.004` for the standard uncertainty of a layer, else 5 % of it and not under 0.005 mm (common
/// practice, no source). \throws units::InputError
station::Shim parse_shim(std::string_view text, units::Unit unit = units::Unit::mm);

/// A shim of that name is replaced. \throws units::InputError
station::Station add_shim(station::Store& store, const std::string& name, const station::Shim& shim);
/// \throws units::InputError when there is none of that name
station::Station remove_shim(station::Store& store, const std::string& name, const std::string& shim);

/// A caliper of that name is replaced. \throws units::InputError when the class is not known
station::Station add_caliper(station::Store& store, const std::string& name,
                             const station::OwnedCaliper& caliper);
/// \throws units::InputError when there is none of that name
station::Station remove_caliper(station::Store& store, const std::string& name, const std::string& caliper);

/// What ten readings at one spot tell of caliper and hand.
struct Trial {
  check::Caliper caliper;  ///< repeatability and its reliability, resolution as typed
  double mean_mm = 0, lowest_mm = 0, highest_mm = 0;
  int readings = 0;
};
/// Standard deviation of n readings; its relative standard uncertainty 1/sqrt(2(n - 1)), [GUM] E.4.3.
/// \throws units::InputError on fewer than three
Trial trial_of(const std::vector<check::Reading>& readings);

}  // namespace quarterturn::app
