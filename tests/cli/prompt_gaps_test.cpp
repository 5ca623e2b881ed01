// SPDX-License-Identifier: MIT
/// Guided tests that read gaps, as somebody at the bench answers them.
#include <doctest/doctest.h>

#include <fcntl.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <sstream>
#include <thread>

#include "files/station_file.hpp"
#include "report/amounts.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"
#include "support/source_tree.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using test::count_of;
using test::flat;
using test::holds;
using test::Home;
using test::run_program;

namespace {

std::string example(const std::string& station) {
  return QUARTERTURN_ROOT "/examples/stations/" + station + ".json";
}

/// What the prompt says to these lines, about an invented station of the examples.
std::string talk(const Home& home, const std::string& station, const std::string& lines,
                 const std::vector<std::string>& options = {}) {
  run_program(home, {"station", "add", example(station)});
  const auto ran = run_program(home, options, lines);
  CHECK(ran.status == 0);
  CHECK(ran.err.empty());
  return ran.out;
}

/// The first sentence of an answer.
std::string answer_in(const std::string& text) {
  const std::string one = flat(text);
  for (const char* word : {"OUTSIDE", "WITHIN", "CANNOT TELL YET"}) {
    const auto at = one.find(word);
    if (at != std::string::npos) return one.substr(at, one.find("allowed", at) - at);
  }
  return "";
}

std::string from_file(const Home& home, const std::string& rows, const std::string& station) {
  return run_program(home, {"check", home.write("gaps.csv", rows), "--station", station, "--no-log"}).out;
}

/// What is shown on a terminal so many columns wide.
std::string on_terminal(const Home& home, unsigned short columns, const std::string& lines) {
  const int master = ::posix_openpt(O_RDWR | O_NOCTTY);
  REQUIRE(master >= 0);
  REQUIRE(::grantpt(master) == 0);
  REQUIRE(::unlockpt(master) == 0);
  const std::string name = ::ptsname(master);
  const int held = ::open(name.c_str(), O_RDWR | O_NOCTTY);  // else the end of the program ends the terminal
  winsize size{};
  size.ws_col = columns;
  size.ws_row = 24;
  REQUIRE(::ioctl(held, TIOCSWINSZ, &size) == 0);
  std::string shown;
  std::thread reader([&] {
    char part[4096];
    for (;;) {
      const auto got = ::read(master, part, sizeof part);
      if (got <= 0) return;
      shown.append(part, static_cast<std::size_t>(got));
    }
  });
  run_program(home, {}, lines, name);
  ::close(held);
  reader.join();
  ::close(master);
  std::erase_if(shown, [](char c) { return c == '\r' || c == '\a'; });
  return shown;
}

const std::string kPair = "check pair\nskip\n0.30 0.35\n0\n0.15\n500\n\n";

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: a pair is told step by step and answered as its file is, and kept") {
    const Home home;
    const std::string said = talk(home, "dock", kPair + "quit\n");
    CHECK(holds(said, "Feeler leaves are sharp"));
    CHECK(holds(flat(said), "Turn B over about its cut edge, like a page: X down."));
    CHECK(holds(said, "┌───1───F║──┐"));
    CHECK(holds(said, "gap, F end ▸"));
    CHECK(holds(said, "2: F end 0.35 mm"));
    CHECK(holds(said, "3: free end 0.00 mm, closed"));
    CHECK(holds(said, "another pair? [no]"));
    CHECK(holds(said, "Saved as check dock/1."));
    const std::string file = from_file(home,
                                       "# test: turn-over\n# form: pair\npanel,position,gap\n"
                                       "1,0,0.30 0.35\n1,250,0.15\n1,500,0\n",
                                       "dock");
    REQUIRE(!answer_in(file).empty());
    CHECK(answer_in(said) == answer_in(file));
    const auto exported = run_program(home, {"log", "show", "dock/1"});
    CHECK(holds(exported.out, "turn-over"));
  }

  TEST_CASE("prompt: cautions, steps and drawing come before the first gap is asked for") {
    const Home home;
    const std::string said = talk(home, "dock", kPair + "check pair\nskip\nlater\nquit\n");
    const auto first = said.find("gap, F end");
    CHECK(said.find("Eye and hearing protection") < first);
    CHECK(said.find("Push A and B to the fence") < first);
    CHECK(said.find("B turned over") < first);
    CHECK(count_of(said, "Eye and hearing protection") == 1);  // the second time they are known
    CHECK(count_of(said, "Unplug the saw before you touch dogs or rail; blade stopped") == 1);
  }

  TEST_CASE("prompt: another pair belongs to the same check, at once or by more") {
    const Home home;
    const std::string rows =
        "# test: turn-over\n# form: pair\npanel,position,gap\n1,0,0.3\n1,500,0\n2,0,0.2\n2,500,0\n";
    const std::string at_once =
        talk(home, "dock", "check pair\nskip\n0.3\n0\n\n500\nyes\n0.2\n0\n\n\n\nquit\n");
    CHECK(holds(at_once, "pair 2, gap, F end"));
    const Home other;
    const std::string later =
        talk(other, "dock", "check pair\nskip\n0.3\n0\n\n500\n\nmore\n0.2\n0\n\n\n\nquit\n");
    CHECK(holds(later, "Measured on, kept as check dock/1."));
    const std::string both = answer_in(from_file(home, rows, "dock"));
    REQUIRE(!both.empty());
    CHECK(answer_in(at_once) == both);
    CHECK(answer_in(later.substr(later.find("▸ more"))) == both);
    CHECK(holds(run_program(other, {"log", "verify"}).out, "1 check"));
  }

  TEST_CASE("prompt: halves are one board turned end for end") {
    const Home home;
    const std::string said =
        talk(home, "dock", "check halves\n900 x 400\n0.3\n0\n\n\n\n0.1\n0.05\n\n\nmore\nlater\nquit\n");
    CHECK(holds(said, "mm between the two measured places [360 mm]"));
    CHECK(holds(said, "the same board turned end for end? [yes]"));
    CHECK(holds(said, "joint 2, gap, F end"));
    const std::string rows =
        "# test: turn-over\n# form: halves\n# panel-size: 900 x 400\npanel,position,gap\n"
        "1,0,0.3\n1,360,0\n2,0,0.1\n2,360,0.05\n";
    CHECK(answer_in(said) == answer_in(from_file(home, rows, "dock")));
    CHECK(holds(said.substr(said.find("▸ more")), "Another board, cut and laid as the first one."));
    // The board lies with its long edge at the fence: that it is longer than the way to the rail dog is
    // right.
    CHECK_FALSE(holds(flat(said), "are free between near rail dog and fence"));
  }

  TEST_CASE("prompt: a frame takes the setup whose mitre closes with its pieces") {
    const Home home;
    const std::string said = talk(home, "tour", "check frame\n6\n\n0.3\n0\n\n10\n60\nquit\n");
    CHECK(holds(flat(said),
                "pieces is '6', but must be as many as close with a mitre of this station. Hint: mitre (4)"));
    CHECK(holds(said, "number of pieces of the frame [4]"));
    CHECK(holds(said, "Setup mitre."));
    CHECK(holds(said, "gap, outer end (F) ▸"));
    CHECK(holds(said, "must be from 20 mm to 10 m"));
    CHECK(holds(said, "Saved as check tour/1."));
    const std::string rows =
        "# test: frame\n# setup: mitre\n# pieces: 4\nring,position,gap\n1,0,0.3\n1,60,0\n";
    CHECK(answer_in(said) == answer_in(from_file(home, rows, "tour")));
    CHECK_FALSE(holds(said, "places only 60"));
  }

  TEST_CASE("prompt: what a test cannot tell is refused before anybody cuts") {
    const Home home;
    const std::string none = talk(home, "dock", "check frame\nquit\n");
    CHECK(holds(flat(none), "station is 'dock', but must be one with a mitre setup for a frame"));
    CHECK_FALSE(holds(none, "Care."));
    const Home mitre;
    auto tour = test::dock();
    tour.setups.begin()->second.nominal_deg = 45;
    tour.setups.begin()->second.rail.first.hole = station::parse_hole("C1");
    tour.setups.begin()->second.rail.second.hole = station::parse_hole("H6");
    run_program(mitre, {"station", "add", mitre.write("dock.json", files::write_station(tour))});
    const std::string said = run_program(mitre, {}, "check pair\ncheck rail\ncheck halves\nquit\n").out;
    CHECK(count_of(flat(said), "one of 90 degrees for a turn-over test") == 2);
    CHECK(count_of(flat(said), "one of 90 degrees for a rail test") == 1);
    CHECK_FALSE(holds(said, "Care."));
  }

  TEST_CASE("prompt: a rail test needs all three places and moves no dog") {
    const Home home;
    const std::string said =
        talk(home, "dock", "check rail\n0.4\n\n0\n0.4\n100\n\ncorrect\nways\nwhy\nmore\nquit\n");
    CHECK(holds(flat(said), "middle is without a reading, but must have one"));
    CHECK(holds(said, "must be from 200 mm to 10 m"));
    CHECK(holds(said, "mm between the two measured places [1360 mm]"));
    CHECK(holds(said, "The rail's edge is crowned by 0.20 ± "));
    CHECK(holds(said, "Saved as check dock/1."));
    CHECK(holds(said, "A rail test moves no dog"));
    CHECK(holds(said, "there is no dog to move by it"));
    CHECK(holds(flat(said), "0.400 mm at 0 mm, 0.000 mm at 680 mm, 0.400 mm at 1360 mm"));
    CHECK(holds(said, "An S shape cancels and is not seen."));
    CHECK(holds(said, "a rail test is read at once"));
  }

  TEST_CASE("prompt: undo goes back over the gaps one by one, and past the first one nowhere") {
    const Home home;
    const std::string said = talk(home, "dock",
                                  "check pair\nskip\nundo\n0.30 0.35\nundo\n\n0\n\nundo\n0.05\n\n500\nundo\n"
                                  "450\n\nwhy\nquit\n");
    CHECK(count_of(said, "Nothing to take back.") == 1);
    CHECK(holds(said, "Reading 2 taken back."));
    CHECK(holds(said, "gap, F end, reading 2 [done]"));
    CHECK(holds(flat(said), "fence end 0.300 mm, free end 0.050 mm"));
    CHECK(holds(said, "on 450 mm"));
  }

  TEST_CASE("prompt: a wrong key, a width and a doubtful gap") {
    const Home home;
    const std::string said =
        talk(home, "dock", "check pair\nskip\nx\n22.74\n\n0.15 0.40\n0\n\nredo 2\n0.15\n500\n\nquit\n");
    CHECK(holds(said, "gap is 'x', but must be a number"));
    CHECK(holds(said, "reading is '22.74', but must be a gap from 0 (closed) to 20 mm"));
    CHECK(holds(flat(said),
                "F end is without a reading, but must have one: the gap there, 0 where it is closed"));
    CHECK(holds(said, "2: F end 0.40 mm  ? off by 0.25 mm"));
    CHECK(holds(said, "keep 1 or redo 1"));
    CHECK(holds(said, "Saved as check dock/1."));
  }

  TEST_CASE("prompt: later in the second pair loses neither") {
    const Home home;
    const std::string said =
        talk(home, "dock",
             "check pair\nskip\n0.3\n0\n\n500\nyes\n0.2\nlater\ndrafts resume 1\n0\n\n\nno\ndrafts\nquit\n");
    CHECK(holds(said, "Left for later: 'drafts' goes on with it."));
    CHECK(holds(said, "pair 2, gap, F end: 0.2"));
    CHECK(count_of(said, "Saved as check dock/1.") == 1);
    CHECK(holds(said, "Nothing is unfinished."));
    const auto kept = run_program(home, {"log", "export", "--csv", "readings"}).out;
    for (const char* gap : {",0.3,0.3,", ",0.2,0.2,"}) CHECK(count_of(kept, gap) == 1);
  }

  TEST_CASE("prompt: an unknown form, one of another test, and options in place of the word") {
    const Home home;
    const std::string said =
        talk(home, "dock",
             "check --test turn-over --form pears\ncheck frame --form pair\n"
             "check pair --pieces 4\ncheck rail --test frame\ncheck frame --form shared\n"
             "check --test turn-over --form halves\nlater\ncheck ./rail\nquit\n");
    CHECK(holds(flat(said), "--form is 'pears', but must be pair, halves, separate or shared."));
    CHECK(holds(flat(said), "--form is 'pair', but must be left out"));
    CHECK(holds(said, "only a frame has pieces"));
    CHECK(holds(said, "the test is named twice"));
    CHECK(holds(flat(said), "A frame with shared cuts is read from a FILE"));
    CHECK(holds(said, "How big is the board, along the fence x along the cut"));
    CHECK(holds(said, "./rail"));  // a file, which is not there
    const auto piped = run_program(home, {"check", "rail"}, "");
    CHECK(piped.status == 2);
    CHECK(holds(piped.err, "'rail' is told step by step on a terminal"));
  }

  TEST_CASE("prompt: the same gaps read again after something was moved are a test of their own") {
    const Home home;
    const std::string lines = "check pair\nskip\n0.05\n0\n\n500\n\n";
    talk(home, "dock", lines + "quit\n");
    run_program(home, {"log", "event", "dock", "moved"});
    std::this_thread::sleep_for(std::chrono::milliseconds(1100));
    const std::string again = run_program(home, {}, lines + "quit\n").out;
    CHECK(holds(again, "Saved as check dock/2."));
  }

  TEST_CASE("prompt: every line of every gap test fits 40 columns, its drawings too") {
    const Home home;
    run_program(home, {"station", "add", example("tour")});
    const std::string shown =
        on_terminal(home, 40,
                    "check pair\n\n0.3\n0\n0.1\n500\n\nwhy\ncheck halves\n\n0.3\n0\n\n500\n"
                    "no\ncheck frame\n\n0.3\n0\n\n60\ncheck rail\n0.1\n0\n0.1\n700\nwhy\n"
                    "help gaps\nquit\n");
    CHECK(holds(shown, "B turned over"));
    CHECK(holds(shown, "last joint, large"));
    CHECK(holds(shown, "gap in the middle"));
    std::istringstream lines(shown);
    for (std::string line; std::getline(lines, line);) {
      INFO(line);
      CHECK(report::columns_of(line) <= 40);
    }
  }

  TEST_CASE("prompt: gap tests without drawings and in inches") {
    const Home home;
    const std::string plain = talk(home, "dock", kPair + "quit\n", {"--plain"});
    CHECK(holds(plain, "At the fence, away from you: A on the left with X up"));
    CHECK_FALSE(holds(plain, "═"));
    const std::string inch =
        talk(home, "dock", "check pair\nskip\n0.012\n0.000\n\n20\n\nquit\n", {"--unit", "in"});
    CHECK(holds(inch, "1: F end 0.012 in"));
    CHECK(holds(inch, "inches between the two measured places"));
    CHECK(holds(inch, "over 90° by 0.007 ±"));  // (0.012 / 20 / 2) 23.6 in
  }
}
