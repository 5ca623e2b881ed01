// SPDX-License-Identifier: MIT
#include "files/csv.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "support/processor_time.hpp"

using namespace quarterturn::files;
using quarterturn::units::InputError;

namespace {

Table table(const std::string& content) {
  return read_table({content, "t.csv"});
}

std::vector<std::string> texts(const Row& row) {
  std::vector<std::string> out;
  for (const Cell& cell : row.cells) out.push_back(cell.text);
  return out;
}
using Texts = std::vector<std::string>;

std::string error_of(const std::string& content) {
  try {
    (void)table(content);
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("the separator is that of the column row") {
    for (const char separator : {',', ';', '\t'}) {
      CAPTURE(separator);
      const std::string s(1, separator);
      const Table t = table("a" + s + "b\n1" + s + "2\n");
      CHECK(t.separator == separator);
      CHECK(texts(t.names) == Texts{"a", "b"});
      REQUIRE(t.rows.size() == 1);
      CHECK(texts(t.rows[0]) == Texts{"1", "2"});
    }
    CHECK(texts(table("a;b\n14,83;2\n").rows[0]) == Texts{"14,83", "2"});
    CHECK(table("a\n1\n").rows.size() == 1);
  }

  TEST_CASE("quotes as RFC 4180 has them, and bare ones kept") {
    CHECK(texts(table("a,b\n\"14,83\",\"say \"\"F\"\"\"\n").rows[0]) == Texts{"14,83", "say \"F\""});
    CHECK(texts(table("a,b\n1 3/16\",2\n").rows[0]) == Texts{"1 3/16\"", "2"});
    CHECK(texts(table("a,b\n\"1 3/16\"\"\", \"x\" \n").rows[0]) == Texts{"1 3/16\"", "x"});
    CHECK(texts(table("a,b\n\"two\nlines\",2\n").rows[0]) == Texts{"two\nlines", "2"});
    CHECK(texts(table("a,b\n\"\",\n").names) == Texts{"a", "b"});
  }

  TEST_CASE("every line end ends a line, the last one may lack it") {
    for (const char* content :
         {"a,b\n1,2\n3,4\n", "a,b\r\n1,2\r\n3,4\r\n", "a,b\r1,2\r3,4", "a,b\n1,2\r\n3,4"}) {
      CAPTURE(content);
      const Table t = table(content);
      REQUIRE(t.rows.size() == 2);
      CHECK(texts(t.rows[1]) == Texts{"3", "4"});
      CHECK(t.rows[1].line == 3);
    }
  }

  TEST_CASE("every cell knows its line and column, in characters") {
    const Table t = table("# note: x\n\na,b,c\n½, 22 ,\n\n,,\n\"q\nr\",7,8\n9,,\n");
    CHECK(t.names.line == 3);
    REQUIRE(t.rows.size() == 3);
    CHECK(t.rows[0].line == 4);
    CHECK(t.rows[0].cells[1].column == 4);
    CHECK(t.rows[0].cells[1].text == "22");
    CHECK(t.rows[0].end_column == 8);
    CHECK(t.rows[1].line == 7);
    CHECK(t.rows[1].cells[1].line == 8);
    CHECK(t.rows[1].cells[1].column == 4);
    CHECK(t.rows[2].line == 9);  // the quoted line break counted
  }

  TEST_CASE("header lines, typed or saved by a spreadsheet") {
    const Table t = table(
        "# station: dock\n\"# note: a, \"\"b\"\"; c\",,,\n# by: A,,,\n\"# blade: x\",\"\",\"\"\n#rail:  long "
        " ;;;\n,,,\na,b\n");
    REQUIRE(t.remarks.size() == 5);
    CHECK(t.remarks[0].text == "station: dock");
    CHECK(t.remarks[0].column == 3);
    CHECK(t.remarks[1].text == "note: a, \"b\"; c");
    CHECK(t.remarks[1].column == 4);
    CHECK(t.remarks[2].text == "by: A");
    CHECK(t.remarks[3].text == "blade: x");
    CHECK(t.remarks[4].text == "rail:  long");
    CHECK(t.names.line == 7);
  }

  TEST_CASE("what is broken is refused at its place") {
    CHECK(error_of("a,b\n1,\"2\n3,4\n") ==
          "quoted cell is 'not closed', but must be ended by a quote (t.csv:2:3). Hint: a quote inside a "
          "quoted cell is "
          "written twice");
    CHECK(error_of("a,b\n\"1\"x,2\n").find("must be followed by the next cell (t.csv:2:4)") !=
          std::string::npos);
    CHECK(error_of("\"# note: x\",y\na,b\n").find("must be alone on its line (t.csv:1:13)") !=
          std::string::npos);
    CHECK(error_of("a,b\n" + std::string(200, ',') + "x\n").find("'more than 100 cells'") !=
          std::string::npos);
  }

  TEST_CASE("a file that is one endless line is refused at once") {
    const std::string line(60u << 20, '1');
    const double start = quarterturn::test::processor_time();
    CHECK(error_of(line).find("line is '111") == 0);
    CHECK(error_of("a,b\n\"" + line).find("must be at most 64 kB long (t.csv:2:1)") != std::string::npos);
    CHECK(quarterturn::test::processor_time() - start < 1);
  }

  TEST_CASE("a table longer than any bench's is refused") {
    std::string content = "a\n";
    for (int i = 0; i < 200'001; ++i) content += "1\n";
    CHECK(error_of(content).find("table is 'more than 200000 rows'") == 0);
  }

  TEST_CASE("a cell written reads back") {
    for (const std::string text : {"plain", "14,83", "1 3/16\"", "two\nlines", " padded ", "a;b", "\"", ""}) {
      CAPTURE(text);
      const Table t = table("a,b\n" + csv_cell(text) + ",end\n" + quoted(text) + ",end\n");
      REQUIRE(t.rows.size() == 2);
      CHECK(t.rows[0].cells[0].text == text);
      CHECK(t.rows[1].cells[0].text == text);
    }
  }

  TEST_CASE("free text is never a formula, numbers stay numbers, and all of it comes back") {
    CHECK(guarded("=HYPERLINK(\"x\")") == "'=HYPERLINK(\"x\")");
    CHECK(guarded("+1 555") == "'+1 555");
    CHECK(guarded("-2+3") == "'-2+3");
    CHECK(guarded("@SUM(A1)") == "'@SUM(A1)");
    CHECK(guarded("\t=1") == "'\t=1");
    CHECK(guarded("\r=1") == "'\r=1");
    CHECK(guarded("'twas") == "''twas");
    for (const char* as_it_is : {"", "Lea", "-0.02", "+22.74", "22.74", "-1e-5", "a=b", "dock", "1 3/16\""})
      CHECK(guarded(as_it_is) == as_it_is);
    CHECK(guarded("-inf") == "'-inf");  // no spreadsheet's number
    for (const char* text : {"=1", "'=1", "''=1", "'", "''", "'a", "-5", "'-5", "@", "\n=x", "plain", ""})
      CHECK(unguarded(guarded(text)) == text);
    CHECK(unguarded("'tis typed so") == "'tis typed so");
  }
}
