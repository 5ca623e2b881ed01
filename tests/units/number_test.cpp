// SPDX-License-Identifier: MIT
#include "units/number.hpp"

#include <doctest/doctest.h>

#include <clocale>
#include <locale>
#include <string>
#include <vector>

#include "support/near.hpp"
#include "units/input_error.hpp"

using namespace quarterturn::units;
using quarterturn::test::near;

namespace {

struct Good {
  const char* text;
  double value;
  std::optional<Unit> unit;
  double step;
};

/// The message of the error that `text` gives; empty when it gives none.
std::string error_of(const std::string& text, bool comma = true) {
  try {
    (void)parse_number(text, "width", comma);
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

/// A decimal comma and dots between thousands, as a German or Dutch locale has; needs no locale installed.
class CommaPoint : public std::numpunct<char> {
 protected:
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

}  // namespace

TEST_SUITE("units") {
  TEST_CASE("a plain decimal reads as one that has to be looked at closely: value and step to the last bit") {
    for (const char* typed : {"0", "7", "14.83", "14.8", "0.5835", "600", "1250.000000001", "22.7400000000",
                              "0.1", "123456789012345678901234567890", "9007199254740993.5", "00.30"}) {
      CAPTURE(typed);
      const Number plain = parse_number(typed, "width");
      const Number general = parse_number("+" + std::string(typed), "width");
      CHECK(plain.value == general.value);
      CHECK(plain.digits_step == general.digits_step);
      CHECK(plain.as_typed == typed);
      CHECK_FALSE(plain.unit.has_value());
      CHECK_FALSE(plain.fraction);
    }
  }

  TEST_CASE("numbers as people type them") {
    const std::vector<Good> cases{
        {"14.83", 14.83, {}, 0.01},
        {"14,83", 14.83, {}, 0.01},
        {"14.80", 14.80, {}, 0.01},
        {"14.83 mm", 14.83, Unit::mm, 0.01},
        {"14.83mm", 14.83, Unit::mm, 0.01},
        {"14.83 MM", 14.83, Unit::mm, 0.01},
        {"0.584 in", 0.584, Unit::inch, 0.001},
        {"0.584\"", 0.584, Unit::inch, 0.001},
        {"0.584 inch", 0.584, Unit::inch, 0.001},
        {"0.584 inches", 0.584, Unit::inch, 0.001},
        {".584 in", 0.584, Unit::inch, 0.001},
        {"37/64 in", 0.578125, Unit::inch, 1.0 / 64},
        {"37/64", 0.578125, {}, 1.0 / 64},
        {"1-3/16 in", 1.1875, Unit::inch, 1.0 / 16},
        {"1 3/16\"", 1.1875, Unit::inch, 1.0 / 16},
        {"1 3/16\u2033", 1.1875, Unit::inch, 1.0 / 16},
        {"1 3/16\u201D", 1.1875, Unit::inch, 1.0 / 16},
        {"1½ in", 1.5, Unit::inch, 0.5},
        {"¾ in", 0.75, Unit::inch, 0.25},
        {"23 ⅝ in", 23.625, Unit::inch, 0.125},
        {"3\u204416 in", 0.1875, Unit::inch, 1.0 / 16},
        {"-0.25", -0.25, {}, 0.01},
        {"\u22120.25", -0.25, {}, 0.01},
        {"+7", 7, {}, 1},
        {"  600  ", 600, {}, 1},
        {"14.83\u00A0mm", 14.83, Unit::mm, 0.01},
        {"5.", 5, {}, 1},
        {"1.483e1", 14.83, {}, 0.01},
        {"1.483E+01", 14.83, {}, 0.01},
        {"2e3", 2000, {}, 1000},
        {"0.000001", 1e-6, {}, 1e-6},
    };
    for (const Good& c : cases) {
      CAPTURE(c.text);
      const Number number = parse_number(c.text, "width");
      CHECK(near(number.value, c.value, 1e-15, 0));
      CHECK(number.unit == c.unit);
      CHECK(near(number.digits_step, c.step, 1e-15, 0));
    }
  }

  TEST_CASE("a typed number is the double nearest to it") {
    CHECK(parse_number("14.83", "x").value == 14.83);
    CHECK(parse_number("14,83", "x").value == 14.83);
    CHECK(parse_number("0.1", "x").value == 0.1);
    CHECK(parse_number("14.83", "x").digits_step == 0.01);
    CHECK(parse_number("  14.80 mm ", "x").as_typed == "14.80 mm");
    CHECK(parse_number("3/4 in", "x").fraction);
    CHECK_FALSE(parse_number("0.75 in", "x").fraction);
  }

  TEST_CASE("a bare number carries the unit it is given") {
    CHECK(parse_number("0.5", "x").length(Unit::inch).mm() == 12.7);
    CHECK(parse_number("0.5", "x").length(Unit::mm).mm() == 0.5);
    CHECK(parse_number("0.5 in", "x").length(Unit::mm).mm() == 12.7);
    CHECK(parse_number("0.5 mm", "x").length(Unit::inch).mm() == 0.5);
    CHECK(near(parse_number("37/64 in", "x").step(Unit::mm).mm(), 0.396875, 1e-15, 0));
    CHECK(near(parse_length("0.584", "x", Unit::inch).mm(), 14.8336, 1e-15, 0));
  }

  TEST_CASE("what is no number is refused") {
    for (const char* text :
         {"",         " ",        "x",        "14.8x",      "nan",         "NaN",         "inf",
          "-inf",     "infinity", "0x1F",     "0x1p3",      "1/0",         "3/0 in",      "1 3/0",
          "14.83.1",  "14,83,1",  "1,250.5",  "1.250,5",    "1 2",         "14.83 14.84", "1/2/3",
          "1/",       "/2",       "1-",       "--1",        "+-1",         "- 1",         "1e400",
          "1e-400",   "1e10",     "1e",       "1e+",        ".",           ",",           "-",
          "14.83 cm", "14.83 m",  "mm",       "in",         "\"",          "1 17/16",     "22,",
          "1 16/16",  "1-½-½",    "½½",       "٣",          "14.83 mm mm", "14.83 mm in", "1_000",
          "1'000",    "$5",       "14.83 15", "1 3/16 1/2", "99999999/3",  "(5)",         "5%"}) {
      CAPTURE(text);
      CHECK_FALSE(error_of(text).empty());
    }
    CHECK_FALSE(error_of(std::string(1'000'000, '1')).empty());
    CHECK_FALSE(error_of(std::string("1\0", 2)).empty());
  }

  TEST_CASE("the message says what is wrong with it") {
    CHECK(error_of("14.8x") ==
          "width is '14.8x', but must be a number such as 14.83, 14.83 mm, 0.584 in or 37/64 in. Hint: only "
          "the number "
          "and its unit");
    CHECK(error_of("") == "width is empty, but must be a number such as 14.83.");
    CHECK(error_of("1/0") == "width is '1/0', but must be a fraction whose lower number is not 0.");
    CHECK(error_of("14.83 14.84") ==
          "width is '14.83 14.84', but must be one number, such as 14.83. Hint: this looks like two numbers");
    CHECK(error_of("1.483 cm").find("write millimetres (14.83 mm) or inches (0.584 in)") !=
          std::string::npos);
    CHECK(error_of("1,250.5").find("nothing between the thousands") != std::string::npos);
    CHECK(error_of("14,83", false).find("write a decimal point") != std::string::npos);
    CHECK(error_of("1e400").find("a number of a size that a workshop meets") != std::string::npos);
  }

  TEST_CASE("no locale changes a number") {
    const std::locale before = std::locale::global(std::locale(std::locale::classic(), new CommaPoint));
    const std::string c_before = std::setlocale(LC_ALL, nullptr);
    for (const char* name : {"de_DE.UTF-8", "nl_NL.UTF-8", "fr_FR.UTF-8"}) {
      if (std::setlocale(LC_ALL, name) != nullptr) break;
    }
    CHECK(parse_number("14.83", "x").value == 14.83);
    CHECK(parse_number("14,83", "x").value == 14.83);
    CHECK(parse_number("1250", "x").value == 1250);
    CHECK_FALSE(error_of("1.250,5").empty());
    CHECK(error_of("14.83.1").find("'14.83.1'") != std::string::npos);
    std::setlocale(LC_ALL, c_before.c_str());
    std::locale::global(before);
  }

  TEST_CASE("several numbers in a line") {
    const auto parts = [](std::string_view line) {
      std::vector<std::string> out;
      for (const Piece& piece : split_numbers(line)) out.emplace_back(piece.text);
      return out;
    };
    using Parts = std::vector<std::string>;
    CHECK(parts("22.74 22.73 22.75") == Parts{"22.74", "22.73", "22.75"});
    CHECK(parts("22.74, 22.73; 22.75") == Parts{"22.74", "22.73", "22.75"});
    CHECK(parts("22,74 22,73") == Parts{"22,74", "22,73"});
    CHECK(parts("1 3/16\" 14.83 mm 0.584 in 37/64 in 1-3/16 in") ==
          Parts{"1 3/16\"", "14.83 mm", "0.584 in", "37/64 in", "1-3/16 in"});
    CHECK(parts("14.83 mm mm") == Parts{"14.83 mm", "mm"});
    CHECK(parts("1½ in 2 ½ in") == Parts{"1½ in", "2 ½ in"});
    CHECK(parts("14\n3/16 in") == Parts{"14", "3/16 in"});
    CHECK(parts("  ").empty());
    const auto pieces = split_numbers("½ in  22.73");
    REQUIRE(pieces.size() == 2);
    CHECK(pieces[1].offset == 6);  // in characters: the sign for a half is one
  }

  TEST_CASE("whole numbers and units") {
    CHECK(parse_whole(" 12 ", "rows", 1, 99) == 12);
    for (const char* text : {"", "1.5", "x", "0", "100", "99999999999999999999", "1 2", "+1", "0x1"}) {
      CAPTURE(text);
      CHECK_THROWS_AS(parse_whole(text, "rows", 1, 99), InputError);
    }
    CHECK(parse_unit("mm") == Unit::mm);
    CHECK(parse_unit(" IN ") == Unit::inch);
    CHECK_THROWS_WITH_AS(parse_unit("inch"), "unit is 'inch', but must be mm or in. Hint: write in",
                         InputError);
  }
}
