// SPDX-License-Identifier: MIT
/// README.md cannot drift: every console block that begins with `$ quarterturn` is run and compared, every
/// path that README.md and DEVELOPERS.md name exists.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>
#include <string>

#include "cli/parse.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;

namespace {

std::string text_of(const std::string& name) {
  std::ifstream in(std::string(QUARTERTURN_ROOT "/") + name);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
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
    const std::string readme = text_of("README.md");
    const std::string open = "```console\n$ quarterturn ";
    const AtRoot at_root;
    int blocks = 0;
    for (std::size_t at = readme.find(open); at != std::string::npos; at = readme.find(open, at + 1)) {
      const std::size_t line = at + open.size(), end_of_line = readme.find('\n', line);
      const std::size_t close = readme.find("```", end_of_line);
      REQUIRE(close != std::string::npos);
      const std::string command = readme.substr(line, end_of_line - line);
      const std::string shown = readme.substr(end_of_line + 1, close - end_of_line - 1);
      INFO(command);
      const test::Home home;
      const auto ran = test::run_program(home, cli::words_of_line(command));
      CHECK(ran.status == 0);
      CHECK(ran.out == shown);
      ++blocks;
    }
    CHECK(blocks >= 3);
  }

  TEST_CASE("every path that the documents name exists") {
    const std::regex path(R"((?:src|tests|data|examples|\.ci)/[A-Za-z0-9_./-]*[A-Za-z0-9_])");
    for (const char* name : {"README.md", "DEVELOPERS.md"}) {
      const std::string text = text_of(name);
      REQUIRE(!text.empty());
      int paths = 0;
      for (auto it = std::sregex_iterator(text.begin(), text.end(), path); it != std::sregex_iterator();
           ++it) {
        const std::string found = it->str();
        INFO(found);
        CHECK(std::filesystem::exists(std::string(QUARTERTURN_ROOT "/") + found));
        ++paths;
      }
      CHECK(paths > 3);
    }
  }

  TEST_CASE("every option that README.md names is in the help of a word") {
    const test::Home home;
    std::string help = test::run_program(home, {"--help"}).out;
    for (const char* word : {"check", "correct", "station", "shims", "caliper"}) {
      help += test::run_program(home, {word, "--help"}).out;
    }
    const std::string readme = text_of("README.md");
    const std::regex option(R"(--[a-z][a-z-]+)");
    for (auto it = std::sregex_iterator(readme.begin(), readme.end(), option); it != std::sregex_iterator();
         ++it) {
      INFO(it->str());
      CHECK(help.find(it->str()) != std::string::npos);
    }
  }
}
