// SPDX-License-Identifier: MIT
/// Text that is longer than any that is meant: by options and on standard input it is refused or shortened,
/// and nobody is shown all of it.
#include <doctest/doctest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "support/add_dock.hpp"
#include "support/inert_text.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using test::holds;
using test::Home;
using test::run_program;

namespace {

const std::string kRows =
    "panel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73 22.75\n1,1,5,525,22.14 22.13 22.15\n";

std::string readings_with(const std::string& key, const std::string& text) {
  return "# station: dock\n# " + key + ": " + text + "\n# caliper: digital\n" + kRows;
}

void check_screen(const test::Ran& ran) {
  CHECK(test::alive_in(ran.out) == "");
  CHECK(test::alive_in(ran.err) == "");
  CHECK(ran.status != 70);
}

/// Standard input from a file: a pipe would not take so much at once.
test::Ran run_from(const Home& home, const std::string& words, const std::string& file) {
  const std::string out = home.path() + "/out", err = home.path() + "/err";
  const int status =
      std::system(("XDG_DATA_HOME='" + home.path() + "' LC_ALL=C.UTF-8 " QUARTERTURN_PROGRAM " " + words +
                   " <'" + file + "' >'" + out + "' 2>'" + err + "'")
                      .c_str());
  test::Ran ran;
  ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  const auto read = [](const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return std::string{std::istreambuf_iterator<char>(in), {}};
  };
  ran.out = read(out);
  ran.err = read(err);
  return ran;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("hostile text: as long as an option may be, and more of it in several") {
    const Home home;
    test::add_dock(home);
    const std::string file = home.write("in.csv", readings_with("note", "plain"));
    run_program(home, {"check", file, "--save"});
    const std::string longest(131'000, 'm');  // Linux takes 131,071 bytes in one
    std::vector<std::vector<std::string>> typed;
    for (const char* option :
         {"--station", "--setup", "--tolerance", "--caliper", "--panel-size", "--confidence"})
      typed.push_back({"check", file, option, longest});
    for (const char* option : {"--panel", "--spots", "--settle", "--station"})
      typed.push_back({"plan", option, longest});
    for (const char* word :
         {"check", "correct", "survey", "history", "find", "log", "report", longest.c_str()})
      typed.push_back({word, longest});
    typed.push_back({"log", "event", "dock", longest});
    typed.push_back({"log", "note", "dock/1", longest});
    typed.push_back({"log", "amend", "dock/1", "note", longest, "--reason", longest});
    // Eight of them are a megabyte.
    std::vector<std::string> megabyte{"check"};
    for (int i = 0; i < 8; ++i) megabyte.push_back(longest + std::to_string(i));
    typed.push_back(megabyte);
    for (const auto& words : typed) {
      INFO(words[0].substr(0, 20) << " " << words[1].substr(0, 20) << " "
                                  << (words.size() > 2 ? words[2].substr(0, 20) : ""));
      const auto ran = run_program(home, words);
      CHECK(ran.status >= 0);
      CHECK(ran.status != 127);
      CHECK(ran.out.size() + ran.err.size() < 8000);
      check_screen(ran);
    }
    const auto page = run_program(home, {"report", "dock/1", "--output", home.path() + "/page.html"});
    CHECK(page.status == 0);
    check_screen(run_program(home, {"log", "show", "dock/1"}));
  }

  TEST_CASE("hostile text: a megabyte on standard input") {
    const Home home;
    test::add_dock(home);
    const std::string megabyte(1 << 20, 'm');
    for (const std::string& content :
         {megabyte, "# note: " + megabyte + "\n" + kRows, readings_with("by", megabyte), kRows + megabyte,
          std::string(1 << 20, ','), std::string(1 << 20, '\n'), std::string(1 << 20, '"')}) {
      const std::string file = home.write("megabyte", content);
      for (const char* words : {"check - --station dock --save", "survey -"}) {
        INFO(words << " " << content.substr(0, 20));
        const auto ran = run_from(home, words, file);
        CHECK(ran.status == 3);
        CHECK(ran.err.size() < 3000);
        check_screen(ran);
      }
    }
    // A line of it at the prompt: told, and the prompt goes on.
    const auto ran = run_from(home, "", home.write("lines", megabyte + "\nunits in\nquit\n"));
    CHECK(ran.status == 0);
    CHECK(ran.out.size() < 8000);
    CHECK(holds(ran.out, "Inches"));
    check_screen(ran);
  }
}
