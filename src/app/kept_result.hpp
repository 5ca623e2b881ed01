// SPDX-License-Identifier: MIT
/// \file kept_result.hpp
/// What several words make of kept results, and what they say where none is kept.
#pragma once

#include <string>

#include "files/log_document.hpp"
#include "logbook/logbook.hpp"
#include "station/station.hpp"

namespace quarterturn::app {

/// Standard uncertainty that decisions use: half-width over the normal quantile (M41). [rad]
double acting_u(const files::StoredResult& result);

/// The usual seating (M19) in eta, four corners over four turns: what a check that cannot see seating leaves
/// out of its ±. On check::kAssumedSeatingDof. \param span_mm  of the fence contacts
double unseen_seating_rad(double span_mm);

/// Standard uncertainty of eta and its degrees of freedom.
struct Widened {
  double u = 0, dof = 0;
};
Widened with_unseen_seating(double u, double dof, double span_mm);

/// The station's id. \throws units::InputError when the log does not know it
std::string kept_station(const logbook::Logbook& log, const station::Station& station);
/// \param setup  empty: none of the station's
[[noreturn]] void no_check_kept(const std::string& station, const std::string& setup);

}  // namespace quarterturn::app
