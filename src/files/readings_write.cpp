// SPDX-License-Identifier: MIT
/// \file readings_write.cpp
/// A Check as a readings file.
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <vector>

#include "files/csv.hpp"
#include "files/readings_cells.hpp"
#include "files/readings_file.hpp"
#include "files/written_values.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using check::Check;
using units::Length;
using units::Unit;

namespace {

std::string tolerance_text(const units::Tolerance& tolerance, Unit unit) {
  if (!tolerance.offset || !tolerance.over)
    return units::shortest(units::stated_deg(tolerance.angle)) + " deg";
  return lengths_text({tolerance.offset->mm(), tolerance.over->mm()}, unit, " over ");
}

std::string panel_text(const check::PanelSize& size, Unit unit) {
  std::vector<double> lengths_mm{size.width_mm, size.depth_mm};
  if (size.thickness_mm) lengths_mm.push_back(*size.thickness_mm);
  return lengths_text(lengths_mm, unit, " x ");
}

/// The reading as it was typed where that says what it holds; else its digits down to the step it was read
/// to.
std::string reading_text(const check::Reading& reading, Unit unit) {
  try {
    const units::Number number = units::parse_number(reading.as_typed, "width");
    if (number.length(unit).mm() == reading.mm && number.step(unit).mm() == reading.step_mm)
      return reading.as_typed;
  } catch (const units::InputError&) {
    // Not typed but made by the program, or amended since: written anew below.
  }
  const bool inch = unit == Unit::inch;
  const double value = inch ? Length::from_mm(reading.mm).inch() : reading.mm;
  const double step = inch ? Length::from_mm(reading.step_mm).inch() : reading.step_mm;
  const int decimals = std::clamp(static_cast<int>(std::lround(-std::log10(step))), 0, 12);
  std::array<char, 64> buffer{};
  const auto end =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals)
          .ptr;
  std::string text(buffer.data(), end);
  if (units::parse_length(text, "width", unit).mm() == reading.mm) return text;
  return units::shortest(reading.mm) + (inch ? " mm" : "");
}

/// What stands before the position: panel and cuts, the number of a pair or ring, or nothing.
std::string front_of(const Check& check, const check::Strip& strip) {
  std::string panel = std::to_string(strip.panel) + ",";
  if (check.test == check::TestKind::rail) return {};
  if (check.gaps()) return panel;
  return panel + std::to_string(strip.from_cut) + "," + std::to_string(strip.to_cut) + ",";
}

void put_rows(std::string& out, const Check& check, const check::Strip& strip, bool notes) {
  const std::string front = front_of(check, strip);
  for (const check::Spot& spot : strip.spots) {
    for (const check::Reading& reading : spot.readings) {
      out += front + lengths_text({spot.position_mm}, check.unit, "") + "," +
             csv_cell(reading_text(reading, check.unit));
      if (notes) out += "," + (reading.note.empty() ? std::string() : quoted(guarded(reading.note)));
      out += '\n';
    }
  }
}

bool any_note(const Check& check) {
  for (const check::Strip& strip : check.strips) {
    for (const check::Spot& spot : strip.spots) {
      for (const check::Reading& reading : spot.readings) {
        if (!reading.note.empty()) return true;
      }
    }
  }
  return false;
}

}  // namespace

std::string write_readings(const Check& check) {
  std::string out;
  put_key(out, "station", check.station);
  put_key(out, "setup", check.setup);
  put_key(out, "date", check.date);
  put_key(out, "test", check::test_row(check.test).word);
  put_key(out, "form", check::form_word(check.form));
  put_key(out, "second-setup", check.second_setup);
  if (check.pieces > 0) put_key(out, "pieces", std::to_string(check.pieces));
  put_key(out, "unit", check.unit == Unit::mm ? "mm" : "in");
  if (check.caliper) put_key(out, "caliper", caliper_text(*check.caliper));
  if (check.tolerance) put_key(out, "tolerance", tolerance_text(*check.tolerance, check.unit));
  put_key(out, "by", check.by);
  put_key(out, "rail", check.rail);
  if (check.panel_size) put_key(out, "panel-size", panel_text(*check.panel_size, check.unit));
  put_key(out, "measured", check.measured);
  put_key(out, "caliper-id", check.caliper_id);
  put_key(out, "blade", check.blade);
  put_key(out, "note", check.note);
  const bool notes = any_note(check);
  out += column_row(check.test);
  out += notes ? ",note\n" : "\n";
  for (const check::Strip& strip : check.strips) put_rows(out, check, strip, notes);
  return out;
}

std::string with_header(const Text& readings, const std::string& key, const std::string& value) {
  std::string out;
  put_key(out, key.c_str(), value);
  bool found = false;
  std::string_view rest = readings.content;
  while (rest.starts_with('#') || rest.starts_with("\"#")) {
    const std::size_t end = std::min(rest.find('\n'), rest.size() - 1) + 1;
    const std::string_view line = rest.substr(0, end);
    const std::size_t from = line.find('#') + 1, colon = std::min(line.find(':'), line.size());
    const bool own = units::trimmed(line.substr(from, colon - std::min(from, colon))) == key;
    if (!own) out += line;
    found = found || own;
    rest.remove_prefix(end);
  }
  if (value.empty() && !found)
    throw units::InputError("key", key, "one that the header has", {readings.source, 0, 0},
                            "'log show' shows the header");
  out += rest;
  (void)parse_readings(text_of(out, readings.source));
  return out;
}

}  // namespace quarterturn::files
