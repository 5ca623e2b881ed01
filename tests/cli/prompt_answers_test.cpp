// SPDX-License-Identifier: MIT
#include <doctest/doctest.h>

#include "support/run_program.hpp"
#include "support/talk.hpp"

using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::run_program;

namespace {

/// The invented station `dock`, described as a person would.
const std::string kDescribe =
    "dock\n\n\n9 11\nE2\nE10\nright\nA9\nD9\n\n\n\n\ndigital\nfoil tape 8 layers 0.56\n";
const std::string kSixReadings = "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n\n";

/// A check without a station where neither log nor anything else can be written.
quarterturn::test::Ran talk_without_disk(const Home& home, const std::string& readings) {
  const std::string file = home.write(".local", "a file where a folder would have to be");
  return run_program(home, {"--log", file + "/log.db"}, "later\ncheck\n600 600\n" + readings);
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: undo at the distance takes back the last reading, not the strip") {
    const Home home;
    const auto talk =
        run_program(home, {}, kDescribe + kSixReadings + "undo\n22.16\n\n525\nyes\nwhy\nquit\n");
    CHECK(holds(flat(talk.out), "Reading 6 taken back."));
    CHECK(holds(flat(talk.out), "6: free end 22.16 mm"));
    CHECK(holds(flat(talk.out), "fence end 22.740 mm, free end 22.143 mm"));
  }

  TEST_CASE("prompt: undo at F and X goes back to the distance, from its ends to F and X") {
    const Home home;
    const auto talk =
        run_program(home, {}, kDescribe + kSixReadings + "500\nundo\n525\nno\nundo\nyes\nwhy\nquit\n");
    CHECK(holds(flat(talk.out), " 500 mm apart"));
    CHECK(holds(flat(talk.out), "mm between the two measured places [500 mm]"));
    CHECK(holds(flat(talk.out), "wider at the fence end on 525 mm"));
    CHECK(count_of(talk.out, "F at the fence in cut 5, and X up every time?") == 3);
  }

  TEST_CASE("prompt: quit with readings that are nowhere on disk asks once, and no stays") {
    const Home home;
    const auto talk = talk_without_disk(home,
                                        "22.74 22.73 22.75\n22.14\nquit\n\n22.13 22.15\n\n"
                                        "quit\nno\n525\nyes\nquit\n");
    CHECK(talk.status == 0);
    CHECK(holds(flat(talk.out), "What you type is NOT on disk until the check is done."));
    CHECK(holds(flat(talk.out), "That loses the 4 readings of this strip. Quit all the same? [no]"));
    CHECK(holds(flat(talk.out), "That loses the 6 readings of this strip."));
    CHECK(holds(flat(talk.out), "5: free end 22.13 mm"));
    CHECK(holds(flat(talk.out), "0.17"));
    CHECK(count_of(talk.out, "That loses") == 2);  // nothing is at stake when the strip is done
  }

  TEST_CASE("prompt: quit is meant when it is said again, or when nothing more comes") {
    const Home home;
    for (const char* answer : {"yes\n22.75\n", "quit\n22.75\n", ""}) {
      const auto talk = talk_without_disk(home, std::string("22.74\nquit\n") + answer);
      CHECK(talk.status == 0);
      CHECK(talk.err.empty());
      CHECK(holds(flat(talk.out), "That loses the reading of this strip. Quit all the same?"));
      CHECK_FALSE(holds(flat(talk.out), "2: F end"));
    }
    const auto later = talk_without_disk(home, "22.74\nlater\nundo\n22.75\nlater\ny\nquit\n");
    CHECK(holds(flat(later.out), "That loses the reading of this strip. Leave it all the same?"));
    CHECK(holds(flat(later.out), "2: F end 22.75 mm"));
    CHECK(holds(flat(later.out), "Left for later"));
  }

  TEST_CASE("prompt: a word typed at a question is told to wait") {
    const Home home;
    const auto talk =
        run_program(home, {},
                    "dock\nstation\n\n\nmore\n9 11\nways\nE2\nE10\nCheck\nright\nA9\nD9\n\n\n\n\n"
                    "digital\nnone\ncheck\ncorrect\n600 600\nwhy\n22.74 22.73 22.75\n"
                    "22.14 22.13 22.15\n\nredo 2\n525\nstation list\nyes\nquit\n");
    for (const char* word : {"station", "more", "ways", "check", "correct", "why", "redo"})
      CHECK_MESSAGE(holds(flat(talk.out), "'" + std::string(word) + "' has to wait"), word);
    CHECK_FALSE(holds(flat(talk.out), "is 'why'"));
    CHECK_FALSE(holds(flat(talk.out), "is 'more'"));
    CHECK(holds(flat(talk.out), "OUTSIDE"));
  }

  TEST_CASE("prompt: a station may have a word's name, and a question's own words are its own") {
    const Home home;
    const auto talk =
        run_program(home, {},
                    "why" + kDescribe.substr(4) +
                        "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15 \n\nkeep 9\nquit\n");
    CHECK(holds(flat(talk.out), "Station why is kept."));
    const auto second = run_program(home, {}, "station add\n" + kDescribe + "quit\n");
    CHECK(holds(flat(second.out), "Station dock is kept."));
    const auto which = run_program(home, {}, "why\nquit\n");
    CHECK(holds(flat(which.out), "Station why."));
    const auto keep = run_program(home, {}, "why\ncheck\n600 600\n22.74\nkeep 9\nlater\ny\nquit\n");
    CHECK(holds(flat(keep.out), "number of the reading is '9'"));
    CHECK_FALSE(holds(flat(keep.out), "has to wait"));
  }

  TEST_CASE("prompt: Enter where no answer stands in brackets says what is wanted") {
    const Home home;
    const auto talk =
        run_program(home, {},
                    "\ndock\n\n\n\n9 11\n\nE2\nE10\n\nright\nA9\nD9\n\n\n\n\ndigital\nnone\n"
                    "check\n\n600 600\n\n22.74 22.73 22.75\n22.14 22.13 22.15\n\n\n525\nno\n\ns\nquit\n");
    CHECK(holds(flat(talk.out), "station name is empty, but must be"));
    CHECK(holds(flat(talk.out), "columns, rows is empty, but must be two whole numbers"));
    CHECK(holds(flat(talk.out), "hole is empty, but must be"));
    CHECK(holds(flat(talk.out), "answer is missing, but must be left or right"));
    CHECK(holds(flat(talk.out), "panel is missing, but must be"));
    CHECK(holds(flat(talk.out), "F end is without a reading, but must have one: the strip's width there"));
    CHECK(holds(flat(talk.out), "distance is missing, but must be given, such as 525"));
    CHECK(holds(flat(talk.out), "answer is missing, but must be s or x"));
  }

  TEST_CASE("prompt: choices and words are taken in any case, and a doubtful beginning is not") {
    const Home home;
    const auto talk =
        run_program(home, {},
                    "dock\n\n\n9 11\nE2\nE10\nRight\nA9\nD9\nBefore\nLEFT\nScrewed\n\nDigital\nNone\n"
                    "Check\n600 600\n22.74 22.99\nUndo\n22.73 22.75\n22.14 22.13 22.15\nSkip\n525\nNo\n"
                    "S\nCorrect\n0\nSkip\nD\nDone\nStation Show\nHelp Care\nQuit\n");
    CHECK(talk.status == 0);
    CHECK(holds(flat(talk.out), "Station dock is kept."));
    CHECK(holds(flat(talk.out), "before the fence"));
    CHECK(holds(flat(talk.out), "Reading 2 taken back."));
    CHECK(holds(flat(talk.out), "Ends swapped."));
    CHECK(holds(flat(talk.out), "answer is 'D', but must be done, differently or later"));
    CHECK(holds(flat(talk.out), "Noted. All four edges are now old"));
    CHECK(count_of(talk.out, "Eye and hearing protection") == 2);
  }
}
