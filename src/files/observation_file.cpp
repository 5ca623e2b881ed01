// SPDX-License-Identifier: MIT
#include "files/observation_file.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "files/named_table.hpp"
#include "files/observation_cells.hpp"
#include "files/readings_keys.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using survey::Kind;
using units::InputError;

namespace {

constexpr double kMostUncertaintyMm = 1.0;

const std::vector<std::string> kColumns{"kind",     "from",   "to",    "via",         "side",
                                        "dog_from", "dog_to", "value", "uncertainty", "note"};
const std::vector<std::string> kNeeded{"kind", "from", "value"};
const std::vector<std::string> kKeys{"station", "setup", "date", "unit", "caliper", "by", "note"};
const std::vector<std::string> kKinds{"distance", "compare", "offset", "corner", "check"};

ObservationFile read_keys(const std::vector<Cell>& remarks, const std::string& source) {
  std::vector<KeyLine> lines;
  for (const Cell& remark : remarks) {
    lines.push_back(parse_key_line(remark, source));
    if (std::ranges::find(kKeys, lines.back().key) != kKeys.end()) continue;
    const std::string near = units::did_you_mean(lines.back().key, kKeys);
    throw InputError("key", lines.back().key, units::one_of(kKeys), lines.back().key_at,
                     near.empty() ? "free words go behind 'note:'" : near);
  }
  check::Check head;
  apply_keys(lines, head);
  ObservationFile file;
  file.source = source;
  file.station = head.station;
  file.setup = head.setup;
  file.date = head.date;
  file.by = head.by;
  file.note = head.note;
  file.unit = head.unit;
  file.caliper = head.caliper;
  return file;
}

/// One row by the names of its columns; a fault is put at its cell.
class Fields {
 public:
  Fields(const NamedTable& table, const Row& row) : table_(table), row_(row) {}

  [[nodiscard]] std::string text(const char* column) const { return table_.text(row_, column); }
  [[nodiscard]] units::Place place(const char* column) const { return table_.place(row_, column); }
  template <typename Read>
  auto read(const char* column, const std::string& must_be, Read reader) const {
    const std::string typed = text(column);
    if (typed.empty())
      throw InputError(column, std::string(units::kMissing), must_be, place(column), hint(column));
    try {
      return reader(typed);
    } catch (const InputError& error) {
      throw error.at(place(column));
    }
  }
  /// What this kind of row has no use for.
  void hold_to_blank(std::initializer_list<const char*> columns, const std::string& why) const {
    for (const char* column : columns) {
      if (!text(column).empty()) throw InputError(column, text(column), "left blank", place(column), why);
    }
  }

 private:
  [[nodiscard]] std::string hint(const std::string& column) const {
    return column == "side" && text("kind") == "distance" ? "over the dogs, between them, or centre to centre"
                                                          : "";
  }
  const NamedTable& table_;
  const Row& row_;
};

station::Hole hole_in(const Fields& fields, const char* column) {
  return fields.read(column, "a hole such as A1",
                     [&](const std::string& typed) { return station::parse_hole(typed); });
}

survey::Taken taken_in(const Fields& fields) {
  return fields.read("side", units::one_of(taken_words()), [](const std::string& typed) {
    return static_cast<survey::Taken>(word_in(typed, "side", taken_words()));
  });
}

void take_via(const Fields& fields, const std::string& must_be, survey::Observation& out) {
  const Via via = fields.read("via", must_be, [&](const std::string& typed) { return parse_via(typed); });
  if (via.holes.size() != 2)
    throw InputError("via", fields.text("via"), must_be, fields.place("via"),
                     "their dogs stand behind them, as A9=low-1 D9=low-2");
  out.via = via.holes;
  if (std::ranges::any_of(via.dogs, [](const std::string& dog) { return !dog.empty(); }))
    out.dog_via = via.dogs;
}

void take_places(const Fields& fields, survey::Observation& out) {
  switch (out.kind) {
    case Kind::distance:
      fields.hold_to_blank({"via"}, "a distance has two holes: from and to");
      out.to = hole_in(fields, "to");
      out.taken = taken_in(fields);
      return;
    case Kind::compare:
      out.to = hole_in(fields, "to");
      take_via(fields, "the two holes of the other length, as A1 B2", out);
      if (!fields.text("side").empty()) out.taken = taken_in(fields);
      return;
    case Kind::offset:
      fields.hold_to_blank({"to", "dog_to"}, "an offset is of one hole, from a straightedge at two others");
      take_via(fields, "the two holes of the straightedge, as A1 I1", out);
      out.side = fields.read("side", "left or right", [](const std::string& typed) {
        return word_in(typed, "side", {"left", "right"}) == 0 ? station::Side::left : station::Side::right;
      });
      return;
    case Kind::corner:
      out.to = hole_in(fields, "to");
      take_via(fields, "the fence holes, left and right, with their dogs: A9=low-1 D9=low-2", out);
      const Faces faces = fields.read("side", "rail face and panel side, as right before", parse_faces);
      out.side = faces.rail;
      out.panel_side = faces.panel;
      return;
  }
}

double value_in(const Fields& fields, const char* column, Kind kind, units::Unit unit) {
  return fields.read(
      column, kind == Kind::corner ? "an angle such as 0.06 over 600" : "a length such as 116.03",
      [&](const std::string& typed) {
        return kind == Kind::corner ? parse_slope(typed, column, unit) : parse_observed(typed, column, unit);
      });
}

/// A decimal comma without its quotes, 116,03, puts whole millimetres here.
void take_uncertainty(const Fields& fields, units::Unit unit, survey::Observation& out) {
  const bool corner = out.kind == Kind::corner;
  if (!corner && fields.text("uncertainty").empty()) return;
  out.u = value_in(fields, "uncertainty", out.kind, unit);
  if (!corner && out.u >= kMostUncertaintyMm)
    throw InputError("uncertainty", fields.text("uncertainty"), "below 1 mm", fields.place("uncertainty"),
                     "a decimal comma between commas needs quotes: \"116,03\"");
  if (!(out.u > 0))
    throw InputError("uncertainty", fields.text("uncertainty"), "above 0", fields.place("uncertainty"),
                     corner ? "one standard uncertainty: half of a 95 % ±"
                            : "one standard uncertainty; leave it blank for what the caliper makes of it");
}

std::string note_in(const Fields& fields) {
  const std::string note = fields.text("note");
  if (units::inert(note, note.size()) != note)
    throw InputError("note", note, "one line of plain text", fields.place("note"),
                     "take line ends and control characters out");
  return unguarded(note);
}

ObservationRow parse_row(const Fields& fields, units::Unit unit) {
  ObservationRow row;
  row.at = fields.place("from");
  row.via_at = fields.place("via");
  row.side_at = fields.place("side");
  row.dogs_at = fields.place("dog_from");
  row.value_at = fields.place("value");
  row.u_at = fields.place("uncertainty");
  row.note = note_in(fields);
  const std::size_t kind = fields.read(
      "kind", units::one_of(kKinds), [](const std::string& typed) { return word_in(typed, "kind", kKinds); });
  if (kKinds[kind] == "check") {
    fields.hold_to_blank({"to", "via", "side", "dog_from", "dog_to", "value", "uncertainty"},
                         "a check's holes, dogs and error are taken from the log; without it write a corner");
    row.check =
        fields.read("from", "a kept check such as loft/3", [](const std::string& typed) { return typed; });
    return row;
  }
  auto& out = row.observation;
  out.kind = static_cast<Kind>(kind);
  out.from = hole_in(fields, "from");
  take_places(fields, out);
  out.dog_from = unguarded(fields.text("dog_from"));
  out.dog_to = unguarded(fields.text("dog_to"));
  row.measured = !fields.text("value").empty();
  if (row.measured) out.value = value_in(fields, "value", out.kind, unit);
  if (row.measured || !fields.text("uncertainty").empty()) take_uncertainty(fields, unit, out);
  return row;
}

void hold_to_columns(const NamedTable& table, const Row& row, const std::string& source) {
  const auto& names = table.names().cells;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const Cell& cell = row.cells[i];
    if (cell.text.empty() || (i < names.size() && !names[i].text.empty())) continue;
    throw InputError(
        "cell", cell.text, "under a name of the column row", {source, cell.line, cell.column},
        table.separator() == ',' ? "a decimal comma between commas needs quotes: \"116,03\"" : "");
  }
  if (row.cells[0].text.starts_with('#'))
    throw InputError("line", row.cells[0].text, "a row of the table", {source, row.line, row.cells[0].column},
                     "'# key: value' lines stand above the column row");
}

}  // namespace

ObservationFile parse_observations(const Text& text) {
  const Head head = read_head(text);
  if (text.content.compare(head.offset, 1, "{") == 0)
    throw InputError("file", "JSON", "a table of observations", {text.source, head.line, 1},
                     "a station file is given with --station");
  const NamedTable table(text, kColumns, kNeeded);
  ObservationFile file = read_keys(table.remarks(), text.source);
  std::set<std::string> checks;
  for (const Row& row : table.rows()) {
    hold_to_columns(table, row, text.source);
    ObservationRow read = parse_row(Fields(table, row), file.unit);
    const std::string check = read.check;
    if (!check.empty() && !checks.insert(check).second)
      throw InputError("check", check, "named once", read.at, "twice it would count twice");
    (read.measured ? file.rows : file.unmeasured).push_back(std::move(read));
  }
  if (file.rows.empty() && file.unmeasured.empty())
    throw InputError("observations", std::string(units::kMissing), "below the column row",
                     {text.source, 0, 0}, "one row a distance, comparison, offset, corner or check");
  return file;
}

}  // namespace quarterturn::files
