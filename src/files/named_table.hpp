// SPDX-License-Identifier: MIT
/// \file named_table.hpp
/// A table whose columns are known by name, in any order.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "files/csv.hpp"

namespace quarterturn::files {

class NamedTable {
 public:
  /// \throws units::InputError on an unknown or repeated column, or when one that is needed is not there
  NamedTable(const Text& text, const std::vector<std::string>& columns,
             const std::vector<std::string>& needed);

  [[nodiscard]] const std::vector<Row>& rows() const { return table_.rows; }
  [[nodiscard]] const std::vector<Cell>& remarks() const { return table_.remarks; }
  [[nodiscard]] char separator() const { return table_.separator; }
  [[nodiscard]] const Row& names() const { return table_.names; }
  /// Empty where the row is shorter, or no such column is in the table.
  [[nodiscard]] std::string text(const Row& row, const std::string& column) const;
  /// Of the cell; of the end of the row where there is none.
  [[nodiscard]] units::Place place(const Row& row, const std::string& column) const;

 private:
  std::string source_;
  Table table_;
  std::map<std::string, std::size_t> at_;
};

}  // namespace quarterturn::files
