// SPDX-License-Identifier: MIT
#include "app/kept_result.hpp"

#include <cmath>
#include <numbers>

#include "check/fit.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {

using units::InputError;

double acting_u(const files::StoredResult& result) {
  return result.half_width / stats::normal_quantile(0.5 * (1 + result.confidence));
}

double unseen_seating_rad(double span_mm) {
  constexpr double kTurns = 4;
  return check::kAssumedSeatingMm * std::numbers::sqrt2 / span_mm / std::sqrt(kTurns);
}

Widened with_unseen_seating(double u, double dof, double span_mm) {
  const double measured = u * u, seated = std::pow(unseen_seating_rad(span_mm), 2);
  const double variance = measured + seated;
  // (M26) of a sum
  const double inverse = measured * measured / dof + seated * seated / check::kAssumedSeatingDof;
  return {std::sqrt(variance), variance * variance / inverse};
}

std::string kept_station(const logbook::Logbook& log, const station::Station& station) {
  std::string id = log.known_station(station);
  if (id.empty()) {
    throw InputError("station", station.name, "one that is in the log", {},
                     "this is made of checks that were kept: quarterturn check FILE --save");
  }
  return id;
}

void no_check_kept(const std::string& station, const std::string& setup) {
  throw InputError("check", std::string(units::kMissing),
                   setup.empty() ? "kept in the log for station '" + station + "'"
                                 : "kept in the log for setup '" + setup + "'",
                   {}, "quarterturn check FILE --save; 'log list' shows what there is");
}

}  // namespace quarterturn::app
