// SPDX-License-Identifier: MIT
#include "cli/dialogue.hpp"

#include <doctest/doctest.h>

#include <sstream>

#include "report/amounts.hpp"

using namespace quarterturn;

namespace {

/// Keeps the question that was shown last.
struct Shown : cli::LineSource {
  std::string question;
  std::optional<std::string> next(const std::string& text) override {
    question = text;
    return "answer";
  }
};

const std::string kLong =
    "shims you own (name, how many layers, their thickness together; ; between two) [none]";

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("a long question is broken at words, with room to type behind it") {
    for (const int width : {40, 60, 80}) {
      Shown lines;
      report::TextOptions options;
      options.width = width;
      cli::Dialogue talk(lines, options, false);
      talk.line(kLong);
      std::istringstream shown(lines.question);
      std::string together, last;
      for (std::string line; std::getline(shown, line);) {
        CHECK(report::columns_of(line) + 8 <= static_cast<std::size_t>(width));
        together += (together.empty() ? "" : " ") + line;
        last = line;
      }
      CHECK(together == kLong + " ▸ ");  // no word is broken, none lost
      CHECK(last.ends_with(" ▸ "));
      talk.line("name");
      CHECK(lines.question == "name ▸ ");
    }
  }

  TEST_CASE("a screen reader is given a question on one line") {
    Shown lines;
    report::TextOptions options;
    options.width = 40;
    options.plain = true;
    cli::Dialogue(lines, options, false).line(kLong);
    CHECK(lines.question == kLong + " ▸ ");
  }
}
