// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <cmath>

#include "check/simulation.hpp"
#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

/// 200000 as `200,000`.
std::string thousands(std::size_t number) {
  std::string text = std::to_string(number);
  for (auto at = static_cast<std::ptrdiff_t>(text.size()) - 3; at > 0; at -= 3)
    text.insert(static_cast<std::size_t>(at), ",");
  return text;
}

}  // namespace

std::string simulation_text(const correct::Outcome& outcome, const check::Simulation& simulation,
                            const TextOptions& options) {
  const auto& trials = simulation.trials;
  const auto mm = [&](double rad) { return length_text(over_panel(outcome, rad), options.unit, 3); };
  std::string text = fmt::format(
      "Held against chance (JCGM 101: {} trials of the budget's sources, seed {})\n"
      "- Shortest interval that holds {} % of them: {} to {} {}; the ± told above gives {} to {}.\n",
      thousands(trials.trials), simulation.seed, fixed(100 * outcome.fit.eta.confidence, 0),
      mm(trials.shortest.low), mm(trials.shortest.high), over_words(outcome, options),
      mm(outcome.fit.eta.low()), mm(outcome.fit.eta.high()));
  const double apart = std::max(simulation.validation.d_low, simulation.validation.d_high);
  const bool told_wider = outcome.fit.eta.half_width > (trials.shortest.high - trials.shortest.low) / 2;
  if (simulation.validation.valid) {
    text += "- They agree to two digits of the standard uncertainty.\n";
  } else {
    text += fmt::format(
        "- They differ by up to {}, more than half a unit of the second digit of the standard "
        "uncertainty: {}.\n",
        length_text(std::max(over_panel(outcome, apart), 1e-4), options.unit, 4),
        told_wider ? "the told ± is the wider, for it counts the doubt of sources that hardly show"
                   : "sums of few degrees of freedom are only nearly a Student's t");
  }
  if (simulation.heavy_tails) {
    text +=
        "- A source known on two degrees of freedom or fewer has no standard deviation; its interval "
        "holds.\n";
  } else if (!trials.converged) {
    text += "- The trials ended before their last digit stood still.\n";
  }
  if (simulation.refits > 0) {
    const double share = static_cast<double>(simulation.covered) / simulation.refits;
    text += fmt::format(
        "- {} checks drawn anew like this one and computed again: the ± held the truth in {} % of them ({} "
        "to {} "
        "%, by so many draws).\n",
        thousands(static_cast<std::size_t>(simulation.refits)), fixed(100 * share, 1),
        fixed(100 * simulation.covered_low, 1), fixed(100 * simulation.covered_high, 1));
    text += fmt::format("  By them ±{} {} would hold it in {} %; told is ±{}.\n",
                        mm(simulation.holding_half_width), over_words(outcome, options),
                        fixed(100 * outcome.fit.eta.confidence, 0), mm(outcome.fit.eta.half_width));
    if (outcome.fit.provisional)
      text += "  Seating was drawn as large as it came out here. Larger seating is held less often.\n";
  }
  return finished(text, options);
}

}  // namespace quarterturn::report
