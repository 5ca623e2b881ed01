// SPDX-License-Identifier: MIT
#include "cli/completion.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <map>

#include "cli/candidate_list.hpp"
#include "cli/completion_sources.hpp"
#include "cli/options.hpp"
#include "report/amounts.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using cli::Known;
using Words = std::vector<std::string>;

namespace {

/// A person with two stations; what is asked for is noted.
struct Person {
  std::map<Known, Words> has{{Known::station, {"dock", "loft"}},
                             {Known::setup, {"crosscut", "mitre"}},
                             {Known::shim, {"foil tape", "paper"}},
                             {Known::hole, {"E2", "E10"}},
                             {Known::check, {"dock/2", "dock/1"}},
                             {Known::caliper, {"pocket"}},
                             {Known::file, {"readings/", "readings.csv", "two words.csv"}}};

  [[nodiscard]] cli::Completion at(const std::string& text, bool command = true,
                                   const Words& answers = {}) const {
    const cli::CompletionContext context{command, answers, [this](Known kind, const std::string&) {
                                           const auto found = has.find(kind);
                                           return found == has.end() ? Words{} : found->second;
                                         }};
    return cli::completed(text, text.size(), context);
  }
  [[nodiscard]] Words words(const std::string& text) const { return at(text).candidates; }
};

bool has(const Words& words, const std::string& word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("a command begins with a word of the table or of the prompt, in any case") {
    const Person person;
    CHECK(person.words("st") == Words{"station"});
    CHECK(person.words("  CHE") == Words{"check"});
    CHECK(person.at("  CHE").from == 2);
    CHECK(person.words("zz").empty());
    const auto all = person.words("");
    for (const auto& row : cli::word_rows()) CHECK(has(all, std::string(row.word)));
    for (const char* word : {"more", "ways", "why", "help", "units", "quiet", "quit"}) CHECK(has(all, word));
    // These answer questions, and none is open.
    for (const char* word : {"undo", "later", "redo", "skip", "done"}) CHECK_FALSE(has(all, word));
  }

  TEST_CASE("a word's sub-words, and what each of them takes") {
    const Person person;
    CHECK(person.words("station s") == Words{"show", "set"});
    CHECK(person.words("station show l") == Words{"loft"});
    CHECK(has(person.words("station show "), "readings.csv"));
    CHECK(person.words("station rename d") == Words{"dock"});
    CHECK(person.words("station rename dock ").empty());  // a new name is the person's own
    CHECK(has(person.words("station set dock "), "tolerance"));
    CHECK(person.words("station l") == Words{"list", "loft"});  // the bare name takes it into use
    CHECK(person.words("log show dock/") == Words{"dock/2", "dock/1"});
    CHECK(person.words("log note ") == Words{"dock/2", "dock/1", "dock", "loft"});
    CHECK(person.words("log event dock kn") == Words{"knocked"});
    CHECK(person.words("log import readings.csv re") == Words{"readings/", "readings.csv"});
    CHECK(person.words("shims remove f") == Words{"\"foil tape\""});
    CHECK(has(person.words("caliper add pocket d"), "digital"));
    CHECK(person.words("caliper remove p") == Words{"pocket"});
    CHECK(has(person.words("check "), "turn-over"));
    CHECK(has(person.words("check "), "readings/"));
    CHECK(person.words("help si") == Words{"signs"});
    CHECK(person.words("units ") == Words{"mm", "in"});
  }

  TEST_CASE("options of the word, each once, and their values") {
    const Person person;
    CHECK(person.words("check --rail") == Words{"--rail-baseline", "--rail-on-face"});
    CHECK(person.words("plan --pan") == Words{"--panel"});
    CHECK(person.words("plan --panel 600 --pan").empty());
    CHECK(person.words("check --shim paper --shim ") == Words{"\"foil tape\"", "paper"});
    CHECK(person.words("check --shim paper --sh") == Words{"--shim"});  // this one repeats
    CHECK(person.words("check --keep ") == Words{"left", "right"});
    CHECK(person.words("check --station d") == Words{"dock"});
    CHECK(person.words("history --setup m") == Words{"mitre"});
    CHECK(person.words("check --unit ") == Words{"mm", "in"});
    CHECK(person.words("log export --csv ") == Words{"checks", "readings"});
    CHECK(person.words("plan --settle d") == Words{"dock/2", "dock/1"});
    CHECK(has(person.words("find --answer same-strip"), "same-strip=no"));
    CHECK(person.words("find --note rail-o") == Words{"rail-off-dog"});
    CHECK(person.words("check --apart ").empty());  // a length is nobody's list
    // The value of an option is no argument, a flag takes none.
    CHECK(person.words("log --by Lea show dock/") == Words{"dock/2", "dock/1"});
    CHECK(person.words("check --save re") == Words{"readings/", "readings.csv"});
  }

  TEST_CASE("every option that takes a word or a thing offers some, and what it offers is taken") {
    const Person person;
    for (const auto& row : cli::word_rows()) {
      for (const auto& option : row.options) {
        const std::string line = std::string(row.word) + " " + std::string(option.name) + " ";
        CAPTURE(line);
        const std::string value(option.value);
        const bool listed = value == "SIDE" || value == "KIND" || value == "FORM" || value == "CAUSE" ||
                            value == "NAME|FILE" || value == "FILE" || value.find('|') != std::string::npos;
        if (listed) CHECK_FALSE(person.words(line).empty());
        if (value == "LENGTH" || value == "N" || value == "DATE" || value == "TEXT")
          CHECK(person.words(line).empty());
      }
    }
  }

  TEST_CASE("what holds a blank is quoted, and an open quotation goes on") {
    const Person person;
    CHECK(person.words("check tw") == Words{"\"two words.csv\""});
    CHECK(person.words("check \"two w") == Words{"\"two words.csv\""});
    CHECK(person.at("check \"two w").from == 6);
    CHECK(person.at("check 'two w").from == 6);
  }

  TEST_CASE("only what stands before the cursor counts") {
    const Person person;
    const auto found = cli::completed("station show loft", 9, {true, {}, {}});
    CHECK(found.candidates == Words{"show", "set"});
    CHECK(found.from == 8);
  }

  TEST_CASE("at a question its words and those that are understood everywhere") {
    const Person person;
    CHECK(person.at("sc", false, {"screwed", "pushed"}).candidates == Words{"screwed"});
    CHECK(person.at("", false, {"yes", "no"}).candidates ==
          Words{"yes", "no", "undo", "later", "help", "units", "quiet", "quit"});
    CHECK(person.at("e1", false, {"E2", "E10"}).candidates == Words{"E10"});
    CHECK(person.at("help c", false).candidates == Words{"care"});
    CHECK(person.at("check ", false).candidates.empty());  // no command is taken here
    CHECK(person.at("22.7", false, {"done"}).candidates.empty());
  }

  TEST_CASE("the common beginning of several, never half a character") {
    CHECK(cli::common_beginning({"event", "export"}) == "e");
    CHECK(cli::common_beginning({"list"}) == "list");
    CHECK(cli::common_beginning({"a", "b"}) == "");
    CHECK(cli::common_beginning({"nové", "nová"}) == "nov");
  }

  TEST_CASE("a list keeps to the width, and says how many it leaves out") {
    Words many;
    for (int i = 0; i < 140; ++i) many.push_back("readings/check-" + std::to_string(i) + ".csv");
    for (const int width : {20, 40, 81, 200}) {
      const std::string text = cli::candidate_list(many, width);
      std::string line;
      std::size_t widest = 0;
      for (const char c : text.substr(0, text.find("and "))) {
        widest = c == '\n' ? widest : std::max(widest, line.size() + 1);
        line = c == '\n' ? "" : line + c;
      }
      CHECK(widest <= static_cast<std::size_t>(width));
      CHECK(test::holds(text, "check-0.csv"));
      CHECK(test::holds(text, "check-99.csv"));
      CHECK_FALSE(test::holds(text, "check-100.csv"));
      CHECK_FALSE(test::holds(text, "readings/"));
      CHECK(test::holds(text, "and 40 more: type on, then Tab\n"));
    }
    CHECK(cli::candidate_list({"event", "export"}, 80) == "event   export\n");
  }

  TEST_CASE("paths: folders end in a stroke, hidden ones come where their dot is typed") {
    const test::Home home;
    home.write("one.csv", "");
    home.write("other.csv", "");
    home.write(".hidden", "");
    std::filesystem::create_directory(home.path() + "/odd");
    const std::string in = home.path() + "/";
    CHECK(cli::paths_that_begin(in + "o") == Words{in + "odd/", in + "one.csv", in + "other.csv"});
    CHECK(cli::paths_that_begin(in + "on") == Words{in + "one.csv"});
    CHECK(cli::paths_that_begin(in).size() == 3);
    CHECK(cli::paths_that_begin(in + ".") == Words{in + ".hidden"});
    CHECK(cli::paths_that_begin(in + "nowhere/x").empty());
  }
}
