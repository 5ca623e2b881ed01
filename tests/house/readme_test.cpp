// SPDX-License-Identifier: MIT
/// README.md and DEVELOPERS.md cannot drift: console blocks that begin with `$ quarterturn` are run and
/// compared, readings blocks are read, and every path, word, option and name in code that they mention
/// exists.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "cli/options.hpp"
#include "cli/parse.hpp"
#include "support/run_program.hpp"
#include "support/source_tree.hpp"

using namespace quarterturn;

namespace {

std::string text_of(const std::string& name) {
  std::ifstream in(std::string(QUARTERTURN_ROOT "/") + name);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

/// The first group of each match, in order.
std::vector<std::string> all_of(const std::string& text, const char* pattern) {
  const std::regex sought(pattern);
  std::vector<std::string> found;
  for (std::sregex_iterator it(text.begin(), text.end(), sought), end; it != end; ++it)
    found.push_back((*it)[1]);
  return found;
}

/// The contents of the fenced blocks of one kind.
std::vector<std::string> blocks_of(const std::string& text, const std::string& kind) {
  const std::string open = "```" + kind + "\n";
  std::vector<std::string> blocks;
  for (std::size_t at = text.find(open); at != std::string::npos; at = text.find(open, at + 1)) {
    const std::size_t begin = at + open.size(), close = text.find("\n```", begin);
    REQUIRE(close != std::string::npos);
    blocks.push_back(text.substr(begin, close + 1 - begin));
  }
  return blocks;
}

/// The examples name their files from the project's root.
class AtRoot {
 public:
  AtRoot() : before_(std::filesystem::current_path()) { std::filesystem::current_path(QUARTERTURN_ROOT); }
  ~AtRoot() { std::filesystem::current_path(before_); }
  AtRoot(const AtRoot&) = delete;
  AtRoot& operator=(const AtRoot&) = delete;

 private:
  std::filesystem::path before_;
};

}  // namespace

TEST_SUITE("house") {
  TEST_CASE("each console block of README.md prints what it shows") {
    const std::string prompt = "$ quarterturn ";
    const AtRoot at_root;
    int blocks = 0;
    for (const std::string& block : blocks_of(text_of("README.md"), "console")) {
      INFO(block);
      REQUIRE(block.starts_with(prompt));
      const std::size_t end_of_line = block.find('\n');
      const std::string command = block.substr(prompt.size(), end_of_line - prompt.size());
      const test::Home home;
      const auto ran = test::run_program(home, cli::words_of_line(command));
      CHECK(ran.status == 0);
      CHECK(ran.out == block.substr(end_of_line + 1));
      ++blocks;
    }
    CHECK(blocks >= 3);
  }

  TEST_CASE("readings shown in README.md are read as they stand") {
    const AtRoot at_root;
    for (const char* kind : {"csv", "message"}) {
      const auto blocks = blocks_of(text_of("README.md"), kind);
      CHECK(blocks.size() == 1);
      for (const std::string& block : blocks) {
        INFO(block);
        const test::Home home;
        const auto ran =
            test::run_program(home, {"check", "-", "--station", "examples/stations/dock.json"}, block);
        INFO(ran.err);
        CHECK(ran.status == 0);
        CHECK(ran.out.find("the corner is") != std::string::npos);
      }
    }
  }

  TEST_CASE("the program that README.md embeds is the one that is built and run") {
    const auto blocks = blocks_of(text_of("README.md"), "cpp");
    REQUIRE(blocks.size() == 1);
    CHECK(text_of("examples/embed.cpp").find(blocks[0]) != std::string::npos);
  }

  TEST_CASE("every path that the documents name exists") {
    for (const char* name : {"README.md", "DEVELOPERS.md"}) {
      const auto paths = all_of(
          text_of(name),
          R"(((?:src|tests|data|examples|\.ci)/[A-Za-z0-9_./-]*[A-Za-z0-9_]|[A-Z]+\.md|LICENSE|CMake\w+\.\w+))");
      for (const std::string& path : paths) {
        INFO(path);
        CHECK(std::filesystem::exists(std::string(QUARTERTURN_ROOT "/") + path));
      }
      CHECK(paths.size() > 3);
    }
  }

  TEST_CASE("every word and option that README.md names is in the help") {
    const test::Home home;
    const std::string top = test::run_program(home, {"--help"}).out;
    std::string help = top;
    for (const auto& row : cli::word_rows())
      help += test::run_program(home, {std::string(row.word), "--help"}).out;
    const std::string readme = text_of("README.md");
    const char* option = "(--[a-z][a-z-]+)";
    const auto listed = all_of(help, option);
    const std::set<std::string> options(listed.begin(), listed.end());
    for (const std::string& named : all_of(readme, option)) {
      INFO(named);
      CHECK(options.count(named) == 1);
    }
    const auto words = all_of(readme, "`quarterturn ([a-z][a-z -]*[a-z])");
    CHECK(words.size() > 3);
    for (const std::string& named : words) {
      INFO(named);
      CHECK(help.find("quarterturn " + named) != std::string::npos);
    }
  }

  TEST_CASE("every word of the prompt that README.md names is in the prompt's help") {
    const std::string readme = text_of("README.md");
    const std::size_t begin = readme.find("## At the bench"), end = readme.find("\n## ", begin + 1);
    REQUIRE(end != std::string::npos);
    const test::Home home;
    const std::string help = test::run_program(home, {}, "later\nhelp\nquit\n").out;
    const auto words = all_of(readme.substr(begin, end - begin), "`([a-z]+)(?: [0-9]+)?`");
    CHECK(words.size() > 4);
    for (const std::string& word : words) {
      if (word == "quarterturn") continue;
      INFO(word);
      CHECK(std::regex_search(help, std::regex("\\b" + word + "\\b")));
    }
  }

  TEST_CASE("every name in code that DEVELOPERS.md mentions is there") {
    std::string code = text_of("CMakeLists.txt") + text_of("CMakePresets.json");
    for (const char* folder : {"src", "tests"})
      for (const auto& file : test::cpp_files(folder))
        if (file.path != "tests/house/readme_test.cpp") code += file.text;
    const auto names = all_of(text_of("DEVELOPERS.md"), "`-?(?:[A-Za-z]+::)*([A-Za-z_]+)`");
    CHECK(names.size() > 15);
    for (const std::string& name : names) {
      INFO(name);
      CHECK(std::regex_search(code, std::regex("\\b" + name + "\\b")));
    }
  }
}
