// SPDX-License-Identifier: MIT
#include "report/drawing.hpp"

#include <doctest/doctest.h>

#include <sstream>

#include "report/amounts.hpp"
#include "report/words.hpp"
#include "support/outcomes.hpp"

using namespace quarterturn;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// A sentence is broken where the width wants it.
std::string in_one_line(const std::string& text) {
  std::istringstream words(text);
  std::string line;
  for (std::string word; words >> word;) line += (line.empty() ? "" : " ") + word;
  return line;
}

std::size_t widest(const std::string& text) {
  std::istringstream lines(text);
  std::size_t most = 0;
  for (std::string line; std::getline(lines, line);) most = std::max(most, report::columns_of(line));
  return most;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("the drawing of the cuts keeps to the width: all five, three of them, or none") {
    for (int width = 20; width <= 110; ++width) {
      for (const bool left : {true, false}) {
        const std::string drawn = report::turn_drawing(1, 5, left, true, width);
        CHECK(widest(drawn) <= static_cast<std::size_t>(width));
        CHECK(drawn.empty() == (width < 42));
        CHECK(holds(drawn, "cut 3") == (width >= 70));
        CHECK(holds(drawn, "cut 5") == (width >= 42));
        CHECK(holds(in_one_line(drawn), "cuts 3 to 4 go like cut 2") == (width >= 42 && width < 70));
        // What is shown is not broken again on its way to the screen.
        report::TextOptions options;
        options.width = width;
        CHECK(report::finished(drawn, options) == drawn);
      }
    }
    CHECK(holds(report::turn_drawing(7, 7, true, true, 40), "───6───║F"));
    CHECK(widest(report::turn_drawing(7, 7, true, true, 40)) <= 40);
  }

  TEST_CASE("the drawings of a check keep to the width") {
    const auto outcome = app::run_check(test::station_request());
    for (int width = 40; width <= 110; width += 5) {
      report::TextOptions options;
      options.width = width;
      for (const auto& drawn :
           {report::strip_drawing(outcome, 0, options), report::interval_drawing(outcome, options),
            report::strips_drawing(outcome, options)}) {
        // The heading is a sentence, which is broken at words; the rows below must fit as they are.
        CHECK_MESSAGE(widest(drawn.substr(drawn.find('\n') + 1)) <= static_cast<std::size_t>(width), drawn);
      }
    }
  }
}
