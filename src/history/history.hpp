// SPDX-License-Identifier: MIT
/// \file history.hpp
/// What the checks of one setup tell together: whether it stands still, drifts or took a step, how checks
/// scatter, when the next one is due, and since when panels may be out.
///
/// In       checks and events in the order of their dates (days, any origin), angles in rad, tolerance in rad
/// Out      a History; each value that cannot be told carries its reason
/// Maths    METHOD.md (M68)–(M76), on (M54)–(M67)
/// Assumes  checks independent of each other; u says what one check does not know of its own eta, dof how
/// well
///          that is known. Old results without readings (hollow) take part in the trend only, and inform no
///          variance
/// Range    any number of checks, 100,000 in well under half a second
/// Accuracy tests/history/history_test.cpp; false alarms and coverage in
/// tests/history/history_coverage_test.cpp
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "check/fit.hpp"
#include "check/verdict.hpp"
#include "stats/charts.hpp"

namespace quarterturn::history {

/// One check, or an old result without readings.
struct Entry {
  double date = 0;                    ///< [day]
  double eta = 0, u = 0;              ///< [rad]; u is 0 for a hollow entry that stated none
  double dof = check::kUnbounded;     ///< of u
  std::optional<double> valid_until;  ///< the first event that ended its validity [day]
  int cuts = 0;
  bool hollow = false;
  std::optional<check::Answer> answer = {};  ///< its verdict as it was told; empty: from eta, u and tolerance
  bool provisional = false;                  ///< that verdict rests on assumed seating
};

struct Event {
  std::string kind;
  double date = 0;  ///< [day]
  std::string target, by;
  bool ends_validity = false;  ///< dogs, rail or fence stand otherwise after it
};
/// Puts the dogs where they were, but for their play: checks before and after belong together.
inline constexpr std::string_view kReinserted = "dogs reinserted";
/// A cause was found and noted: the next check comes sooner.
inline constexpr std::string_view kCauseNoted = "cause noted";

struct Settings {
  double interval_days = 90;            ///< between checks where nothing happens; common practice, no source
  double after_cause_days = 30;         ///< after a cause was noted; common practice, no source
  std::optional<double> tolerance_rad;  ///< none: no due date from it, no 'last good'
  double panel_u_rad = 0;               ///< standard deviation of one panel about eta: seating
  double confidence = 0.95;
};

/// Why something cannot be told.
namespace reason {
inline constexpr const char* kNoChecks = "no-checks";           ///< none of them has readings
inline constexpr const char* kOneCheck = "one-check";           ///< the second one tells
inline constexpr const char* kTwoChecks = "two-checks";         ///< from the third on
inline constexpr const char* kOneDay = "one-day";               ///< all within a week
inline constexpr const char* kFewChecks = "few-checks";         ///< from the sixth on
inline constexpr const char* kFewSinceStep = "few-since-step";  ///< from the sixth after the step on
inline constexpr const char* kNoTolerance = "no-tolerance";
inline constexpr const char* kNotInserted = "not-reinserted";  ///< no insertion between two checks is known
inline constexpr const char* kNotWithinAYear = "not-within-a-year";
inline constexpr const char* kPanelsScatter = "panels-scatter";  ///< at once, by how panels seat: no date
inline constexpr const char* kOutsideNow = "outside-now";
}  // namespace reason

/// A standard deviation beyond what each value does not know of itself.
struct Spread {
  double sd = 0, low = 0, high = 0;  ///< [rad]; high may be infinite
  double dof = 0;
  std::optional<std::string> unknown;
};

/// Are the checks of the series alike? (M69)
struct Constancy {
  double q = 0, dof = 0;  ///< Cochran's
  double p = 1;           ///< counts how well each u is known
  std::optional<std::string> unknown;
};

struct Trend {
  check::Estimate per_day;    ///< [rad/day]
  double p = 1;               ///< of no trend
  bool known_u_only = false;  ///< two checks: what lies between checks cannot be known, and does not count
};

/// A lasting step between two checks of the series.
struct Step {
  std::size_t entry = 0;             ///< the first check after it, an index of the entries
  double after = 0, before = 0;      ///< dates of the checks around it [day]
  double earliest = 0, latest = 0;   ///< it lies between these dates with 95 % [day]
  check::Estimate size;              ///< after minus before [rad], given its place
  double p = 1;                      ///< counts all the places that were tried
  std::optional<std::size_t> event;  ///< that lies between the two checks
  std::optional<std::string> unknown;
};

/// What the series did, as far as it can be told (M71).
enum class Change { unknown, none, step, trend, not_told_apart };

/// What stood before and after an event, up to its neighbours.
struct AtEvent {
  std::size_t event = 0;      ///< an index of the events
  int before = 0, after = 0;  ///< checks
  check::Estimate size;       ///< after minus before [rad]
  double p = 1;               ///< of this event alone
  bool shared = false;        ///< another event between the same two checks: never separable
};

/// `outside`: as soon as it was put right.
enum class DueBy { interval, event, cause, tolerance, outside };
struct Due {
  double date = 0;  ///< [day]
  DueBy by = DueBy::interval;
  std::optional<std::size_t> event;  ///< the first that happened after the last check, an index of the events
  bool stands_otherwise = false;     ///< one of them ended what the checks tell of how it stands
  std::optional<std::size_t> cause;  ///< noted since the last check
  std::optional<double> leaves_tolerance;  ///< when the next panel is out with 5 % [day]
  std::string not_told;                    ///< the reason when that is empty
};

struct History {
  int checks = 0, hollow = 0;
  std::vector<std::size_t> series;  ///< checks of the current series, indices of the entries
  int insertions = 1;               ///< of the dogs, in the series
  check::Estimate level;            ///< weighted mean of the series [rad]
  check::Estimate since_last;       ///< last check minus the one before, whatever lies between [rad]
  double since_last_p = 1;
  Constancy constancy;
  Spread scatter;  ///< between checks of the series
  Trend trend;
  Step step;  ///< the likeliest, found or not
  Change change = Change::unknown;
  double log_odds = 0;  ///< of a step against a trend
  std::vector<AtEvent> at_events;
  std::vector<stats::ChartPoint> chart;      ///< one point a check of the series
  std::optional<std::size_t> alarm_since;    ///< first point of the alarm that still lasts
  Spread play;                               ///< of the dogs, one insertion to the next
  std::optional<Due> due;                    ///< empty without a check
  std::optional<check::Answer> last_answer;  ///< of the last check, with a tolerance
  bool level_outside = false;                ///< the checks of the series together are outside, with 95 %
  std::optional<std::size_t> last_good;      ///< the last check that was within, an index of the entries
};

/// \param entries  in ascending order of date; of one day in the order they count
/// \param events   in ascending order of date
/// \throws std::domain_error when they are not, or a check has no u above 0
/// Example: history_of(entries, events).change == Change::step.
History history_of(std::span<const Entry> entries, std::span<const Event> events,
                   const Settings& settings = {});

/// Standard deviation of eps from one insertion of the dogs to the next (M74): the dog lies anywhere in a
/// hole wider by `play_mm`. 0.1 mm on 768 and 192 mm: 1.9e-4 rad.
double insertion_sd_rad(double play_mm, double rail_baseline_mm, double fence_baseline_mm);

}  // namespace quarterturn::history
