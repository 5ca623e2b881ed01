// SPDX-License-Identifier: MIT
/// Tables that the log exports: read here as R, pandas and spreadsheets read them (RFC 4180, the first row
/// names the columns), with names that would be formulas. Names and readings are invented.
#include <doctest/doctest.h>

#include <algorithm>
#include <charconv>
#include <fstream>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include "files/csv.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;

namespace {

using Rows = std::vector<std::vector<std::string>>;

/// RFC 4180 to the letter, and nothing else.
Rows read_strictly(const std::string& text) {
  Rows rows(1);
  std::string cell;
  bool quoted = false, was_quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quoted) {
      if (c != '"') {
        cell += c;
      } else if (i + 1 < text.size() && text[i + 1] == '"') {
        cell += c, ++i;
      } else {
        quoted = false;
      }
    } else if (c == '"' && cell.empty() && !was_quoted) {
      quoted = was_quoted = true;
    } else if (c == ',' || c == '\n') {
      rows.back().push_back(cell);
      cell.clear();
      was_quoted = false;
      if (c == '\n') rows.emplace_back();
    } else {
      CHECK(c != '"');
      cell += c;
    }
  }
  CHECK(rows.back().empty());  // the last line ends
  rows.pop_back();
  return rows;
}

bool is_number(std::string cell) {
  if (cell.starts_with('+')) cell.erase(0, 1);
  double value = 0;
  const auto read = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  return read.ec == std::errc() && read.ptr == cell.data() + cell.size();
}

/// The cells below a name.
std::vector<std::string> column(const Rows& rows, const std::string& name) {
  const auto at = std::ranges::find(rows.front(), name) - rows.front().begin();
  REQUIRE(at < static_cast<std::ptrdiff_t>(rows.front().size()));
  std::vector<std::string> cells;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    REQUIRE(rows[i].size() == rows.front().size());
    cells.push_back(rows[i][static_cast<std::size_t>(at)]);
  }
  return cells;
}

void all_numbers(const Rows& rows, const std::vector<std::string>& names, bool may_be_empty = false) {
  for (const auto& name : names) {
    for (const auto& cell : column(rows, name)) {
      INFO(name, ": ", cell);
      CHECK((is_number(cell) || (may_be_empty && cell.empty())));
    }
  }
}

constexpr const char* kName = "=cmd|' /C calc'!A0";
constexpr const char* kPerson = "@SUM(1,2) \"Lea\"";

/// A log whose setup and person are named like formulas; the name of a station cannot be one.
void fill(const test::Home& home) {
  std::ifstream in(QUARTERTURN_ROOT "/examples/stations/dock.json");
  std::string station{std::istreambuf_iterator<char>(in), {}};
  const std::string setup = "\"crosscut\"";
  REQUIRE(station.find(setup) != std::string::npos);
  station.replace(station.find(setup), setup.size(), '"' + std::string(kName) + '"');
  REQUIRE(test::run_program(home, {"station", "add", home.write("s.json", station)}).status == 0);
  const auto readings =
      home.write("r.csv", std::string("# date: 2026-03-14\n# caliper: digital\n# by: ") + kPerson +
                              "\npanel,from_cut,to_cut,position,width,note\n"
                              "1,1,5,20,38.10 +38.14,\"=1+1\"\n1,1,5,545,38.01 38.02,'twas\n");
  const auto ran = test::run_program(home, {"check", readings, "--station", "dock", "--save"});
  INFO(ran.err);
  REQUIRE(ran.status == 0);
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("exported tables: columns alike in all rows, numbers plain, no cell a formula, names come back") {
    const test::Home home;
    fill(home);
    const auto checks = read_strictly(test::run_program(home, {"log", "export", "--csv", "checks"}).out);
    REQUIRE(checks.size() == 2);
    CHECK(column(checks, "setup")[0] == std::string("'") + kName);
    CHECK(files::unguarded(column(checks, "setup")[0]) == kName);
    CHECK(files::unguarded(column(checks, "by")[0]) == kPerson);
    all_numbers(checks, {"number", "eta_rad", "confidence"});
    all_numbers(checks, {"standard_uncertainty_rad", "half_width_rad", "tolerance_rad"}, true);

    const auto readings = read_strictly(test::run_program(home, {"log", "export", "--csv", "readings"}).out);
    REQUIRE(readings.size() == 5);
    all_numbers(readings, {"number", "panel", "from_cut", "to_cut", "position_mm", "width_mm"});
    CHECK(column(readings, "as_typed")[0] == "38.10");
    CHECK(column(readings, "width_mm") == std::vector<std::string>{"38.1", "38.14", "38.01", "38.02"});
    for (const auto* rows : {&checks, &readings}) {
      for (const auto& row : *rows) {
        for (const auto& cell : row)
          CHECK((cell.empty() || std::string("=+-@\t\r").find(cell[0]) == std::string::npos ||
                 is_number(cell)));
      }
    }
  }

  TEST_CASE("an empty log's tables have their columns") {
    const test::Home home;
    for (const char* table : {"checks", "readings"}) {
      const auto rows = read_strictly(test::run_program(home, {"log", "export", "--csv", table}).out);
      REQUIRE(rows.size() == 1);
      CHECK(rows[0][0] == "station");
    }
  }
}
