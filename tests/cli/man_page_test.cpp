// SPDX-License-Identifier: MIT
/// Man pages say what --help says, and are read by man without a complaint.
#include "cli/man_page.hpp"

#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>
#include <regex>
#include <set>
#include <string>

#include "cli/options.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;

namespace {

/// The page as it is read: without roff.
std::string plain(const std::string& page) {
  std::string text = std::regex_replace(page, std::regex("\\\\f[BIR]"), "");
  text = std::regex_replace(text, std::regex("\\\\-"), "-");
  text = std::regex_replace(text, std::regex("\\\\&"), "");
  return std::regex_replace(text, std::regex("\\\\e"), "\\");
}

std::set<std::string> options_in(const std::string& text) {
  std::set<std::string> found;
  static const std::regex option("--[a-z][a-z-]*");
  for (std::sregex_iterator it(text.begin(), text.end(), option), end; it != end; ++it)
    found.insert(it->str());
  return found;
}

/// Blanks and line breaks count alike, and help breaks lines at another place.
std::string run_together(const std::string& text) {
  return std::regex_replace(text, std::regex("\\s+"), " ");
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("a man page has all that help has: options with their words, usages, examples, exit status") {
    const test::Home home;
    for (const auto& row : cli::word_rows()) {
      INFO(row.word);
      const std::string word(row.word), help = test::run_program(home, {word, "--help"}).out;
      const auto ran = test::run_program(home, {"--man-page", word});
      REQUIRE(ran.status == 0);
      const std::string page = plain(ran.out), joined = run_together(page);
      auto named = options_in(page);
      named.erase("--man-page");  // in the comment
      auto wanted = options_in(help);
      wanted.insert("--require");  // in the exit status, which a word's help leaves to the program's
      CHECK(named == wanted);
      for (const auto& option : row.options)
        CHECK(joined.find(std::string(option.name) + (option.value.empty() ? "" : " ") +
                          std::string(option.value) + " " + std::string(option.help)) != std::string::npos);
      for (const auto& example : row.examples)
        CHECK(page.find("\n" + std::string(example) + "\n") != std::string::npos);
      if (row.names != nullptr) CHECK(page.find(row.names()) != std::string::npos);
      CHECK(page.find(row.summary) != std::string::npos);
    }
    const std::string page = plain(test::run_program(home, {"--man-page", "quarterturn"}).out);
    const std::string help = test::run_program(home, {"--help"}).out;
    auto wanted = options_in(help);
    for (const auto& option : options_in(page)) CHECK(wanted.count(option) == 1);
    for (const auto& row : cli::word_rows()) {
      CHECK(page.find("\n" + std::string(row.word) + "\n" + std::string(row.summary)) != std::string::npos);
    }
    for (const auto& row : cli::exit_rows()) {
      CHECK(page.find(".TP\n" + std::to_string(row.status) + "\n" + std::string(row.means) + "\n") !=
            std::string::npos);
      CHECK(help.find(std::to_string(row.status) + " " + std::string(row.means)) != std::string::npos);
    }
  }

  TEST_CASE("a page that is none") {
    const test::Home home;
    const auto ran = test::run_program(home, {"--man-page", "chek"});
    CHECK(ran.status == 2);
    CHECK(ran.err.find("--man-page is 'chek', but must be quarterturn, check,") != std::string::npos);
    CHECK(ran.out.empty());
  }

  TEST_CASE("roff takes the pages without a warning, and lines that begin with a dot or a quote are text") {
    cli::WordRow row{
        "check", "'tis .so", {"FILE"}, {{"--odd", "X", ".5 of a \\ and 'more'"}}, {"quarterturn x"}};
    const std::string page = cli::man_page(&row);
    CHECK(page.find("\n\\&.5 of a \\e and 'more'\n") != std::string::npos);
    if (std::system("command -v groff >/dev/null 2>&1") != 0) return;
    const test::Home home;
    for (const auto& name : {std::string("quarterturn"), std::string("log"), std::string("find")}) {
      const auto file = home.write("page.1", cli::man_page_named(name));
      const std::string command = "groff -man -Tutf8 -K utf8 -ww " + file + " 2>&1 >/dev/null";
      FILE* pipe = ::popen(command.c_str(), "r");
      REQUIRE(pipe != nullptr);
      char buffer[256];
      const std::string said(buffer, std::fread(buffer, 1, sizeof buffer, pipe));
      ::pclose(pipe);
      CHECK(said == "");
    }
  }
}
