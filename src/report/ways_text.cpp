// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <cmath>

#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

std::string leaves_words(const correct::Outcome& outcome, const correct::Move& move,
                         const TextOptions& options) {
  if (move.bound_only && move.moved_rad == 0) return "does what is not known beforehand: try and measure";
  if (move.bound_only) {
    return fmt::format("does at most {}: try and measure",
                       length_text(over_panel(outcome, std::fabs(move.moved_rad)), options.unit));
  }
  std::string text = "leaves " + remains_words(outcome, move, options.unit);
  if (move.other_holes && is_sure(outcome)) {
    text += fmt::format("; better with a chance of {}, within {} {} with {}",
                        percent_text(move.other_holes->improves),
                        length_text(over_panel(outcome, outcome.tolerance->angle.rad()), options.unit),
                        over_words(outcome, options), percent_text(move.other_holes->within));
  }
  if (move.other_holes && !move.other_holes->unseen.empty()) text += "; not all of these holes were measured";
  return text;
}

/// How survey and check went together, or that a survey would help.
std::string survey_words(const correct::Outcome& outcome, const TextOptions& options) {
  using How = correct::SurveyUse::How;
  const auto& use = outcome.advice->survey;
  if (!use) {
    const bool square = outcome.station && !outcome.setup_name.empty() &&
                        std::fabs(outcome.station->setup(outcome.setup_name).nominal_deg - 90) < 0.01;
    return square ? "Other holes may do better: a survey of the holes names them (--survey FILE; help: "
                    "survey).\n"
                  : "";
  }
  if (use->how == How::not_this_setup)
    return "The survey names other holes only for square setups along rows and columns.\n";
  std::string text;
  if (use->foretold_rad) {
    const double wide = outcome.acting_u_rad > 0 ? outcome.eps->half_width / outcome.acting_u_rad : 2;
    text = fmt::format("By itself the survey foretells {} 90° by {} {} for the holes in use. ",
                       side_word(outcome.geometry->q * *use->foretold_rad),
                       plus_minus_text(over_panel(outcome, std::fabs(*use->foretold_rad)),
                                       over_panel(outcome, wide * *use->foretold_u_rad), options.unit),
                       over_words(outcome, options));
  }
  switch (use->how) {
    case How::both:
      text += "For other holes check and survey count together.";
      break;
    case How::has_check:
      text += "This check is one of its own and counts once.";
      break;
    case How::between:
      text +=
          "Shims or a bar stand between that it does not know: of it only the difference of holes counts.";
      break;
    case How::contradicted:
      text +=
          "The check says otherwise: something else acts, or a hole moved since. Of the survey only the "
          "difference of holes counts.";
      break;
    default:
      text += "The survey does not tell the holes in use by themselves: only the difference of holes counts.";
  }
  if (use->dogs_as_stated) text += " The dogs count as their stated diameters.";
  if (!use->named) text += " No other holes are likely to be better.";
  return text + "\n";
}

std::string no_advice_text(const TextOptions& options) {
  return finished(
      "Nothing can be said about moving dogs: that needs a tolerance, which part is kept, on which side of "
      "the fence the panel lies, and the distance of the two rail dogs or of the two fence dogs.\n",
      options);
}

}  // namespace

std::string rail_first_text(const TextOptions& options) {
  return finished(
      "Unplug the saw before you touch dogs or rail; blade stopped before you reach.\n"
      "First, 5 min, no cut: is the rail straight? Draw a knife line along it, turn the rail end for end, "
      "same "
      "edge to the line. A gap between edge and line is twice the bow.\n",
      options);
}

std::string ways_text(const correct::Outcome& outcome, const TextOptions& options) {
  if (outcome.check.test == check::TestKind::rail)
    return "A rail test tells of the rail alone: there is no dog to move by it.\n";
  if (!outcome.advice) return no_advice_text(options);
  if (outcome.advice->moves.empty()) return "There is nothing to move.\n";
  std::string text = fmt::format("Ways to correct, remaining error {}:\n", over_words(outcome, options));
  int number = 0;
  for (const auto& move : outcome.advice->moves) {
    text += fmt::format("{:>3}  {}{}\n", ++number, move.advised ? "(advised) " : "",
                        move_text(move, options.unit));
    text += fmt::format("     {}; {}; {}\n", leaves_words(outcome, move, options), minutes_text(move.minutes),
                        move.undoable ? "can be undone" : "cannot be undone");
  }
  return finished(text + survey_words(outcome, options), options);
}

std::string correction_text(const correct::Outcome& outcome, std::size_t at, const TextOptions& options,
                            bool unplugged) {
  if (!outcome.advice || at >= outcome.advice->moves.size()) return no_advice_text(options);
  const auto& move = outcome.advice->moves[at];
  const auto& row = correct::means_row(move.means);
  std::string text =
      unplugged ? "" : "Unplug the saw before you touch dogs or rail; blade stopped before you reach.\n";
  text += fmt::format("{}\n  {}, {}.", move_text(move, options.unit), minutes_text(move.minutes),
                      move.undoable ? "can be undone" : "CANNOT be undone");
  if (!row.care.empty()) text += fmt::format(" {}", row.care);
  text +=
      fmt::format("\n  It {} ({}).\n", leaves_words(outcome, move, options), over_words(outcome, options));
  text += outcome.check.gaps()
              ? "When it is done these pieces are old: cut fresh ones for the next test.\n"
              : "When it is done all four edges are old: begin again at cut 1, same panel.\n";
  const std::string expect = expect_text(outcome, at, options);
  if (!expect.empty()) text += expect + "\n";
  return finished(text, options);
}

}  // namespace quarterturn::report
