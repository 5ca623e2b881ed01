// SPDX-License-Identifier: MIT
/// \file check_report.hpp
/// The outcome of a check for people (text) and programs (JSON schema quarterturn/check/1).
#pragma once

#include <optional>
#include <string>

#include "check/fit.hpp"
#include "check/simulation.hpp"
#include "correct/outcome.hpp"
#include "plan/result.hpp"
#include "units/number.hpp"

namespace quarterturn::report {

struct TextOptions {
  units::Unit unit = units::Unit::mm;  ///< what the person reads
  bool unicode = true;                 ///< else ASCII
  bool color = false;
  bool plain = false;  ///< no drawings, for a screen reader
  int width = 80;      ///< columns of a line of text
  int window = 0;      ///< columns for a drawing that gains from more than a line of text; 0: the same
};

inline int drawn_width(const TextOptions& options) {
  return options.window > options.width ? options.window : options.width;
}

/// What more cuts would do; it goes with an outcome wherever what to do is told.
struct MoreCuts {
  std::optional<plan::Settling> settles = {};      ///< of a verdict that *cannot tell yet*, none other
  std::optional<plan::FurtherStep> two_more = {};  ///< what two would bring; where a person waits
};

/// Answer first, then what to do, then the evidence.
std::string check_text(const correct::Outcome& outcome, const TextOptions& options,
                       const MoreCuts& more = {});
/// The uncertainty budget: a row a source, and what they make together.
std::string budget_text(const correct::Outcome& outcome, const TextOptions& options);
/// The answer, what to do, how sure: the few lines the prompt shows after a check.
std::string check_summary(const correct::Outcome& outcome, const TextOptions& options,
                          const MoreCuts& more = {});
/// The first sentence alone.
std::string answer_sentence(const correct::Outcome& outcome, const TextOptions& options);
/// All ways to correct, numbered.
std::string ways_text(const correct::Outcome& outcome, const TextOptions& options);
/// The instruction of one move, what to expect at the next check, cautions.
/// \param unplugged  the person was told to unplug the saw just before
std::string correction_text(const correct::Outcome& outcome, std::size_t move, const TextOptions& options,
                            bool unplugged = false);
/// Before a large correction: how the rail is tried for straightness.
std::string rail_first_text(const TextOptions& options);
/// The chain from readings to the answer, in plain sentences with the numbers.
std::string why_text(const correct::Outcome& outcome, const TextOptions& options);
/// No interval: the arithmetic and the line to retype.
/// \param typed_line  the command as it was typed, for readings out of options; else one is made
std::string no_interval_text(const check::NoInterval& arithmetic, const check::Check& check,
                             const TextOptions& options, const std::string& typed_line = {});
/// The first strip after a move, held against what was expected of it (M48).
std::string after_move_text(const correct::PendingMove& pending, const check::Strip& strip,
                            const TextOptions& options);
/// Whether a cause that was noted since the last check is put right; empty when none was.
std::string noted_cause_text(const correct::Outcome& outcome, const TextOptions& options);
/// One finding as a sentence with its numbers.
std::string finding_text(const check::Finding& finding, units::Unit unit);

/// The instruction of a move with its amounts.
std::string move_text(const correct::Move& move, units::Unit unit);

/// Trials and checks drawn anew, held against what was told.
std::string simulation_text(const correct::Outcome& outcome, const check::Simulation& simulation,
                            const TextOptions& options);
/// What of a check's evidence is shown beside the answer.
struct Shown {
  bool budget = false;
  std::optional<check::Simulation> simulation = {};
  std::optional<plan::Settling> settles = {};
};
/// One JSON document, schema quarterturn/check/1.
std::string check_json(const correct::Outcome& outcome, const Shown& shown = {});

}  // namespace quarterturn::report
