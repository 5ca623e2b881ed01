// SPDX-License-Identifier: MIT
#include "files/log_ranges.hpp"

#include <limits>
#include <optional>

#include "files/event_rows.hpp"

namespace quarterturn::files {
namespace {

// Bounds that no test comes near to, and whose squares are numbers still.
constexpr double kMostAngle = 1e6, kMostHalfWidth = 1e100, kLeastDof = 0.01, kMostStrips = 1000;

struct Range {
  double least, most;
  const char* must_be;
};
constexpr Range kAngle{-kMostAngle, kMostAngle, "an angle in rad"};
constexpr Range kError{0, kMostAngle, "an angle in rad, not below 0"};

void hold(const JsonValue& item, const char* key, double value, const Range& range) {
  if (!(value >= range.least && value <= range.most)) item.at(key).fail(range.must_be);
}
void hold(const JsonValue& item, const char* key, const std::optional<double>& value, const Range& range) {
  if (value) hold(item, key, *value, range);
}

}  // namespace

void hold_ranges(const JsonValue& item, const StoredResult& result) {
  hold(item, "confidence", result.confidence, {0.5, 0.999, "a share from 0.5 to 0.999"});
  hold(item, "eta_rad", result.eta, kAngle);
  hold(item, "u_rad", result.u, kError);
  hold(item, "half_width_rad", result.half_width, {0, kMostHalfWidth, kError.must_be});
  hold(item, "dof", result.dof, {kLeastDof, 1e300, "degrees of freedom, 0.01 or more"});
  hold(item, "tolerance_rad", result.tolerance,
       {std::numeric_limits<double>::min(), kMostAngle, "an angle in rad above 0"});
  if (!result.verdict.empty()) (void)item.at("verdict").word({"within", "outside", "cannot-tell"});
  hold(item, "planned_strips", result.planned_strips, {1, kMostStrips, "strips from 1 to 1000"});
}

void hold_ranges(const JsonValue& item, const MoveRecord& move) {
  hold(item, "moved_rad", move.moved, kAngle);
  hold(item, "u_action_rad", move.u_action, kError);
  hold(item, "mu_rad", move.mu, kAngle);
  hold(item, "v_rad2", move.v, {0, kMostAngle * kMostAngle, "a variance in rad², not below 0"});
}

void hold_ranges(const JsonValue& item, const SummaryRecord& summary) {
  hold(item, "error_rad", summary.error, kError);
  hold(item, "plus_minus_rad", summary.plus_minus, kError);
  (void)item.at("side").word(sides_of_summaries());
}

}  // namespace quarterturn::files
