// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "report/amounts.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr double kAssumedHolds =
    1.6;  ///< METHOD.md (M19): the assumed seating holds up to so many times its size

const check::Scatter& scatter(const correct::Outcome& outcome, check::Component component) {
  return outcome.fit.scatter[static_cast<std::size_t>(component)];
}

std::string seating_words(const correct::Outcome& outcome, const TextOptions& options) {
  const auto& seating = scatter(outcome, check::Component::seating);
  if (seating.source == check::Source::assumed) {
    const bool one = outcome.check.strips.size() == 1;
    return fmt::format(
        "{} a usual size is ASSUMED ({}). The ± holds up to {} times that ({}).{}",
        one ? "Seating cannot be seen in one strip;" : "Seating is hardly seen in so few strips;",
        length_text(check::kAssumedSeatingMm, options.unit, 3), fixed(kAssumedHolds, 1),
        length_text(kAssumedHolds * check::kAssumedSeatingMm, options.unit, 3),
        one ? std::string()
            : fmt::format(" With what was read it makes {}.",
                          length_text(seating.estimate_mm, options.unit, 3)));
  }
  if (seating.source == check::Source::unknown)
    return "Seating cannot be seen in one strip, and none was assumed.";
  const auto words = scatter_words(outcome, check::Component::seating, options);
  return words.amount.empty() ? "Seating " + words.source + "."
                              : fmt::format("Seating {} ({}).", words.amount, words.source);
}

/// What the earlier checks bought, and what that rests on.
std::string from_log_words(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.from_log || !outcome.from_log->seating_used) return "";
  const auto& log = *outcome.from_log;
  const std::string checks =
      log.checks == 1 ? "Your earlier check" : fmt::format("Your {} earlier checks", log.checks);
  const std::string now = half_width_text(over_panel(outcome, outcome.fit.eta.half_width), options.unit);
  if (!log.without_rad) {
    return fmt::format("  {} give{} a ± at all; that assumes that the panel seats as it did then.\n", checks,
                       log.checks == 1 ? "s" : "");
  }
  const double before = *log.without_rad;
  if (before <= outcome.fit.eta.half_width) {
    return fmt::format("  {} tell{} how the panel seats; that assumes that it still seats so.\n", checks,
                       log.checks == 1 ? "s" : "");
  }
  return fmt::format("  {} narrow{} {} to {}; that assumes that the panel seats as it did then.\n", checks,
                     log.checks == 1 ? "s" : "", half_width_text(over_panel(outcome, before), options.unit),
                     now);
}

}  // namespace

std::string how_sure_text(const correct::Outcome& outcome, const TextOptions& options, bool asked) {
  std::string text =
      fmt::format("How sure: measuring {} {}. ",
                  half_width_text(over_panel(outcome, outcome.fit.measuring_half_width), options.unit),
                  over_words(outcome, options));
  text += seating_words(outcome, options) + "\n";
  text += from_log_words(outcome, options);
  if (outcome.fit.span_assumed) {
    text += fmt::format("  The distance of the fence dogs is not known: {} is taken.\n",
                        size_text(outcome.fit.span_mm, options.unit));
  }
  if (outcome.check.strips.size() == 1 && !asked) {
    text +=
        "  A single strip cannot show swapped ends: was F at the fence in the last cut, and X up every "
        "time?\n";
  }
  for (const auto& finding : outcome.fit.findings) {
    if (finding.code == "saw-marks-unseen") text += "  " + finding_text(finding, options.unit) + "\n";
  }
  return text;
}

std::string settle_first_text(const correct::Outcome& outcome, const TextOptions& options) {
  std::string text;
  for (const auto& finding : outcome.fit.findings) {
    if (check::finding_row(finding.code).settle_first) {
      text += "First clear this up: " + finding_text(finding, options.unit) + "\n";
    }
  }
  return text;
}

std::string findings_text(const correct::Outcome& outcome, const TextOptions& options, bool all) {
  std::string text;
  for (const auto* list : {&outcome.setup_findings, &outcome.fit.findings}) {
    for (const auto& finding : *list) {
      const bool told = finding.code == "saw-marks-unseen" || finding.code == "seating-unseen";
      if (told || check::finding_row(finding.code).settle_first) continue;
      if (!all && finding.code == "slips-not-seen") continue;
      text += "- " + finding_text(finding, options.unit) + "\n";
    }
  }
  return text;
}

}  // namespace quarterturn::report
