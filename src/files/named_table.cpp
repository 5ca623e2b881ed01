// SPDX-License-Identifier: MIT
#include "files/named_table.hpp"

#include <algorithm>

#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;

namespace {

std::string joined(const std::vector<std::string>& names) {
  std::string out;
  for (const auto& name : names) out += (out.empty() ? "" : ",") + name;
  return out;
}

}  // namespace

NamedTable::NamedTable(const Text& text, const std::vector<std::string>& columns,
                       const std::vector<std::string>& needed)
    : source_(text.source), table_(read_table(text)) {
  for (std::size_t i = 0; i < table_.names.cells.size(); ++i) {
    const Cell& cell = table_.names.cells[i];
    const std::string name = units::lowered(cell.text);
    if (name.empty()) continue;
    if (std::ranges::find(columns, name) == columns.end()) {
      const std::string near = units::did_you_mean(name, columns);
      throw InputError("column", cell.text, units::one_of(columns), {source_, cell.line, cell.column},
                       near.empty() ? "take it out, or put it behind note" : near);
    }
    if (!at_.emplace(name, i).second)
      throw InputError("column", cell.text, "given once", {source_, cell.line, cell.column},
                       "take one of the two columns out");
  }
  for (const auto& name : needed) {
    if (!at_.contains(name))
      throw InputError("column " + name, std::string(units::kMissing), "in the column row",
                       {source_, table_.names.line, table_.names.end_column},
                       "the columns are " + joined(columns));
  }
}

std::string NamedTable::text(const Row& row, const std::string& column) const {
  const auto at = at_.find(column);
  return at == at_.end() || at->second >= row.cells.size() ? std::string() : row.cells[at->second].text;
}

units::Place NamedTable::place(const Row& row, const std::string& column) const {
  const auto at = at_.find(column);
  if (at == at_.end() || at->second >= row.cells.size()) return {source_, row.line, row.end_column};
  return {source_, row.cells[at->second].line, row.cells[at->second].column};
}

}  // namespace quarterturn::files
