// SPDX-License-Identifier: MIT
/// \file words.hpp
/// The pieces of the answer that several reports share.
#pragma once

#include <string>

#include "correct/outcome.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// WITHIN, OUTSIDE, CANNOT TELL YET; with ` (provisional)` where it is.
std::string verdict_words(const check::Verdict& verdict);
/// `90°`, or the mitre: the nominal angle of the kept corner.
std::string nominal_words(const correct::Outcome& outcome);
/// `over` or `under`
const char* side_word(double rad);
/// What a check has one or several of: `strip`, or in a gap test `pair`, `ring`.
std::string counted_word(const check::Check& check);
/// `3 strips`, `1 pair`.
std::string counted_strips(const check::Check& check);
/// `Strip 1-5`, `Pair 2`: at the head of a line.
std::string strip_title(const check::Check& check, const check::Strip& strip);
/// mm over the person's panel for an angle.
double over_panel(const correct::Outcome& outcome, double rad);
inline double over_panel(double panel_mm, double rad) {
  return rad * panel_mm;
}
/// Whether the whole ± is known; else nothing may be shown that rests on it.
bool is_sure(const correct::Outcome& outcome);
/// What a move leaves, with its ± where that is known.
std::string remains_words(const correct::Outcome& outcome, const correct::Move& move, units::Unit unit);
/// `over 600 mm`
std::string over_words(const correct::Outcome& outcome, const TextOptions& options);
/// `Leave it alone.`, `Do this: …` with what it leaves; and how a doubt is settled.
std::string to_do_text(const correct::Outcome& outcome, const TextOptions& options,
                       const MoreCuts& more = {});
/// Station, setup, date, test and panel of a check, one line.
std::string heading_text(const correct::Outcome& outcome, const TextOptions& options);
/// With what chance the setup is within, and the next panel; a line each. Empty without a verdict.
std::string chances_text(const correct::Outcome& outcome, const TextOptions& options);
/// How sure: measuring, saw marks, seating, what is assumed, what cannot be seen.
/// \param asked  the person was asked already whether F and X stood right
std::string how_sure_text(const correct::Outcome& outcome, const TextOptions& options, bool asked = false);
/// The answer of a rail test, finished.
std::string rail_test_text(const correct::Outcome& outcome, const TextOptions& options);
/// How its answer came about, finished.
std::string rail_why_text(const correct::Outcome& outcome, const TextOptions& options);
/// Of a check whose rail was tried: when, what it told, what is to be done about it; finished.
/// \param effect  what that does to strips, too
std::string rail_tried_text(const correct::Outcome& outcome, const TextOptions& options, bool effect);
/// The bow that an outcome knows surely does less to strips than half of what is allowed; where what it does
/// cannot be told: the edge is straight as far as was seen.
bool bow_is_no_matter(const correct::Outcome& outcome);
/// What is to be done about a bowed rail.
inline constexpr const char* kBowedRailNext =
    "  Leave the dogs. Hold a straightedge along the rail to find where it bends; straighten it or take a "
    "straight one. Then begin again with new cuts: 'check'.\n";
/// What is known of the rail's bow, and what it makes of strips. Empty without a rail test.
std::string bow_text(const correct::Outcome& outcome, const TextOptions& options);
/// How the check stands to one of another kind. Empty without one.
std::string held_text(const correct::Outcome& outcome, const TextOptions& options);
/// Before the first cut of a test that may stop when settled: how far it may go.
std::string stopping_plan_text(int most_strips, int first_look);
/// Of a test that may stop when settled: whether it may. Empty for any other.
std::string look_text(const correct::Outcome& outcome);
/// Findings that come before any move: the result may be that mistake.
std::string settle_first_text(const correct::Outcome& outcome, const TextOptions& options);
/// What the numbers show beside the answer, a line each, without what how_sure_text says.
/// \param all  with what such a test can never see
std::string findings_text(const correct::Outcome& outcome, const TextOptions& options, bool all);
/// What the strip should read after that move, and what other readings would mean. Empty when it cannot be
/// predicted.
std::string expect_text(const correct::Outcome& outcome, std::size_t move, const TextOptions& options);
/// The move that is advised; past the end when none is.
std::size_t advised_move(const correct::Outcome& outcome);
/// A date as people write it: `2026-03-14 10:20 UTC`. \param date  ISO 8601, or anything
std::string when_words(const std::string& date);
/// The text as the options want it: wrapped, ASCII where there is no Unicode.
std::string finished(const std::string& text, const TextOptions& options);
/// One variance component: its size, and where that comes from, `from these readings and the caliper`. A
/// component that was fitted but came out as nothing has no size: it does not show above the readings.
struct ScatterWords {
  std::string amount, source;
};
ScatterWords scatter_words(const correct::Outcome& outcome, check::Component component,
                           const TextOptions& options);

}  // namespace quarterturn::report
