// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "check/test_cost.hpp"
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
    const std::string word = counted_word(outcome.check);
    return fmt::format("{} a usual size is ASSUMED ({}). The ± holds up to {} times that ({}).{}",
                       one ? "Seating cannot be seen in one " + word + ";"
                           : "Seating is hardly seen in so few " + word + "s;",
                       length_text(check::kAssumedSeatingMm, options.unit, 3), fixed(kAssumedHolds, 1),
                       length_text(kAssumedHolds * check::kAssumedSeatingMm, options.unit, 3),
                       one ? std::string()
                           : fmt::format(" With what was read it makes {}.",
                                         length_text(seating.estimate_mm, options.unit, 3)));
  }
  if (seating.source == check::Source::unknown)
    return "Seating cannot be seen in one " + counted_word(outcome.check) + ", and none was assumed.";
  const auto words = scatter_words(outcome, check::Component::seating, options);
  return words.amount.empty() ? "Seating " + words.source + "."
                              : fmt::format("Seating {} ({}).", words.amount, words.source);
}

/// What the earlier checks bought, and what that rests on; or why they tell nothing of seating.
std::string from_log_words(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.fit.log) return "";
  const auto& log = *outcome.fit.log;
  const bool one = log.checks == 1;
  const std::string checks = one ? "Your earlier check" : fmt::format("Your {} earlier checks", log.checks);
  const std::string gives = one ? "gives a" : "give a";
  if (log.seating == check::LogSeating::differs) return "";  // its finding says it
  const auto as_then = [&](const std::string& bought) {
    return "  " + checks + " " + bought +
           (log.used() ? "; that assumes that the panel seats as it did then.\n" : ".\n");
  };
  std::string text;
  const double now = outcome.fit.eta.half_width;
  if (!log.half_width_without) {
    if (!outcome.fit.eta.unknown) text = as_then(gives + " ± at all");
  } else if (*log.half_width_without > now) {
    const auto words = [&](double rad) { return half_width_text(over_panel(outcome, rad), options.unit); };
    const std::string before = words(*log.half_width_without), after = words(now);
    if (before != after) text = as_then(fmt::format("narrow{} {} to {}", one ? "s" : "", before, after));
  }
  if (text.empty() && log.used())
    text = as_then(one ? "tells how the panel seats" : "tell how the panel seats");
  if (log.seating == check::LogSeating::one_strip_each) {
    text += fmt::format("  {} of one {}{} nothing of how the panel seats; from two {}s on a check does.\n",
                        checks, counted_word(outcome.check), one ? " tells" : " each tell",
                        counted_word(outcome.check));
  } else if (log.seating == check::LogSeating::board_tapers) {
    text += fmt::format(
        "  {} {} of halves: how far their boards are out of parallel would pass as seating, so none is taken "
        "from {}.\n",
        checks, one ? "was" : "were", one ? "it" : "them");
  } else if (log.seating == check::LogSeating::saw_marks_unseen) {
    text += fmt::format(
        "  {} {} measured at two places a {}: {} would pass as seating, so none is taken from "
        "{}. A third place tells them apart.\n",
        checks, one ? "was" : "were", counted_word(outcome.check),
        outcome.check.gaps() ? "rough edges" : "saw marks", one ? "it" : "them");
  }
  return text;
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
  if (outcome.check.strips.size() == 1 && !asked && !outcome.check.gaps()) {
    text +=
        "  A single strip cannot show swapped ends: was F at the fence in the last cut, and X up every "
        "time?\n";
  }
  for (const auto& finding : outcome.fit.findings) {
    if (finding.code == "saw-marks-unseen") text += "  " + finding_text(finding, options.unit) + "\n";
  }
  return text;
}

std::string stopping_plan_text(int most_strips, int first_look) {
  const int cuts = most_strips + 4;
  std::string text = fmt::format(
      "At most {} strips of one panel, {} cuts, about {}; fewer if it is settled before.", most_strips, cuts,
      minutes_text(check::kMinutesFiveCut + check::minutes_of_more_cuts(cuts - 5)));
  if (first_look > 1) text += fmt::format(" The first look comes after strip {}.", first_look);
  return text + " 'later' stops it; what was told stands.\n";
}

std::string look_text(const correct::Outcome& outcome) {
  if (!outcome.look) return "";
  const auto& look = *outcome.look;
  const int strips = static_cast<int>(outcome.check.strips.size());
  std::string text =
      fmt::format("Planned for at most {} strips, read after strip {}. ", look.planned, strips);
  if (look.too_early)
    return text + fmt::format("The first look comes after strip {}: nothing is read from this one. Cut on.\n",
                              look.first);
  text += "Its ± allows for looking after every strip. ";
  if (look.answer != check::Answer::cannot_tell) {
    return text + (outcome.fit.provisional && strips < look.planned
                       ? "Settled if panels seat as usual: one more strip shows how yours do.\n"
                       : "Settled: you may stop here.\n");
  }
  return text +
         (strips < look.planned
              ? fmt::format("Not settled: cut on, {} at most.\n",
                            look.planned - strips == 1 ? "one more strip"
                                                       : fmt::format("{} more strips", look.planned - strips))
              : std::string("That was the last strip of the plan; it stays open.\n"));
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
