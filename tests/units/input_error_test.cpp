// SPDX-License-Identifier: MIT
#include "units/input_error.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace quarterturn::units;

TEST_SUITE("units") {
  TEST_CASE("an input error reads in one order") {
    const InputError error("width[3]", "14.8x", "a length such as 14.83", {"readings.csv", 12, 5},
                           "only digits");
    CHECK(std::string(error.what()) ==
          "width[3] is '14.8x', but must be a length such as 14.83 (readings.csv:12:5). Hint: only digits");
    CHECK(error.subject() == "width[3]");
    CHECK(error.value() == "14.8x");
    CHECK(error.must_be() == "a length such as 14.83");
    CHECK(error.where().line == 12);
    CHECK(error.hint() == "only digits");
  }

  TEST_CASE("nothing and not given are said, not quoted") {
    CHECK(std::string(InputError("file", "", "a text").what()) == "file is empty, but must be a text.");
    CHECK(std::string(InputError("grid", std::string(kMissing), "given").what()) ==
          "grid is missing, but must be given.");
  }

  TEST_CASE("places") {
    CHECK(Place{"a.csv", 12, 5}.text() == "a.csv:12:5");
    CHECK(Place{"a.csv", 12, 0}.text() == "a.csv:12");
    CHECK(Place{"a.csv", 0, 0}.text() == "a.csv");
    CHECK(Place{}.text().empty());
    CHECK(Place{"", 3, 2}.text() == "line 3:2");
    const InputError moved = InputError("width", "x", "a length", {}, "h").at({"a.csv", 1, 2});
    CHECK(std::string(moved.what()) == "width is 'x', but must be a length (a.csv:1:2). Hint: h");
  }

  TEST_CASE("text from outside can not act on a terminal") {
    CHECK(inert("plain ½ “text”") == "plain ½ “text”");
    CHECK(inert("\x1b[31mred\a") == "\\x1b[31mred\\x07");
    CHECK(inert("a\nb\tc\rd") == "a\\nb\\tc\\rd");
    CHECK(inert("a\x7f") == "a\\x7f");
    CHECK(inert("\u202Egnp.exe") == "\\u{202e}gnp.exe");
    CHECK(inert("\u200Ba\u0085") == "\\u{200b}a\\u{0085}");
    CHECK(inert("\xff\xfe") == "\\xff\\xfe");
    CHECK(inert("\xed\xa0\x80") == "\\xed\\xa0\\x80");  // a surrogate is no character
    CHECK(inert("\xc0\xaf") == "\\xc0\\xaf");           // an overlong form neither
    CHECK(inert("\U000E0041") == "\\u{e0041}");
    CHECK(inert(std::string("a\0b", 3)) == "a\\x00b");
    CHECK(inert("€uro", 2) == "€u...");
    CHECK(inert("ab", 2) == "ab");
    CHECK(inert(std::string(1000, 'x')) == std::string(60, 'x') + "...");
    const InputError error("\x1b[2J", "\x1b[2J", "\x1b[2J", {"\x1b[2J", 1, 1}, "\x1b[2J");
    CHECK(std::string(error.what()).find('\x1b') == std::string::npos);
  }
}
