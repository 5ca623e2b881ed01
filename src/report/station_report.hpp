// SPDX-License-Identifier: MIT
/// \file station_report.hpp
/// Stations, shims and calipers for people (text) and programs (JSON).
#pragma once

#include <string>
#include <vector>

#include "report/check_report.hpp"
#include "station/station.hpp"

namespace quarterturn::report {

std::string station_text(const station::Station& station, const TextOptions& options);
std::string station_names_text(const std::vector<std::string>& names);
/// Schema quarterturn/stations/1
std::string station_names_json(const std::vector<std::string>& names);

std::string shims_text(const std::vector<station::Shim>& shims, const TextOptions& options);
/// `foil tape: 8 layers of 0.070 mm`
std::string shim_line(const station::Shim& shim, const TextOptions& options);
/// Schema quarterturn/shims/1
std::string shims_json(const std::vector<station::Shim>& shims);

std::string calipers_text(const std::vector<station::OwnedCaliper>& calipers);
/// Schema quarterturn/calipers/1
std::string calipers_json(const std::vector<station::OwnedCaliper>& calipers);

/// `0.10 mm over 600 mm`, `0.01°`
std::string tolerance_words(const units::Tolerance& tolerance, const TextOptions& options);

/// One class of caliper and where its figures come from.
struct ClassLine {
  check::Caliper caliper;
  std::string source;
};
std::string caliper_classes_text(const std::vector<ClassLine>& classes, const TextOptions& options);

/// Readings of one spot, their scatter, and how to use it.
struct TrialLine {
  check::Caliper caliper;
  double mean_mm = 0, lowest_mm = 0, highest_mm = 0;
  int readings = 0;
};
std::string trial_text(const TrialLine& trial, const TextOptions& options);
/// Schema quarterturn/caliper-trial/1
std::string trial_json(const TrialLine& trial);

}  // namespace quarterturn::report
