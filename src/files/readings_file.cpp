// SPDX-License-Identifier: MIT
#include "files/readings_file.hpp"

#include <algorithm>
#include <array>
#include <optional>

#include "files/csv.hpp"
#include "files/readings_cells.hpp"
#include "files/readings_keys.hpp"
#include "files/readings_message.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using check::Check;
using units::InputError;
using units::Place;

namespace {

constexpr int kMostPanel = 9999, kMostCut = 999;

enum Column : std::size_t { panel, ring, from_cut, to_cut, position, width, gap, note, kColumns };
constexpr std::array<const char*, kColumns> kNames{"panel",    "ring",  "from_cut", "to_cut",
                                                   "position", "width", "gap",      "note"};

/// The columns of one kind of readings.
struct ColumnSet {
  std::vector<Column> needed;
  const char* row;
  [[nodiscard]] bool has(Column column) const {
    return column == Column::note || std::ranges::find(needed, column) != needed.end();
  }
};
const ColumnSet& columns_of(check::TestKind test) {
  static const ColumnSet widths{{panel, from_cut, to_cut, position, width},
                                column_row(check::TestKind::five_cut)};
  static const ColumnSet pairs{{panel, position, gap}, column_row(check::TestKind::turn_over)};
  static const ColumnSet rings{{ring, position, gap}, column_row(check::TestKind::frame)};
  static const ColumnSet along_rail{{position, gap}, column_row(check::TestKind::rail)};
  switch (test) {
    case check::TestKind::turn_over:
      return pairs;
    case check::TestKind::frame:
      return rings;
    case check::TestKind::rail:
      return along_rail;
    default:
      return widths;
  }
}

/// Where each column stands in a row.
using Layout = std::array<std::optional<std::size_t>, kColumns>;

std::string shown(const Row& row, char separator) {
  std::string out;
  for (const Cell& cell : row.cells) {
    if (!out.empty()) out += separator;
    out += cell.text;
  }
  return out;
}

bool has_a_name(const Row& row) {
  return std::ranges::any_of(row.cells, [](const Cell& cell) {
    if (cell.text.empty() || (cell.text[0] >= '0' && cell.text[0] <= '9')) return false;  // a number
    return std::ranges::find(kNames, units::lowered(cell.text)) != kNames.end();
  });
}

[[noreturn]] void unknown_column(const Cell& cell, const ColumnSet& columns, const char* test,
                                 const std::string& source) {
  std::vector<std::string> names;
  for (const Column column : columns.needed) names.emplace_back(kNames[column]);
  names.emplace_back(kNames[note]);
  const std::string near = units::did_you_mean(cell.text, names);
  const bool of_another = std::ranges::find(kNames, units::lowered(cell.text)) != kNames.end();
  throw InputError("column", cell.text, units::one_of(names), {source, cell.line, cell.column},
                   near.empty() || of_another
                       ? std::string("the columns of a ") + test + " test are " + columns.row
                       : near);
}

/// What a table without `test:` holds, by its columns: gaps of pairs, of rings, of a rail, or widths.
check::TestKind test_by_columns(const Row& names) {
  const auto has = [&](Column column) {
    return std::ranges::any_of(names.cells,
                               [&](const Cell& cell) { return units::lowered(cell.text) == kNames[column]; });
  };
  if (!has(gap) || has(width)) return check::TestKind::five_cut;
  return has(ring) ? check::TestKind::frame : has(panel) ? check::TestKind::turn_over : check::TestKind::rail;
}

Layout layout_of(const Table& table, check::TestKind test, const std::string& source) {
  const Row& names = table.names;
  const ColumnSet& columns = columns_of(test);
  if (!has_a_name(names)) {
    throw InputError("column row", shown(names, table.separator), columns.row,
                     {source, names.line, names.cells[0].column}, "put the row of names above the numbers");
  }
  Layout layout;
  for (std::size_t i = 0; i < names.cells.size(); ++i) {
    const Cell& cell = names.cells[i];
    if (cell.text.empty()) continue;
    const auto* const name = std::ranges::find(kNames, units::lowered(cell.text));
    const auto column = static_cast<Column>(name - kNames.begin());
    if (name == kNames.end() || !columns.has(column))
      unknown_column(cell, columns, check::test_row(test).word, source);
    auto& slot = layout[column];
    if (slot)
      throw InputError("column", cell.text, "given once", {source, cell.line, cell.column},
                       "take one of the two columns out");
    slot = i;
  }
  for (const Column column : columns.needed) {
    if (!layout[column]) {
      throw InputError(std::string("column ") + kNames[column], std::string(units::kMissing),
                       "in the column row", {source, names.line, names.end_column},
                       std::string("the columns are ") + columns.row);
    }
  }
  return layout;
}

/// One row of a table, by names.
class Fields {
 public:
  Fields(const Row& row, const Layout& layout, const char* columns, const std::string& source)
      : row_(row), layout_(layout), columns_(columns), source_(source) {}

  [[nodiscard]] const Cell& cell(Column column) const {
    const std::size_t i = *layout_[column];
    if (i >= row_.cells.size() || row_.cells[i].text.empty()) {
      const int at = i < row_.cells.size() ? row_.cells[i].column : row_.end_column;
      throw InputError(kNames[column], std::string(units::kMissing), "given in every row",
                       {source_, row_.line, at}, std::string("a row is ") + columns_);
    }
    return row_.cells[i];
  }
  [[nodiscard]] Place place(const Cell& cell) const { return {source_, cell.line, cell.column}; }
  [[nodiscard]] int whole(Column column, int lowest, int highest) const {
    const Cell& found = cell(column);
    try {
      return units::parse_whole(found.text, kNames[column], lowest, highest);
    } catch (const InputError& error) {
      throw error.at(place(found));
    }
  }
  [[nodiscard]] const Cell* note() const {
    const auto i = layout_[Column::note];
    return i && *i < row_.cells.size() && !row_.cells[*i].text.empty() ? &row_.cells[*i] : nullptr;
  }

 private:
  const Row& row_;
  const Layout& layout_;
  const char* columns_;
  const std::string& source_;
};

/// A row longer than the column row: a decimal comma between commas, or a slip.
void hold_to_columns(const Row& row, const Table& table, const std::string& source) {
  const std::size_t columns = table.names.cells.size();
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const Cell& cell = row.cells[i];
    const bool named = i < columns && !table.names.cells[i].text.empty();
    if (named || cell.text.empty()) continue;
    throw InputError("cell", cell.text, "under a name of the column row", {source, cell.line, cell.column},
                     table.separator == ',' ? "a decimal comma between commas needs quotes: \"14,83\"" : "");
  }
}

void hold_to_rows(const Row& row, const Table& table, const std::string& source) {
  if (row.cells[0].text.starts_with('#')) {
    throw InputError("line", row.cells[0].text, "a row of numbers", {source, row.line, row.cells[0].column},
                     "'# key: value' lines stand above the column row");
  }
  if (has_a_name(row)) {
    throw InputError(
        "row", shown(row, table.separator), "numbers", {source, row.line, row.cells[0].column},
        "the column row stands in line " + std::to_string(table.names.line) + " already: two files joined?");
  }
}

std::string note_of(const Fields& fields, char separator) {
  const Cell* const cell = fields.note();
  if (cell == nullptr) return {};
  if (separator == ',' && !cell->quoted && cell->text.find_first_not_of("0123456789 ") == std::string::npos) {
    throw InputError("note", cell->text, "words", fields.place(*cell),
                     "a decimal comma between commas needs quotes: \"14,83\"");
  }
  if (units::inert(cell->text, cell->text.size()) != cell->text) {
    throw InputError("note", cell->text, "one line of plain text", fields.place(*cell),
                     "take line ends and control characters out");
  }
  return unguarded(cell->text);
}

/// The strip, pair or ring of a row; a rail is one.
Gatherer::Key key_of(const Fields& fields, check::TestKind test) {
  switch (test) {
    case check::TestKind::turn_over:
      return {fields.whole(panel, 1, kMostPanel), 0, 0};
    case check::TestKind::frame:
      return {fields.whole(ring, 1, kMostPanel), 0, 0};
    case check::TestKind::rail:
      return {1, 0, 0};
    default:
      return {fields.whole(panel, 1, kMostPanel), fields.whole(from_cut, 0, kMostCut),
              fields.whole(to_cut, 0, kMostCut)};
  }
}

/// \param check  its unit is that of bare numbers; its test says which columns there are
Gatherer gathered_table(const Table& table, const Text& text, const Check& check) {
  const ColumnSet& columns = columns_of(check.test);
  if (table.names.cells.empty()) {
    throw InputError("column row", std::string(units::kMissing), columns.row, {text.source, 0, 0},
                     "the file holds header lines only");
  }
  const Layout layout = layout_of(table, check.test, text.source);
  Gatherer gatherer(check.unit, text.source, check.gaps() ? "gap" : "width");
  for (const Row& row : table.rows) {
    hold_to_rows(row, table, text.source);
    hold_to_columns(row, table, text.source);
    const Fields fields(row, layout, columns.row, text.source);
    const Gatherer::Key key = key_of(fields, check.test);
    const Cell& at = fields.cell(position);
    const Cell& readings = fields.cell(check.gaps() ? gap : width);
    Place readings_at = fields.place(readings);
    if (readings.quoted) ++readings_at.column;
    gatherer.add(key, parse_position(at.text, check, fields.place(at)), readings.text, readings_at,
                 note_of(fields, table.separator));
  }
  return gatherer;
}

Gatherer gathered_message(const std::vector<MessageLine>& lines, const Text& text, const Check& check) {
  Gatherer gatherer(check.unit, text.source, check.gaps() ? "gap" : "width");
  for (const MessageLine& line : lines) {
    const Place at{text.source, line.position.line, line.position.column};
    const Place widths_at{text.source, line.widths.line, line.widths.column};
    hold_to_headings(line, check, at);
    gatherer.add(line.strip, parse_position(line.position.text, check, at), line.widths.text, widths_at, {});
  }
  return gatherer;
}

/// What belongs to another kind of test is told where it stands.
void hold_to_test(const Check& check, const KeysGiven& given) {
  try {
    check::validate(check);
  } catch (const InputError& error) {
    if (error.where().line > 0) throw;
    if (error.subject() == "form" && given.form_at) throw error.at(*given.form_at);
    if (error.subject() == "pieces" && given.pieces_at) throw error.at(*given.pieces_at);
    throw;
  }
}

}  // namespace

Check parse_readings(const Text& text) {
  Check check;
  check.source = text.source;
  const Head head = read_head(text);
  if (text.content.compare(head.offset, 1, "{") == 0) {
    throw InputError("file", "JSON", "a table of readings or a message", {text.source, head.line, 1},
                     "a station file is given with --station");
  }
  const bool message = head.offset < text.content.size() && is_message(text, head);
  std::vector<KeyLine> keys;
  for (const Cell& remark : head.remarks) keys.push_back(parse_key_line(remark, text.source));
  std::vector<MessageLine> lines;
  if (message) read_message(text, head, keys, lines);
  const KeysGiven given = apply_keys(keys, check);
  Table table;
  if (!message) {
    table = read_table(text);
    if (!given.test) check.test = test_by_columns(table.names);
  }
  Gatherer gatherer = message ? gathered_message(lines, text, check) : gathered_table(table, text, check);
  // Whoever writes the unit behind each reading reads in that unit, and is answered in it.
  if (!given.unit) check.unit = gatherer.width_unit();
  check.strips = gatherer.strips();
  if (!given.test && !check.gaps()) check.test = test_of(check.strips);
  if (check.test == check::TestKind::frame && !given.form_at) check.form = check::Form::separate;
  hold_to_test(check, given);
  return check;
}

}  // namespace quarterturn::files
