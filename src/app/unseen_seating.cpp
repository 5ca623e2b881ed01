// SPDX-License-Identifier: MIT
#include "app/unseen_seating.hpp"

#include <cmath>
#include <numbers>

#include "check/fit.hpp"

namespace quarterturn::app {

Widened with_unseen_seating(double u, double dof, double span_mm) {
  constexpr double kTurns = 4;
  const double seating = check::kAssumedSeatingMm * std::numbers::sqrt2 / span_mm;
  const double measured = u * u, seated = seating * seating / kTurns;
  const double variance = measured + seated;
  // (M26) of a sum
  const double inverse = measured * measured / dof + seated * seated / check::kAssumedSeatingDof;
  return {std::sqrt(variance), variance * variance / inverse};
}

}  // namespace quarterturn::app
