// SPDX-License-Identifier: MIT
/// \file sizes.hpp
/// What earlier checks of a setup tell of reading, saw marks and seating.
///
/// In       earlier checks, what is known beside them
/// Out      standard deviations [mm]; how much the log's seating counts for
/// Maths    METHOD.md (M90) on (M18), (M20)
#pragma once

#include <optional>
#include <span>

#include "check/fit.hpp"

namespace quarterturn::plan {

struct LogSizes {
  int checks = 0;
  std::optional<double> reading_mm;    ///< readings and caliper pooled
  std::optional<double> saw_marks_mm;  ///< empty: nothing in the log tells of them
  std::optional<double> seating_mm;    ///< likewise
  double seating_dof = 0;              ///< counted, (M18)
};
LogSizes sizes_of_log(std::span<const check::ScatterEvidence> earlier,
                      std::span<const check::Evidence> evidence, const check::FitOptions& options);

}  // namespace quarterturn::plan
