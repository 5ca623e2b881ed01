// SPDX-License-Identifier: MIT
#include "plan/sizes.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "check/scatter.hpp"
#include "plan/synthetic.hpp"

namespace quarterturn::plan {

LogSizes sizes_of_log(std::span<const check::ScatterEvidence> earlier,
                      std::span<const check::Evidence> evidence, const check::FitOptions& options) {
  LogSizes out;
  if (earlier.empty()) return out;
  // One strip of two places read once: it tells nothing of any variance, so that the log alone speaks.
  check::Check silent;
  silent.strips.push_back(blank_strip(1, 5, 2, 1, 500));
  check::FitOptions bare = options;
  bare.use_assumed = false;
  std::vector<check::Evidence> known(evidence.begin(), evidence.end());
  std::erase_if(known, [](const auto& e) { return e.component == check::Component::seating; });
  try {
    const check::ScatterFit fit = check::fit_scatter(silent, check::corners_of(silent), known, earlier, bare);
    constexpr std::size_t kSaw = 1, kSeating = 2;
    out.checks = fit.earlier.checks;
    if (fit.nu_reading > 0) out.reading_mm = std::sqrt(fit.s2_reading);
    if (fit.is_free[kSaw]) out.saw_marks_mm = std::sqrt(fit.theta[kSaw]);
    if (fit.log) {
      // A seating that was fitted as nothing counts as one standard error, as for the next panel (M38).
      const double s2 = fit.theta[kSeating] > 0
                            ? fit.theta[kSeating]
                            : std::sqrt(std::max(0.0, fit.theta_variance(check::Component::seating)));
      out.seating_mm = std::sqrt(s2);
      out.seating_dof = fit.log_nu;
    }
  } catch (const check::NoInterval&) {
    // Nothing in the log was read twice: it tells nothing.
  }
  return out;
}

}  // namespace quarterturn::plan
