// SPDX-License-Identifier: MIT
/// \file observation_file.hpp
/// What was measured between the holes of a table, as a file: CSV with `# key: value` lines above.
///
///     # station: loft
///     # caliper: digital
///     kind,from,to,via,side,dog_from,dog_to,value,uncertainty
///     distance,A1,B1,,outside,pin-1,pin-2,116.03,
///     compare,A1,C3,C1 A3,,,,-0.12,0.03
///     offset,B1,,A1 C1,left,,,0.05,0.02
///     corner,E2,E10,A9=low-1 D9=low-2,right before,tall-1,tall-2,0.06 over 600,0.02 over 600
///     check,loft/3,,,,,,,
///
/// Lengths are mm, or what `# unit:` says; the angle of a corner is a length over a length, `0.006 deg` or
/// `1e-4 rad`. An uncertainty is one standard uncertainty; blank: what the caliper makes of it.
/// A row with a blank value is not measured yet, as in a list of what to measure; one that says in its note
/// why not (`skipped: …`) is not asked for again.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "check/check.hpp"
#include "files/text_file.hpp"
#include "survey/observation.hpp"
#include "units/input_error.hpp"

namespace quarterturn::files {

struct ObservationRow {
  survey::Observation observation;  ///< u is 0 where it was left blank
  std::string check;                ///< of a `check` row: `loft/3` or an id; the rest is in the log
  std::string note;
  bool measured = true;
  units::Place at, via_at, side_at, dogs_at, value_at, u_at;
};

struct ObservationFile {
  std::string source, station, setup, date, by, note;
  units::Unit unit = units::Unit::mm;
  std::optional<check::Caliper> caliper;
  std::vector<ObservationRow> rows;
  std::vector<ObservationRow> unmeasured;  ///< their value is blank
};

/// What the note of an unmeasured row begins with that is not to be asked for again.
inline constexpr const char* kSkipped = "skipped";

/// Reads the file; holes and dogs are held to a station by survey::validate().
/// \throws units::InputError with file, line, column, the value, what it must be, and a hint
ObservationFile parse_observations(const Text& text);

/// One row as it stands in a file, with a cell for its note. \param measured  else its value is left blank
std::string row_line(const ObservationRow& row, units::Unit unit, bool measured);

/// A file that reads back as the same values, but for places and the name of a caliper that is no class.
std::string write_observations(const ObservationFile& file);

}  // namespace quarterturn::files
