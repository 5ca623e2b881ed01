// SPDX-License-Identifier: MIT
/// What a search for the cause says of faults beside it. The figures are invented.
#include <doctest/doctest.h>

#include <map>
#include <set>

#include "support/at_dock.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

namespace {

/// A check that found the corner closed by 0.17 mm over 600 mm.
const std::string kClosed = "check\n600 600\n22.11 22.10 22.11\n22.71 22.71 22.72\n\n525\nyes\n";

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: a fault that does not explain the change is to be put right all the same") {
    const AtDock at;
    keep_good_check(at.home);
    // The corner closed; a rail off its near dog would have opened it.
    const auto talk = run_program(
        at.home, {}, "log event dock knocked\n" + kClosed + "find\nno\nyes\n0.25\nno\nno\nlater\nquit\n");
    const auto text = flat(talk.out);
    CHECK(holds(text, "Now likeliest: a dog is loose."));
    CHECK(holds(
        text,
        "Found besides: the rail is off the near dog, 0.25 mm. Put it right, whatever moved the corner."));
    CHECK(holds(text, "Two more cuts, nothing touched. Then 'more', and 'find' again."));
  }

  TEST_CASE("prompt: a letter twice is one event") {
    const AtDock at;
    keep_good_check(at.home);
    run_program(at.home, {}, kClosed + "find\nkk\n3 days ago\nlater\nquit\n");
    CHECK(count_of(run_program(at.home, {"log", "list"}).out, "knocked") == 1);
    // What is left half way is not kept, and is asked anew.
    const AtDock other;
    keep_good_check(other.home);
    run_program(other.home, {},
                kClosed +
                    "find\nkw\n3 days "
                    "ago\nlater\nquit\n");
    CHECK(count_of(run_program(other.home, {"log", "list"}).out, "knocked") == 0);
    const auto again =
        run_program(other.home, {}, "find\nkw\n3 days ago\nundo\n4 days ago\n2 days ago\nlater\nquit\n");
    CHECK(count_of(again.out, "Kept in the log: ") == 2);
    CHECK(count_of(run_program(other.home, {"log", "list"}).out, "knocked") == 1);
  }

  TEST_CASE("prompt: killed between the two ends of the same strip, find goes on with the second") {
    const AtDock at;
    keep_good_check(at.home);
    // A reading far off that was kept: the first thing is to measure the strip again.
    run_program(at.home, {},
                "check\n600 600\n22.30 22.31 22.30\n22.31 22.30 22.70\nkeep 6\n\n525\nyes\nquit\n");
    const auto killed = run_and_kill(at.home, {}, "find\n\n22.30 22.31\n", 4);
    CHECK(holds(killed.out, "strip 1-5, free end (skip: it is gone)"));
    const auto next = run_program(at.home, {}, "drafts\nfind\n22.31 22.30\nlater\ndrafts\nquit\n");
    CHECK(holds(flat(next.out), "find of dock, begun"));
    CHECK(holds(next.out, "strip 1-5, F end (skip: it is gone): 22.30 22.31"));
    CHECK(holds(flat(next.out), "it reads otherwise."));
    CHECK(holds(next.out, "Nothing is unfinished."));
    CHECK(count_of(run_program(at.home, {"log", "export"}).out, "find: same-strip yes") == 1);
  }

  TEST_CASE("prompt: a cause keeps its letter through a search, though others pass it") {
    const AtDock at;
    keep_good_check(at.home);
    const auto talk = run_program(
        at.home, {}, "log event dock knocked\n" + kClosed + "find\nno\nno\nno\nno\nno\nno\nlater\nquit\n");
    std::map<std::string, char> letters;
    int rows = 0;
    for (auto at_row = talk.out.find("\n- "); at_row != std::string::npos;
         at_row = talk.out.find("\n- ", at_row + 1)) {
      const std::string row = talk.out.substr(at_row + 3, 19);
      if (row.substr(1, 2) != "  ") continue;
      ++rows;
      const auto known = letters.emplace(row.substr(3, 16), row.front()).first;
      CHECK(known->second == row.front());
    }
    CHECK(rows > static_cast<int>(letters.size()));  // some came again
    std::set<char> different;
    for (const auto& [cause, letter] : letters) different.insert(letter);
    CHECK(different.size() == letters.size());
  }

  TEST_CASE("prompt: where no test tells what is left apart, the person may; else it says how to go on") {
    const AtDock at;
    keep_good_check(at.home);
    std::string skips;
    for (int k = 0; k < 12; ++k) skips += "skip\n";
    const auto talk =
        run_program(at.home, {}, "log event dock knocked\n" + kClosed + "find\n" + skips + "quit\n");
    CAPTURE(talk.out);
    CHECK(holds(flat(talk.out), "which was it, by its letter [not known]"));
  }
}
