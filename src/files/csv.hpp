// SPDX-License-Identifier: MIT
/// \file csv.hpp
/// Tables as spreadsheets and people write them (RFC 4180), with the line and column of every cell.
///
/// Goes beyond RFC 4180 where files from benches do: `# …` lines above the column row, which a spreadsheet
/// may have quoted and padded with empty cells; `,` `;` or tab between cells, taken from the column row; a
/// bare `"` inside an unquoted cell is kept (1 3/16"); LF, CRLF or CR ends a line; blank rows are passed
/// over; short rows are not.
#pragma once

#include <string>
#include <vector>

#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::files {

struct Cell {
  std::string text;          ///< without its quotes; of an unquoted cell without blanks at its ends
  int line = 0, column = 0;  ///< of its first character, counted from 1 in characters
  bool quoted = false;
};

struct Row {
  int line = 0,
      end_column = 0;  ///< end_column: just behind its last character, where a missing cell would stand
  std::vector<Cell> cells;
};

/// The `#` lines of a file, and where the rest begins.
struct Head {
  std::vector<Cell> remarks;  ///< text behind the `#`, padding taken off
  std::size_t offset =
      0;  ///< of the first line that is neither blank nor a remark; the size when there is none
  int line = 1;
};

struct Table {
  char separator = ',';
  std::vector<Cell> remarks;
  Row names;  ///< the column row; no cells when the file has none
  std::vector<Row> rows;
};

/// \throws units::InputError on a quote that does not end, text behind a closing quote, a line above 64 kB,
///         more than 100 cells a row or 200,000 rows
Head read_head(const Text& text);
Table read_table(const Text& text);

/// A cell as it stands in a file with commas: quoted where it must be.
std::string csv_cell(const std::string& text);
/// Free text for a table that a spreadsheet may open: an apostrophe before what it would take for a formula
/// (= + - @, a tab or line end in front), unless it is a number; and before an apostrophe, so that
/// `unguarded` gives back what stood there, whatever it was.
std::string guarded(const std::string& text);
/// Text as people wrote it. An apostrophe before anything else is theirs and stays.
std::string unguarded(const std::string& text);
/// A cell in quotes, needed or not.
std::string quoted(const std::string& text);

}  // namespace quarterturn::files
