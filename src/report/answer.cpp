// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "check/test_cost.hpp"
#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/gap_test_words.hpp"
#include "report/ink.hpp"
#include "report/plan_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

std::string colored(const std::string& text, const check::Verdict& verdict, const TextOptions& options) {
  Ink ink = Ink::doubt;
  if (verdict.setup == check::Answer::within) ink = Ink::within;
  if (verdict.setup == check::Answer::outside) ink = Ink::outside;
  return inked(text, ink, options.color);
}

/// The corner with its ±, without a verdict: `over 90° by 0.17 ± 0.04 mm over 600 mm (0.016°)`.
std::string corner_words(const correct::Outcome& outcome, const TextOptions& options) {
  const auto& eta = outcome.fit.eta;
  const double mm = over_panel(outcome, std::fabs(eta.x));
  const std::string amount = plus_minus_text(mm, over_panel(outcome, eta.half_width), options.unit);
  // What rounds to nothing has no side.
  if (!eta.unknown && amount.substr(0, amount.find(' ')).find_first_of("123456789") == std::string::npos) {
    return fmt::format("{}, off by {} {} ({})", nominal_words(outcome), amount, over_words(outcome, options),
                       degrees_text(std::fabs(eta.x), eta.half_width));
  }
  const std::string by = eta.unknown ? length_text(mm, options.unit)
                                     : plus_minus_text(mm, over_panel(outcome, eta.half_width), options.unit);
  return fmt::format("{} {} by {} {} ({})", side_word(eta.x), nominal_words(outcome), by,
                     over_words(outcome, options), degrees_text(std::fabs(eta.x), eta.half_width));
}

std::string allowed_words(const correct::Outcome& outcome, const TextOptions& options) {
  const double mm = over_panel(outcome, outcome.tolerance->angle.rad());
  return "allowed " + length_text(mm, options.unit, mm < 0.095 ? fine_decimals(mm) : 2);
}

/// One more joint: what it costs.
std::string another_joint_text(const correct::Outcome& outcome) {
  GapTestShown shown;
  const bool halves = outcome.check.form == check::Form::halves;
  shown.kind = outcome.check.test == check::TestKind::frame ? GapTestShown::Kind::frame
               : halves                                     ? GapTestShown::Kind::halves
                                                            : GapTestShown::Kind::pair;
  if (outcome.check.pieces > 0) shown.pieces = outcome.check.pieces;
  const int cuts = gap_test_cuts(shown);
  std::string what = "Another " + counted_word(outcome.check);
  if (halves)
    what = outcome.check.strips.size() % 2 != 0 ? "The same board turned end for end" : "Another board";
  return fmt::format("{} ({} cut{}, {}) tells more; how much more is reckoned for strips only.\n", what, cuts,
                     cuts == 1 ? "" : "s", minutes_text(gap_test_minutes(shown)));
}

/// `± 0.04 mm to about ± 0.03 mm`, of the whole ± or, while that is not known, of what it will be.
std::string brought_words(const correct::Outcome& outcome, const plan::FurtherStep& step,
                          const TextOptions& options) {
  const std::string then = half_width_text(over_panel(outcome, step.half_width), options.unit);
  if (!is_sure(outcome)) return "a first ± of about" + then.substr(then.find(' '));
  const std::string now = half_width_text(over_panel(outcome, outcome.fit.eta.half_width), options.unit);
  return now == then ? "hardly less than " + now : fmt::format("{} to about {}", now, then);
}

/// What two more cuts would do to the ±; where that was not reckoned, what they are good for.
std::string two_cuts_do(const correct::Outcome& outcome, const std::optional<plan::FurtherStep>& step,
                        const TextOptions& options) {
  const bool first = outcome.check.strips.size() < 2;
  if (!step) return first ? "begin to show how it seats" : "tell more";
  return std::string(first ? "begin to show how it seats and would bring " : "would bring ") +
         brought_words(outcome, *step, options);
}

/// Two more cuts on the panel that lies on the table: what they cost, bring and leave. Empty of a test that
/// goes by its own plan.
std::string two_cuts_text(const correct::Outcome& outcome, const TextOptions& options, const MoreCuts& more) {
  if (outcome.look) return "";
  if (outcome.check.gaps()) return another_joint_text(outcome);
  std::string text = fmt::format("Two more cuts on this panel ({}) ", minutes_text(check::kMinutesTwoCuts));
  text += two_cuts_do(outcome, more.two_more, options);
  if (!outcome.check.panel_size) return text + ".\n";
  double strip_mm = 0;
  for (const auto& spot : outcome.check.strips.back().spots) {
    for (const auto& reading : spot.readings) strip_mm = std::max(strip_mm, reading.mm);
  }
  int most_cut = 0;
  for (const auto& strip : outcome.check.strips) most_cut = std::max(most_cut, strip.to_cut);
  const double left_mm = check::shorter_side_after(*outcome.check.panel_size, most_cut + 2, strip_mm);
  if (left_mm < check::kSmallestPanelMm) {
    return fmt::format(
        "This panel is used up (about {} would be left, {} is the least that can be held safely): take a "
        "fresh one.\n",
        size_text(std::max(std::round(left_mm), 0.0), options.unit),
        size_text(check::kSmallestPanelMm, options.unit));
  }
  return text +
         fmt::format("; about {} of it would be left.\n", size_text(std::round(left_mm), options.unit));
}

/// What more cuts would tell.
std::string more_cuts_text(const correct::Outcome& outcome, const TextOptions& options,
                           const MoreCuts& more) {
  if (!more.settles) return two_cuts_text(outcome, options, more);
  std::string text = settling_line(*more.settles, options);
  if (more.two_more)
    text += " Two more cuts would bring " + brought_words(outcome, *more.two_more, options) + ".";
  return text + "\n";
}

/// What two more strips of a test that goes by its own plan would bring, or why that is not told.
std::string planned_cuts_text(const correct::Outcome& outcome, const TextOptions& options,
                              const MoreCuts& more) {
  if (outcome.look->too_early) return "";  // nothing is read of it, nor is a ± told
  if (static_cast<int>(outcome.check.strips.size()) + 1 >= outcome.look->planned)
    return "What two more cuts would bring is not told: the plan has one left.\n";
  if (!more.two_more) return "";
  return "Two more cuts would bring " + brought_words(outcome, *more.two_more, options) + ".\n";
}

std::string missing_words(const correct::Outcome& outcome) {
  if (!outcome.tolerance) return "No tolerance was stated, so there is no verdict.";
  if (!outcome.check.second_setup.empty())
    return "Two setups cut this ring: it tells the mean of both, so no dog of either can be named.";
  if (!outcome.eps) {
    return "Which way to move is not known: it needs the station, or which part is kept and on which side of "
           "the "
           "fence the panel lies.";
  }
  return "By how much to move is not known: it needs the station, or the distance of the two rail dogs.";
}

std::string move_lines(const correct::Outcome& outcome, const TextOptions& options, const char* lead) {
  if (!outcome.advice->has_best) return "";
  const auto& move = outcome.advice->moves.front();
  std::string text = fmt::format("{}: {}\n", lead, move_text(move, options.unit));
  if (move.bound_only && move.moved_rad == 0)
    return text + "  How much it does is not known beforehand: try and measure.\n";
  if (move.bound_only) {
    text += fmt::format("  How much it does is not known beforehand, at most {} {}: try and measure.\n",
                        length_text(over_panel(outcome, std::fabs(move.moved_rad)), options.unit),
                        over_words(outcome, options));
    return text;
  }
  text += fmt::format("  Leaves {} ({}).", remains_words(outcome, move, options.unit),
                      over_words(outcome, options));
  if (!move.parts.empty() && move.one_layer_rad != 0) {
    text += fmt::format(" One layer does {}.",
                        length_text(over_panel(outcome, std::fabs(move.one_layer_rad)), options.unit, 3));
  }
  return text + "\n";
}

bool passes(const correct::Outcome& outcome) {
  return outcome.verdict->setup == check::Answer::within;
}

/// What is believed with earlier checks may lie elsewhere than what this one read.
std::string believed_text(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.geometry) return "";
  const double believed = outcome.geometry->q * outcome.advice->decision.mu, read = outcome.fit.eta.x;
  if (believed * read > 0 && std::fabs(believed) < 1.5 * std::fabs(read)) return "";
  return fmt::format(
      "With the checks before, it is believed to be {} {} by {} {}; this one alone could not tell.\n",
      side_word(believed), nominal_words(outcome),
      length_text(std::fabs(over_panel(outcome, believed)), options.unit), over_words(outcome, options));
}

std::string decided_text(const correct::Outcome& outcome, const TextOptions& options, const MoreCuts& more) {
  const auto& decision = outcome.advice->decision;
  const std::string chance = percent_text(decision.probability_improves);
  if (outcome.settle_first) return "Then check again, before anything is moved.\n";
  if (decision.find_first) {
    return passes(outcome) ? "Leave the dogs alone. It moved since the last check, by more than chance: "
                             "'find' asks why.\n"
                           : "Do NOT correct yet: find out first why it moved since the last check.\n";
  }
  if (decision.correct == correct::Correct::no) {
    if (outcome.verdict->setup == check::Answer::outside) {
      return "A move would cost more than it brings: leave the dogs alone and check again.\n";
    }
    return outcome.verdict->setup == check::Answer::within
               ? "Leave it alone.\n"
               : "Leave the dogs alone for now: what was read is no ground for a move.\n";
  }
  if (outcome.rail_bowed) {
    return "Do NOT move a dog yet: the rail is bowed, and no dog mends that. Straighten it or take a "
           "straight "
           "one, then check again.\n";
  }
  if (decision.correct == correct::Correct::unclear) {
    std::string text = "Measure more before you move anything.";
    if (is_sure(outcome))
      text += fmt::format(" A move now would make it better with a chance of {}.", chance);
    return text + "\n" + more_cuts_text(outcome, options, more) +
           move_lines(outcome, options, "If it stays so");
  }
  std::string text = believed_text(outcome, options);
  if (passes(outcome)) {
    text += fmt::format("It passes, and moving still pays: chance that it gets better {}.\n", chance);
    text += move_lines(outcome, options, "To make it better still");
  } else {
    text += move_lines(outcome, options, "Do this");
  }
  if (outcome.advice->ask_rail_straight) {
    text += "  Before a correction this large make sure that the rail is straight: 'correct' says how.\n";
  }
  return text;
}

}  // namespace

std::string answer_sentence(const correct::Outcome& outcome, const TextOptions& options) {
  std::string text;
  if (outcome.verdict) {
    text = colored(verdict_words(*outcome.verdict), *outcome.verdict, options) + ": the corner is " +
           corner_words(outcome, options) + "; " + allowed_words(outcome, options) + ".";
  } else {
    text = "The corner is " + corner_words(outcome, options) + ".";
  }
  if (outcome.fit.eta.unknown) {
    text +=
        fmt::format(" Measuring alone {}; how the panel seats is not known, so the whole ± cannot be told.",
                    half_width_text(over_panel(outcome, outcome.fit.measuring_half_width), options.unit));
  }
  return text;
}

std::string to_do_text(const correct::Outcome& outcome, const TextOptions& options, const MoreCuts& more) {
  std::string text = settle_first_text(outcome, options);
  if (outcome.advice) {
    text += decided_text(outcome, options, more);
  } else {
    text += missing_words(outcome) + "\n";
  }
  const auto seating = outcome.fit.scatter[static_cast<std::size_t>(check::Component::seating)].source;
  // Of an assumed seating it would be an assumption, not a finding.
  if (outcome.verdict && outcome.verdict->seating_too_wide && seating != check::Source::assumed &&
      !outcome.settle_first) {
    text +=
        "The panel seats so unevenly that no move of dogs can bring every panel within: see to fence, chips "
        "and "
        "dust first.\n";
  }
  const bool unclear = outcome.advice && outcome.advice->decision.correct == correct::Correct::unclear;
  const bool doubt = outcome.verdict &&
                     (outcome.verdict->setup == check::Answer::cannot_tell || outcome.verdict->provisional);
  if (doubt && !unclear && !outcome.settle_first) text += more_cuts_text(outcome, options, more);
  return text;
}

std::string expect_text(const correct::Outcome& outcome, std::size_t move, const TextOptions& options) {
  if (move >= outcome.expected.size() || !outcome.expected[move]) return "";
  const auto& expected = *outcome.expected[move];
  const bool gaps = outcome.check.gaps();
  const bool ring = outcome.check.test == check::TestKind::frame;
  const auto wider = [&](double mm) {
    return fmt::format("{} {}", length_text(std::fabs(mm), options.unit), mm < 0 ? "narrower" : "wider");
  };
  const auto& strip = outcome.check.strips.back();
  const double apart = strip.spots.back().position_mm - strip.spots.front().position_mm;
  const std::string where = !gaps  ? "At the next check expect the fence end (F)"
                            : ring ? "At the next ring expect the gap at its outer end (F)"
                                   : "At the next joint like this expect the gap at its F end";
  return fmt::format(
      "{} {} than {} (it was {}), {} apart{}.\n"
      "  If about {}: the wrong dog or face, or {} both times.\n"
      "  If about {}: nothing moved.",
      where, wider(expected.expect_mm),
      ring   ? "at the inner end"
      : gaps ? "at the free end"
             : "the free end",
      wider(expected.was_mm), size_text(apart, options.unit),
      is_sure(outcome) ? "; " + half_width_text(2 * expected.u_mm, options.unit) : std::string(),
      wider(expected.wrong_dog_mm), gaps ? "the ends mixed up" : "F on the wrong end",
      wider(expected.was_mm));
}

std::string check_summary(const correct::Outcome& outcome, const TextOptions& options, const MoreCuts& more) {
  if (outcome.check.test == check::TestKind::rail) return rail_test_text(outcome, options);
  // Strips of a test that goes on: nothing is read from some, nothing to be done is told of the others.
  if (outcome.look && outcome.look->goes_on(outcome.check.strips.size()) && !outcome.settle_first) {
    return finished((outcome.look->too_early ? "" : answer_sentence(outcome, options) + "\n") +
                        settle_first_text(outcome, options) + look_text(outcome) +
                        planned_cuts_text(outcome, options, more) + findings_text(outcome, options, false),
                    options);
  }
  std::string text = answer_sentence(outcome, options) + "\n" + to_do_text(outcome, options, more) +
                     noted_cause_text(outcome, options) + look_text(outcome) + bow_text(outcome, options) +
                     held_text(outcome, options) + findings_text(outcome, options, false) +
                     how_sure_text(outcome, options, true);
  return finished(text, options);
}

}  // namespace quarterturn::report
