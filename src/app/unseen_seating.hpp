// SPDX-License-Identifier: MIT
/// \file unseen_seating.hpp
/// Checks whose ± leaves seating out, made fit to be compared with others.
#pragma once

namespace quarterturn::app {

/// Standard uncertainty of eta and its degrees of freedom.
struct Widened {
  double u = 0, dof = 0;
};
/// With the usual seating (M19), four corners over four turns. \param u  of readings alone [rad]
/// \param span_mm  of the fence contacts
Widened with_unseen_seating(double u, double dof, double span_mm);

}  // namespace quarterturn::app
