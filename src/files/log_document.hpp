// SPDX-License-Identifier: MIT
/// \file log_document.hpp
/// The records of a log as values: what logbook/ keeps and what the exchange file holds. Every record has a
/// universally unique id and the time at which it was recorded; none is ever changed, so two logs merge by
/// taking what the other has.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "files/text_file.hpp"

namespace quarterturn::files {

/// When a record came into the log: UTC, `2026-03-14T10:20:00.123Z`. Sorts as text.
using Recorded = std::string;

/// The moment that puts records in order, seconds from 1970. A day without a time counts as when it was
/// recorded, if that was the same day, else as its noon.
std::int64_t order_utc(std::string_view date, std::int64_t utc, std::string_view recorded);
/// The same, of one second in the order of recording: what records are sorted and compared by.
using Order = std::pair<std::int64_t, Recorded>;
inline Order order_of(const std::string& date, std::int64_t utc, const Recorded& recorded) {
  return {order_utc(date, utc, recorded), recorded};
}

struct StationRecord {
  std::string id;
  Recorded recorded;
};

/// A station as it was from `recorded` on: setups, rails, dogs, shims, calipers.
struct StationVersion {
  std::string id, station;
  Recorded recorded;
  std::string name;
  std::string content;  ///< a station file
};

/// What a check told. Angles in rad.
struct StoredResult {
  std::string program;  ///< version that computed it
  double confidence = 0.95;
  double eta = 0, u = 0, half_width = 0;
  std::optional<double> dof;           ///< empty: unbounded
  std::optional<std::string> unknown;  ///< reason code where the ± holds for measuring alone
  int q = 0;                           ///< side of the kept corner; 0: not known
  std::optional<double> tolerance;
  std::string verdict;  ///< within, outside, cannot-tell, or empty without a tolerance
  bool provisional = false;
  bool strict = false, assumed = true;  ///< how it was asked for
  std::vector<std::string> used;        ///< ids of the earlier checks that informed it
  std::optional<double>
      planned_strips;  ///< the most strips of a test that was planned to be looked at in between
  /// The kind of a gap test; empty: strips were measured. Of a rail test eta, u and half_width are the bow
  /// over the length it was tested on, h/L [rad], and tell nothing of a corner.
  std::optional<std::string> test;
};
inline constexpr const char* kRailTest = "rail";
/// Of a frame whose ends two setups cut: it tells of neither alone.
inline constexpr const char* kFrameOfTwo = "frame of two setups";

struct CheckRecord {
  std::string id, station, setup;
  Recorded recorded;
};

/// A check's readings and result; the latest version counts, those before stay.
struct CheckVersion {
  std::string id, check;
  Recorded recorded;
  std::string reason;    ///< why it was amended; empty for the first
  std::string date;      ///< as typed, or the day of recording
  std::int64_t utc = 0;  ///< of `date`, seconds from 1970
  std::string person;
  std::string station_version;  ///< the station as it was
  std::string readings;         ///< a readings file
  StoredResult result;
};

struct EventRecord {
  std::string id, station, setup;  ///< setup empty: all of the station
  Recorded recorded;
  std::string date;
  std::int64_t utc = 0;
  std::string kind;    ///< one of event_kinds()
  std::string target;  ///< dog, hole or shim it was about; may be empty
  std::string note, person;
};

/// A move that was made after a check: what it should do (M48), held against the next check.
struct MoveRecord {
  std::string event;  ///< its event, of kind `corrected`
  std::string check;  ///< the check it followed
  std::string means, text;
  std::optional<double> moved, u_action;  ///< rad; empty: size not known
  double mu = 0, v = 0;                   ///< eps believed before the move and its variance
};

/// An old result without readings.
struct SummaryRecord {
  std::string id, station, setup;
  Recorded recorded;
  std::string date;
  std::int64_t utc = 0;
  std::string test, side;            ///< side: over-90, under-90, unknown
  double error = 0;                  ///< rad, of one corner, not negative
  std::optional<double> plus_minus;  ///< rad, 95 % half-width
  std::string person, source;
};

struct NoteRecord {
  std::string id, about;  ///< about: a check, event, summary or station
  Recorded recorded;
  std::string text, person;
};

struct WithdrawalRecord {
  std::string id, about;
  Recorded recorded;
  std::string reason, person;
};

struct LogDocument {
  std::vector<StationRecord> stations;
  std::vector<StationVersion> station_versions;
  std::vector<CheckRecord> checks;  ///< in the order of their numbers
  std::vector<CheckVersion> check_versions;
  std::vector<EventRecord> events;
  std::vector<MoveRecord> moves;
  std::vector<SummaryRecord> summaries;
  std::vector<NoteRecord> notes;
  std::vector<WithdrawalRecord> withdrawals;
};

/// The kind of event that tells of the caliper: its target names it, its note says with what and what it
/// read.
inline constexpr const char* kCaliperCompared = "caliper compared";
/// The words for what may happen to a station.
const std::vector<std::string>& event_kinds();
/// \throws units::InputError naming the kinds, with the nearest first
void hold_to_event_kind(const std::string& kind);

/// Whether dogs, rail or fence stand otherwise after it: checks before it tell nothing of now.
bool ends_validity(const std::string& kind);
/// It was done on purpose, or its cause was found: that a setup stands otherwise after it needs no
/// explaining. After a knock it does.
bool explains_change(const std::string& kind);
/// Whether dogs stand anew in their holes after it: their play falls another way.
bool puts_dogs_in_anew(const std::string& kind);

/// Schema `quarterturn/log/1`. Reads back as the same records, numbers exact.
std::string write_log(const LogDocument& log);
/// \throws units::InputError with path, line and column
LogDocument parse_log(const Text& text);

}  // namespace quarterturn::files
