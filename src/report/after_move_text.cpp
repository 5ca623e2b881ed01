// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <cmath>

#include "correct/after_move.hpp"
#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

const char* meaning(correct::AfterMove found) {
  switch (found) {
    case correct::AfterMove::done:
      return "the move is done";
    case correct::AfterMove::wrong_dog_or_face:
      return "the wrong dog or face, or F on the wrong end both times";
    case correct::AfterMove::f_wrong_before:
      return "F was on the wrong end before the move";
    case correct::AfterMove::nothing_moved:
      return "nothing moved";
    case correct::AfterMove::f_wrong_now:
      break;
  }
  return "F is on the wrong end now";
}

}  // namespace

std::string after_move_text(const correct::PendingMove& pending, const check::Strip& strip,
                            const TextOptions& options) {
  const double measured = correct::carried_mm(strip, pending.apart_mm);
  const double expected = pending.expected.expect_mm;
  std::string text =
      fmt::format("{} {} {}; {} {} was expected.", pending.gaps ? "Gap at F" : "F end",
                  length_text(std::fabs(measured), options.unit), measured < 0 ? "narrower" : "wider",
                  length_text(std::fabs(expected), options.unit), expected < 0 ? "narrower" : "wider");
  const auto meanings = correct::after_move(pending.expected, measured);
  if (meanings.empty())
    return finished(text + fmt::format(" That fits neither the move nor a slip in it: {} before you go on.\n",
                                       pending.gaps ? "read the gap again" : "measure the strip again"),
                    options);
  for (std::size_t i = 0; i < meanings.size(); ++i)
    text += (i == 0 ? " It fits: " : ", or: ") + std::string(meaning(meanings[i]));
  return finished(text + ".\n", options);
}

std::string noted_cause_text(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.noted || outcome.fit.eta.unknown) return "";
  const auto& noted = *outcome.noted;
  const double z = stats::normal_quantile(0.5 * (1 + outcome.fit.eta.confidence));
  const double moved = outcome.fit.eta.x - noted.was_rad, u_now = outcome.fit.eta.half_width / z;
  std::string text =
      fmt::format("Since {} it moved by {} {}. Noted as the cause on {}: {}. ", units::inert(noted.check),
                  plus_minus_text(std::fabs(over_panel(outcome, moved)),
                                  over_panel(outcome, z * std::hypot(u_now, noted.was_u_rad)), options.unit),
                  over_words(outcome, options), noted.date, units::inert(noted.words, 200));
  if (!outcome.verdict || outcome.verdict->setup == check::Answer::cannot_tell)
    return text + "Whether that is put right cannot be told yet.\n";
  return text + (outcome.verdict->setup == check::Answer::within ? "It is put right.\n"
                                                                 : "It does not show as put right.\n");
}

}  // namespace quarterturn::report
