// SPDX-License-Identifier: MIT
/// Drawings where a person meets them: 'correct', the prompt, README; in words with --plain, in colour only
/// where it is wanted.
#include <doctest/doctest.h>

#include <fstream>
#include <sstream>

#include "support/drawn.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using namespace quarterturn::test;

namespace {

const std::string kRoot = QUARTERTURN_ROOT;
const std::string kFirst = kRoot + "/examples/readings/dock-first.csv";
const std::string kDock = kRoot + "/examples/stations/dock.json";

std::string readme() {
  std::ifstream in(kRoot + "/README.md");
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

/// From the title of the table's drawing to the end of its paragraph.
std::string table_in(const std::string& text) {
  const auto at = text.find("The table from above");
  if (at == std::string::npos) return "";
  return text.substr(at, text.find("\n\n", at) + 1 - at);
}

std::string at_prompt(const std::string& lines, const std::vector<std::string>& options = {}) {
  const Home home;
  run_program(home, {"station", "add", kDock});
  return run_program(home, options, lines).out;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("correct: the table from above comes after the instruction, and README shows it") {
    const Home home;
    const auto ran = run_program(home, {"correct", kFirst, "--station", kDock});
    const std::string table = table_in(ran.out);
    CHECK(count_of(table, "●") == 5);  // four dogs, one in the key
    CHECK(ran.out.find("3 layers of foil tape on the FAR") < ran.out.find(table));
    CHECK(ran.out.find(table) < ran.out.find("Ways to correct"));
    CHECK(holds(readme(), "```text\n" + table + "```\n"));
    // Nothing is drawn that is not to be moved, nor where no hole is known.
    const auto within =
        run_program(home, {"correct", kRoot + "/examples/readings/dock-after-foil.csv", "--station", kDock});
    CHECK(table_in(within.out).empty());
  }

  TEST_CASE("correct in ASCII and in words") {
    const Home home;
    const auto ascii = run_program(home, {"correct", kFirst, "--station", kDock}, "", "", "C");
    CHECK(count_of(table_in(ascii.out), "@") == 5);
    check_form(ascii.out, 80, false);
    const auto plain = run_program(home, {"correct", kFirst, "--station", kDock, "--plain"});
    CHECK(holds(plain.out, "The table from above, in words: you stand in front."));
    CHECK(holds(plain.out, "The move: 0.21 mm to the right, a shim between the dog in E10 and the rail."));
    CHECK_FALSE(holds(plain.out, "●"));
  }

  TEST_CASE("prompt: 'correct' and 'why' draw the table, a corner within does not") {
    const std::string check = "check " + kFirst + "\n";
    const std::string why = at_prompt(check + "why\nquit\n");
    CHECK(why.find("leans to your left") < why.find("The table from above"));
    const std::string correct = at_prompt(check + "correct\n0\nlater\nquit\n");
    CHECK(correct.find("on the FAR rail dog") < correct.find("The table from above"));
    CHECK(correct.find("The table from above") < correct.find("done / differently / later"));
    const std::string within =
        at_prompt("check " + kRoot + "/examples/readings/dock-after-foil.csv\nwhy\nquit\n");
    CHECK_FALSE(holds(within, "The table from above"));
  }

  TEST_CASE("prompt: the cuts are drawn, and in words with --plain") {
    const std::string lines = "check\n600 600\nlater\nquit\n";
    CHECK(holds(at_prompt(lines), "═ fence, ║ rail"));
    const std::string plain = at_prompt(lines, {"--plain"});
    CHECK(holds(plain, "Turned a quarter turn to the left before each further cut"));
    for (const char* mark : {"═", "║", "┌"}) CHECK_FALSE(holds(plain, mark));
  }

  TEST_CASE("colour: none through a pipe, some when it is asked for, and the same words") {
    const Home home;
    for (const char* word : {"check", "correct"}) {
      const auto run = [&](const std::vector<std::string>& more) {
        std::vector<std::string> all{word, kFirst, "--station", kDock};
        all.insert(all.end(), more.begin(), more.end());
        return run_program(home, all).out;
      };
      const std::string bare = run({});
      CHECK_FALSE(holds(bare, "\x1b"));
      CHECK(run({"--color", "auto"}) == bare);
      CHECK(run({"--color", "never"}) == bare);
      const std::string colored = run({"--color", "always"});
      CHECK(holds(colored, "OUTSIDE (provisional)\x1b[0m"));
      CHECK(without_color(colored) == bare);
      CHECK_FALSE(holds(run({"--color", "always", "--json"}), "\x1b"));
    }
  }
}
