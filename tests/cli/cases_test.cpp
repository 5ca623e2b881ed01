// SPDX-License-Identifier: MIT
// Each file of tests/cases is one run of the program: a first line that says what it shows, then
//   command: the words after `quarterturn`, quoted as in a shell
//   input:   standard input, up to the line `status: N`
//   begins: / has: / lacks: / error:   what standard output begins with, holds, does not hold; what standard
//   error holds
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include "cli/parse.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;

namespace {

struct Case {
  std::string name, command, input;
  int status = -1;
  std::vector<std::pair<std::string, std::string>> wants;
};

Case read_case(const std::filesystem::path& path) {
  std::ifstream in(path);
  Case made;
  made.name = path.filename().string();
  std::string line;
  std::getline(in, line);
  bool in_input = false;
  while (std::getline(in, line)) {
    const auto colon = line.find(": ");
    const std::string key = line.substr(0, colon == std::string::npos ? line.size() : colon);
    const std::string value = colon == std::string::npos ? "" : line.substr(colon + 2);
    if (key == "status") {
      made.status = std::stoi(value);
      in_input = false;
    } else if (in_input) {
      made.input += line + "\n";
    } else if (key == "command") {
      made.command = value;
    } else if (line == "input:") {
      in_input = true;
    } else if (!line.empty()) {
      made.wants.emplace_back(key, value);
    }
  }
  return made;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("the cases of tests/cases") {
    int cases = 0;
    for (const auto& entry : std::filesystem::directory_iterator(QUARTERTURN_ROOT "/tests/cases")) {
      if (entry.path().extension() != ".case") continue;
      const auto wanted = read_case(entry.path());
      CAPTURE(wanted.name);
      ++cases;
      REQUIRE(!wanted.wants.empty());
      const test::Home home;
      const auto ran = test::run_program(home, cli::words_of_line(wanted.command), wanted.input);
      CHECK(ran.status == wanted.status);
      for (const auto& want : wanted.wants) {
        const auto& key = want.first;
        const auto& value = want.second;
        CAPTURE(value);
        if (key == "begins")
          CHECK_MESSAGE(ran.out.starts_with(value), ran.out);
        else if (key == "has")
          CHECK_MESSAGE(ran.out.find(value) != std::string::npos, ran.out);
        else if (key == "lacks")
          CHECK(ran.out.find(value) == std::string::npos);
        else if (key == "error")
          CHECK_MESSAGE(ran.err.find(value) != std::string::npos, ran.err);
        else
          FAIL("unknown line: ", key);
      }
    }
    CHECK(cases >= 5);
  }
}
