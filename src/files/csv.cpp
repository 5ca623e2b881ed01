// SPDX-License-Identifier: MIT
#include "files/csv.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>
#include <utility>

#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;

namespace {

constexpr std::size_t kMostLineBytes = 64u << 10;
constexpr std::size_t kMostRows = 200'000;  // with kMostCells: a bound on memory, far beyond any bench
constexpr std::size_t kMostCells = 100;

/// A place in the text that knows its line and column.
class Cursor {
 public:
  Cursor(const Text& text, std::size_t at, int line)
      : text_(text.content), source_(text.source), at_(at), line_(line) {
    begin_line();
  }

  [[nodiscard]] bool done() const { return at_ >= text_.size(); }
  [[nodiscard]] char peek() const { return text_[at_]; }
  [[nodiscard]] std::size_t offset() const { return at_; }
  [[nodiscard]] int line() const { return line_; }
  [[nodiscard]] int column() const { return column_; }
  [[nodiscard]] std::string_view rest() const { return std::string_view(text_).substr(at_); }
  [[nodiscard]] bool at_line_end() const { return done() || peek() == '\n' || peek() == '\r'; }
  [[nodiscard]] units::Place here() const { return {source_, line_, column_}; }
  [[nodiscard]] const std::string& source() const { return source_; }

  /// Past one byte that ends no line.
  void step() {
    ++at_;
    if (done() || (static_cast<unsigned char>(peek()) & 0xC0u) != 0x80u) ++column_;
  }
  /// What stands up to the line's end, or up to `separator`; past it.
  std::string_view take_until(char separator) {
    const std::size_t start = at_;
    while (!at_line_end() && peek() != separator) step();
    return std::string_view(text_).substr(start, at_ - start);
  }
  void end_line() {
    if (done()) return;
    at_ += rest().starts_with("\r\n") ? 2 : 1;
    ++line_;
    begin_line();
  }
  void skip_blanks(char separator) {
    while (!done() && (peek() == ' ' || (peek() == '\t' && separator != '\t'))) step();
  }

 private:
  void begin_line() {
    column_ = 1;
    // A line without end must not cost more than a look for its end.
    const std::string_view head =
        std::string_view(text_).substr(std::min(at_, text_.size()), kMostLineBytes + 1);
    if (head.size() > kMostLineBytes && head.find_first_of("\r\n") == std::string_view::npos) {
      throw InputError("line", std::string(head.substr(0, 200)), "at most 64 kB long", here(),
                       "is this the readings file, with its line ends?");
    }
  }

  const std::string& text_;
  const std::string& source_;
  std::size_t at_;
  int line_;
  int column_ = 1;
};

/// From the opening quote to behind the closing one; `""` inside stands for one quote.
std::string take_quoted(Cursor& in) {
  const units::Place start = in.here();
  std::string out;
  in.step();
  for (;;) {
    if (in.done()) {
      throw InputError("quoted cell", "not closed", "ended by a quote", start,
                       "a quote inside a quoted cell is written twice");
    }
    if (in.peek() == '"') {
      in.step();
      if (in.done() || in.peek() != '"') return out;
      out += '"';
      in.step();
    } else if (in.at_line_end()) {
      out += '\n';
      in.end_line();
    } else {
      out += in.take_until('"');
    }
  }
}

Cell take_cell(Cursor& in, char separator) {
  in.skip_blanks(separator);
  Cell cell{{}, in.line(), in.column(), false};
  if (!in.done() && in.peek() == '"') {
    cell.quoted = true;
    cell.text = take_quoted(in);
    in.skip_blanks(separator);
    if (!in.at_line_end() && in.peek() != separator) {
      throw InputError("quoted cell", cell.text, "followed by the next cell", in.here(),
                       "a quote inside a quoted cell is written twice");
    }
    return cell;
  }
  cell.text = std::string(units::trimmed(in.take_until(separator)));
  return cell;
}

/// \param cells  as many as are expected
Row take_row(Cursor& in, char separator, std::size_t cells) {
  Row row{in.line(), 0, {}};
  row.cells.reserve(cells);
  for (;;) {
    if (row.cells.size() == kMostCells) {
      throw InputError("row", "more than " + std::to_string(kMostCells) + " cells", "a row of the table",
                       in.here(), "a table of readings has five columns, and a note if you like");
    }
    row.cells.push_back(take_cell(in, separator));
    if (in.at_line_end()) break;
    in.step();
  }
  row.end_column = in.column();
  in.end_line();
  return row;
}

bool is_blank(const Row& row) {
  return std::ranges::all_of(row.cells, [](const Cell& cell) { return cell.text.empty(); });
}

/// `# key: value` as typed, or as a spreadsheet saved it: `"# key: value",,,`.
Cell take_remark(Cursor& in) {
  constexpr std::string_view kPadding = ",;\t ";
  Cell cell{{}, in.line(), in.column(), in.peek() == '"'};
  if (cell.quoted) {
    cell.text = take_quoted(in);
    while (!in.at_line_end()) {
      if (kPadding.find(in.peek()) == std::string_view::npos && in.peek() != '"') {
        throw InputError("header line", cell.text, "alone on its line", in.here(),
                         "take the cells behind it out");
      }
      in.step();
    }
  } else {
    cell.text = std::string(in.take_until('\n'));
    cell.text.erase(cell.text.find_last_not_of(kPadding) + 1);
  }
  in.end_line();
  cell.text.erase(0, 1);
  cell.column += cell.quoted ? 2 : 1;
  while (const std::size_t n = units::blank_length(cell.text)) {
    cell.text.erase(0, n);
    ++cell.column;
  }
  return cell;
}

/// The one of `,` `;` tab that stands most often between the names; names hold none of them.
char separator_of(std::string_view line) {
  char best = ',';
  std::ptrdiff_t most = 0;
  for (const char candidate : {',', ';', '\t'}) {
    const auto n = std::ranges::count(line, candidate);
    if (n > most) {
      best = candidate;
      most = n;
    }
  }
  return best;
}

}  // namespace

Head read_head(const Text& text) {
  Head head;
  Cursor in(text, 0, 1);
  for (;;) {
    head.offset = in.offset();
    head.line = in.line();
    if (in.done()) return head;
    in.skip_blanks(',');
    const std::string_view rest = in.rest();
    if (rest.starts_with("#") || rest.starts_with("\"#")) {
      head.remarks.push_back(take_remark(in));
      continue;
    }
    // A line of nothing but padding is a blank row of a spreadsheet.
    const std::string_view line = rest.substr(0, rest.find_first_of("\r\n"));
    if (line.find_first_not_of(",;\t ") != std::string_view::npos) return head;
    while (!in.at_line_end()) in.step();
    in.end_line();
  }
}

Table read_table(const Text& text) {
  Head head = read_head(text);
  Table table;
  table.remarks = std::move(head.remarks);
  Cursor in(text, head.offset, head.line);
  if (in.done()) return table;
  table.separator = separator_of(in.rest().substr(0, in.rest().find_first_of("\r\n")));
  table.names = take_row(in, table.separator, 0);
  while (!in.done()) {
    if (table.rows.size() == kMostRows) {
      throw InputError("table", "more than " + std::to_string(kMostRows) + " rows", "what a person measured",
                       in.here(), "one check a file");
    }
    Row row = take_row(in, table.separator, table.names.cells.size());
    if (!is_blank(row)) table.rows.push_back(std::move(row));
  }
  return table;
}

namespace {

constexpr std::string_view kFormulaStarts = "=+-@\t\r\n'";

bool is_number(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
  return read.ec == std::errc() && read.ptr == text.data() + text.size() && std::isfinite(value);
}

}  // namespace

std::string guarded(const std::string& text) {
  const bool starts = !text.empty() && kFormulaStarts.find(text.front()) != std::string_view::npos;
  return starts && !is_number(text) ? "'" + text : text;
}

std::string unguarded(const std::string& text) {
  const bool guard =
      text.size() > 1 && text[0] == '\'' && kFormulaStarts.find(text[1]) != std::string_view::npos;
  return guard ? text.substr(1) : text;
}

std::string csv_cell(const std::string& text) {
  const bool plain = text.find_first_of(",;\t\"\r\n") == std::string::npos && units::trimmed(text) == text;
  return plain ? text : quoted(text);
}

std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

}  // namespace quarterturn::files
