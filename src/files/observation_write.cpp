// SPDX-License-Identifier: MIT
/// \file observation_write.cpp
/// Observations as a file.
#include <algorithm>

#include "files/csv.hpp"
#include "files/observation_cells.hpp"
#include "files/observation_file.hpp"
#include "files/written_values.hpp"
#include "units/text.hpp"

namespace quarterturn::files {
namespace {

using survey::Kind;

constexpr double kOverMm = 600;
constexpr std::size_t kMostDigits = 9;  // more, and it was not stated over that length

/// `0.06 over 600` where it was so stated, else in rad.
std::string slope_text(double rad, units::Unit unit) {
  const auto mm = units::fewest_digits(rad * kOverMm, [&](double x) { return x / kOverMm == rad; });
  const std::string digits = mm ? units::shortest(*mm) : std::string(kMostDigits + 1, '0');
  if (digits.size() > kMostDigits) return units::shortest(rad) + " rad";
  const std::string mm_word = unit == units::Unit::mm ? "" : " mm";
  return digits + mm_word + " over " + units::shortest(kOverMm) + mm_word;
}

std::string via_text(const survey::Observation& observation) {
  std::string out;
  for (std::size_t i = 0; i < observation.via.size(); ++i) {
    out += (out.empty() ? "" : " ") + observation.via[i].name();
    if (i < observation.dog_via.size()) out += "=" + observation.dog_via[i];
  }
  return out;
}

std::string side_text(const survey::Observation& observation) {
  std::string side = observation.side == station::Side::left ? "left" : "right";
  switch (observation.kind) {
    case Kind::distance:
    case Kind::compare:
      return taken_words()[static_cast<std::size_t>(observation.taken)];
    case Kind::offset:
      return side;
    case Kind::corner:
      break;
  }
  return side + (observation.panel_side == station::PanelSide::before ? " before" : " beyond");
}

std::string row_text(const ObservationRow& row, units::Unit unit, bool measured) {
  if (!row.check.empty()) return "check," + csv_cell(row.check) + ",,,,,,,";
  const survey::Observation& o = row.observation;
  static const char* const words[] = {"distance", "compare", "offset", "corner"};
  const bool corner = o.kind == Kind::corner;
  const auto amount = [&](double value) {
    return corner ? slope_text(value, unit) : lengths_text({value}, unit, "");
  };
  std::string out = words[static_cast<std::size_t>(o.kind)];
  out += "," + o.from.name() + "," + (o.kind == Kind::offset ? "" : o.to.name());
  const std::string value = measured ? amount(o.value) : "";
  for (const std::string& cell : {via_text(o), side_text(o), guarded(o.dog_from), guarded(o.dog_to), value})
    out += "," + csv_cell(cell);
  return out + "," + (o.u > 0 ? amount(o.u) : "");
}

}  // namespace

std::string row_line(const ObservationRow& row, units::Unit unit, bool measured) {
  return row_text(row, unit, measured) + "," + (row.note.empty() ? std::string() : quoted(guarded(row.note)));
}

std::string write_observations(const ObservationFile& file) {
  std::string out;
  put_key(out, "station", file.station);
  put_key(out, "setup", file.setup);
  put_key(out, "date", file.date);
  put_key(out, "unit", file.unit == units::Unit::mm ? "mm" : "in");
  if (file.caliper) put_key(out, "caliper", caliper_text(*file.caliper));
  put_key(out, "by", file.by);
  put_key(out, "note", file.note);
  // Of what is still to be measured may be written why it was not.
  const bool notes = !file.unmeasured.empty() || std::any_of(file.rows.begin(), file.rows.end(),
                                                             [](const auto& r) { return !r.note.empty(); });
  out += "kind,from,to,via,side,dog_from,dog_to,value,uncertainty";
  out += notes ? ",note\n" : "\n";
  for (const auto* rows : {&file.rows, &file.unmeasured}) {
    for (const ObservationRow& row : *rows) {
      const bool measured = rows == &file.rows;
      out += notes ? row_line(row, file.unit, measured) : row_text(row, file.unit, measured);
      out += '\n';
    }
  }
  return out;
}

}  // namespace quarterturn::files
