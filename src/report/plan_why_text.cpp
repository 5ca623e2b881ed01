// SPDX-License-Identifier: MIT
// From the sizes of a reading and of seating to the ± that a test will tell: one strip, step by step.
#include <fmt/format.h>

#include <cmath>

#include "check/test_cost.hpp"
#include "report/amounts.hpp"
#include "report/plan_report.hpp"
#include "report/plan_words.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr double kTurns = 4;  ///< of the first strip, which all designs begin with

/// Standard deviation of the corner by what is read of one strip. [rad]
double by_readings(const plan::Bench& bench, double apart_mm) {
  double squares = 0;
  for (int spot = 0; spot < bench.spots; ++spot) {
    const double at = apart_mm * (static_cast<double>(spot) / (bench.spots - 1) - 0.5);
    squares += at * at;
  }
  const auto& sizes = bench.sizes;
  const double spot2 =
      sizes.reading_mm * sizes.reading_mm / bench.readings + sizes.saw_marks_mm * sizes.saw_marks_mm;
  return std::sqrt(spot2 / squares) / kTurns;
}

}  // namespace

std::string plan_why_text(const plan::Result& result, const TextOptions& options) {
  const auto& bench = result.bench;
  const auto unit = options.unit;
  const auto over = [&](double rad) { return length_text(rad * result.over_mm, unit, 3); };
  const double apart_mm = bench.apart_mm.value_or(bench.panel.depth_mm - 2 * check::kFromEndMm);
  const double read = by_readings(bench, apart_mm);
  std::string text = fmt::format(
      "One strip of five cuts, over {}, as standard deviations\n"
      "- Reading: {} a reading, {} a place, {} places over {}; the strip carries four corners, so a quarter "
      "of its "
      "taper counts: {}.\n",
      size_text(result.over_mm, unit), length_text(bench.sizes.reading_mm, unit, 3), bench.readings,
      bench.spots, size_text(apart_mm, unit), over(read));
  if (!bench.options.bar_length_mm && result.span_mm > 0) {
    const double seat = bench.sizes.seating_mm * std::sqrt(2.0) / result.span_mm / std::sqrt(kTurns);
    text += fmt::format(
        "- Seating: {} a cut at either of two fence dogs {} apart, four cuts' corners taken together: {}.\n"
        "- Both together: {}.\n",
        length_text(bench.sizes.seating_mm, unit, 3), size_text(result.span_mm, unit), over(seat),
        over(std::hypot(read, seat)));
  }
  const auto& row = result.plan.rows.front();
  if (!row.unknown) {
    text +=
        fmt::format("The ± allows besides for how well these are known: {}. Half of such tests print less.\n",
                    half_width_text(row.half_width * result.over_mm, unit));
  }
  if (const auto& cheapest = result.plan.cheapest; cheapest && *cheapest > 0) {
    const auto& best = result.plan.rows[*cheapest];
    text += fmt::format("More cuts average seating and show it: {} ({}) makes {}",
                        "the cheapest test that settles it", minutes_text(best.minutes),
                        half_width_text(best.half_width * result.over_mm, unit));
    if (best.within && best.outside)
      text += fmt::format(", and settles it in {} when it is good, {} when it is not",
                          percent_text(*best.within), percent_text(*best.outside));
    text += ".\n";
  }
  return finished(text, options);
}

}  // namespace quarterturn::report
