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

enum Column : std::size_t { panel, from_cut, to_cut, position, width, note, kColumns };
constexpr std::array<const char*, kColumns> kNames{"panel",    "from_cut", "to_cut",
                                                   "position", "width",    "note"};
constexpr const char* kColumnRow = "panel,from_cut,to_cut,position,width";

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
    return std::ranges::find(kNames, units::lowered(cell.text)) != kNames.end();
  });
}

[[noreturn]] void unknown_column(const Cell& cell, const std::string& source) {
  const std::vector<std::string> names(kNames.begin(), kNames.end());
  if (units::lowered(cell.text) == "gap" || units::lowered(cell.text) == "ring") {
    throw InputError("column", cell.text, units::one_of(names), {source, cell.line, cell.column},
                     "turn-over, frame and rail tests are not read today");
  }
  const std::string near = units::did_you_mean(cell.text, names);
  throw InputError("column", cell.text, units::one_of(names), {source, cell.line, cell.column},
                   near.empty() ? std::string("the columns are ") + kColumnRow : near);
}

Layout layout_of(const Table& table, const std::string& source) {
  const Row& names = table.names;
  if (!has_a_name(names)) {
    throw InputError("column row", shown(names, table.separator), kColumnRow,
                     {source, names.line, names.cells[0].column}, "put the row of names above the numbers");
  }
  Layout layout;
  for (std::size_t i = 0; i < names.cells.size(); ++i) {
    const Cell& cell = names.cells[i];
    if (cell.text.empty()) continue;
    const auto* const name = std::ranges::find(kNames, units::lowered(cell.text));
    if (name == kNames.end()) unknown_column(cell, source);
    auto& slot = layout[static_cast<std::size_t>(name - kNames.begin())];
    if (slot)
      throw InputError("column", cell.text, "given once", {source, cell.line, cell.column},
                       "take one of the two columns out");
    slot = i;
  }
  for (std::size_t column = panel; column <= width; ++column) {
    if (!layout[column]) {
      throw InputError(std::string("column ") + kNames[column], std::string(units::kMissing),
                       "in the column row", {source, names.line, names.end_column},
                       std::string("the columns are ") + kColumnRow);
    }
  }
  return layout;
}

/// One row of a table, by names.
class Fields {
 public:
  Fields(const Row& row, const Layout& layout, const std::string& source)
      : row_(row), layout_(layout), source_(source) {}

  [[nodiscard]] const Cell& cell(Column column) const {
    const std::size_t i = *layout_[column];
    if (i >= row_.cells.size() || row_.cells[i].text.empty()) {
      const int at = i < row_.cells.size() ? row_.cells[i].column : row_.end_column;
      throw InputError(kNames[column], std::string(units::kMissing), "given in every row",
                       {source_, row_.line, at}, "a row is panel, from_cut, to_cut, position, width");
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
  return cell->text;
}

/// \param unit  of bare numbers
Gatherer gathered_table(const Table& table, const Text& text, units::Unit unit) {
  if (table.names.cells.empty()) {
    throw InputError("column row", std::string(units::kMissing), kColumnRow, {text.source, 0, 0},
                     "the file holds header lines only");
  }
  const Layout layout = layout_of(table, text.source);
  Gatherer gatherer(unit, text.source);
  for (const Row& row : table.rows) {
    hold_to_rows(row, table, text.source);
    hold_to_columns(row, table, text.source);
    const Fields fields(row, layout, text.source);
    const Gatherer::Key key{fields.whole(panel, 1, kMostPanel), fields.whole(from_cut, 0, kMostCut),
                            fields.whole(to_cut, 0, kMostCut)};
    const Cell& at = fields.cell(position);
    const Cell& widths = fields.cell(width);
    Place widths_at = fields.place(widths);
    if (widths.quoted) ++widths_at.column;
    gatherer.add(key, parse_position(at.text, unit, fields.place(at)), widths.text, widths_at,
                 note_of(fields, table.separator));
  }
  return gatherer;
}

Gatherer gathered_message(const std::vector<MessageLine>& lines, const Text& text, units::Unit unit) {
  Gatherer gatherer(unit, text.source);
  for (const MessageLine& line : lines) {
    const Place at{text.source, line.position.line, line.position.column};
    const Place widths_at{text.source, line.widths.line, line.widths.column};
    gatherer.add(line.strip, parse_position(line.position.text, unit, at), line.widths.text, widths_at, {});
  }
  return gatherer;
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
  Gatherer gatherer = message ? gathered_message(lines, text, check.unit)
                              : gathered_table(read_table(text), text, check.unit);
  // Whoever writes the unit behind each reading reads in that unit, and is answered in it.
  if (!given.unit) check.unit = gatherer.width_unit();
  check.strips = gatherer.strips();
  if (!given.test) check.test = test_of(check.strips);
  check::validate(check);
  return check;
}

}  // namespace quarterturn::files
