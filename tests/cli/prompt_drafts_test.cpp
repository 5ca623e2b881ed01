// SPDX-License-Identifier: MIT
/// Nothing typed is lost: the prompt killed after every line of a conversation, and taken up again. The
/// figures are invented.
#include <doctest/doctest.h>
#include <sqlite3.h>
#include <unistd.h>

#include <cstdio>

#include "logbook/page_sums.hpp"
#include "support/add_dock.hpp"
#include "support/run_program.hpp"
#include "support/sanitized.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using test::add_dock;
using test::count_of;
using test::flat;
using test::holds;
using test::Home;
using test::run_and_kill;
using test::run_program;

namespace {

const std::string kStrip = "22.74 22.73 22.75 22.14 22.13 22.15\n\n525\nyes\n";

/// The station dock as a file, without what each log gives it.
std::string station_of(const Home& home) {
  std::string text = run_program(home, {"station", "export", "dock"}).out;
  const auto at = text.find("\"id\"");
  return at == std::string::npos ? text : text.erase(at, text.find('\n', at) - at);
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  for (std::size_t at = 0; at < text.size();) {
    const auto end = text.find('\n', at);
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

std::string joined(const std::vector<std::string>& lines, std::size_t first, std::size_t last) {
  std::string text;
  for (std::size_t i = first; i < last; ++i) text += lines[i] + "\n";
  return text;
}

/// The readings of all that is kept, without its day.
std::string kept_readings(const Home& home) {
  return run_program(home, {"log", "export", "--csv", "readings"}).out;
}

/// What was said from the last time that a line began so.
std::string said_from(const std::string& out, const std::string& beginning) {
  const auto at = out.rfind("\n" + beginning);
  return at == std::string::npos ? "nothing begins so" : out.substr(at, 400);
}

struct Conversation {
  std::string before;  ///< typed in an earlier run
  std::string lines;   ///< its word first
  std::string end;     ///< typed behind it
  std::string answer;  ///< beginning of what comes of it
  int idle = 0;        ///< lines inside behind which nothing is open
};

constexpr std::size_t kEach = test::kSanitized ? 3 : 1;  // of the lines, one is followed by a kill

/// A line is followed by a kill; the rest is typed into the next run. What comes of it is as if nothing
/// had happened.
void kill_after_each(const Conversation& talk) {
  const auto begun = [&](const Home& home) {
    add_dock(home);
    if (!talk.before.empty()) run_program(home, {}, talk.before + "quit\n");
  };
  const Home whole;
  begun(whole);
  const auto unbroken = run_program(whole, {}, talk.lines + talk.end + "quit\n");
  const auto lines = lines_of(talk.lines);
  int idle = 0;
  for (std::size_t typed = 2; typed < lines.size(); typed += kEach) {
    CAPTURE(typed);
    const Home home;
    begun(home);
    CHECK(run_and_kill(home, {}, joined(lines, 0, typed), typed + 1).status == 128 + 9);
    if (holds(run_program(home, {}, "drafts\nquit\n").out, "Nothing is unfinished.")) {
      ++idle;
      continue;
    }
    const auto resumed = run_program(
        home, {}, "drafts resume 1\n" + joined(lines, typed, lines.size()) + talk.end + "drafts\nquit\n");
    CHECK(resumed.status == 0);
    CHECK(holds(resumed.out, "Unfinished: "));
    CHECK(holds(resumed.out, "Nothing is unfinished."));
    CHECK(count_of(kept_readings(home), "\n") == count_of(kept_readings(whole), "\n"));
    CHECK(said_from(resumed.out, talk.answer) == said_from(unbroken.out, talk.answer));
    CHECK(holds(run_program(home, {"log", "verify"}).out, "computed again with the same result"));
  }
  CHECK((kEach == 1 ? idle == talk.idle : idle <= talk.idle));
  CHECK(said_from(unbroken.out, talk.answer) != "nothing begins so");
}

void change(const Home& home, const std::string& sql) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open_v2((home.path() + "/quarterturn/log.db").c_str(), &db, SQLITE_OPEN_READWRITE,
                          quarterturn::logbook::page_sums_vfs()) == SQLITE_OK);
  CHECK(sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("prompt: killed after any line of a check, it goes on where it stopped") {
    kill_after_each({"",
                     "check\n600 600\n22.74\n22.7\nundo\n22.73\n22.75\n22.14 22.13\n23.15\nredo 6\n22.15\n\n"
                     "525\nyes\n",
                     "", "OUTSIDE"});
  }

  TEST_CASE("prompt: killed after any line of a check with a doubtful reading, in inches") {
    kill_after_each({"",
                     "check\n600 600\nunits in\n0.895\n0.895\n0.895\n0.872\n0.872\n0.892\n\nredo 6\n0.872\n"
                     "20.7\nno\ns\n",
                     "", "CANNOT TELL YET"});
  }

  TEST_CASE("prompt: killed after any line of three strips measured in any order") {
    kill_after_each(
        {"",
         "check --strips 3\n600 600\n3-7 free 22.11 22.10 22.11\n22.74 22.73\n22.75\n22.14 22.13 22.15\n\n"
         "22.80 22.79 22.80\n22.20 22.21 22.20\n\n22.70 22.71 22.70\n\n525\nyes\n",
         "", "OUTSIDE"});
  }

  TEST_CASE("prompt: killed after any line of two more cuts, each strip is kept once") {
    const std::string one_by_one = "22.74\n22.73\n22.75 22.14\n22.13 22.15\n\n525\nyes\n";
    kill_after_each({"", "check\n600 600\n" + kStrip + "more\n" + one_by_one + one_by_one, "", "OUTSIDE", 3});
  }

  TEST_CASE("prompt: killed after any line of a gap test or of the rail before a correction") {
    kill_after_each(
        {"", "check turn-over\npair\nskip\n0.30\n0\n\n500\nyes\n0.25\n0\n\n\nno\n", "", "CANNOT TELL YET"});
    kill_after_each(
        {"check\n600 600\n" + kStrip,
         "check\n600 600\n22.74 22.73 22.76 22.14 22.13 22.15\n\n525\nyes\ncorrect\n0.3\nm\n1400\n",
         "later\n", "The rail's edge", 2});
  }

  TEST_CASE("prompt: a station half described is gone on with") {
    const std::string described =
        "dock\n\n\n9 11\nE2\nE10\nright\nA9\nD9\n\n\n\n\ndigital\nfoil tape 8 layers 0.56\n";
    const auto lines = lines_of(described);
    const Home whole;
    run_program(whole, {}, described + "quit\n");
    const auto content = station_of(whole);
    for (std::size_t typed = 1; typed < lines.size(); ++typed) {
      CAPTURE(typed);
      const Home home;
      run_and_kill(home, {}, joined(lines, 0, typed), typed + 1);
      // A script is told, and not asked; it begins another.
      const auto resumed = run_program(
          home, {}, "later\ndrafts resume 1\n" + joined(lines, typed, lines.size()) + "drafts\nquit\n");
      CHECK(holds(resumed.out, "Unfinished: station add, begun "));
      CHECK(holds(resumed.out, "Nothing is unfinished."));
      CHECK(station_of(home) == content);
    }
  }

  TEST_CASE("prompt: drafts are listed, shown and dropped; wrong words are told") {
    const Home home;
    add_dock(home);
    const auto talk = run_program(home, {},
                                  "check\n600 600\n22.74 22.73\nlater\ndrafts\ndrafts show 1\ndrafts show 2\n"
                                  "drafts throw 1\ndrafts drop 1\nyes\ndrafts\ndrafts drop 1\nquit\n");
    CHECK(holds(talk.out, "Left for later: 'drafts' goes on with it."));
    CHECK(holds(flat(talk.out), "2 answers, the last 22.74 22.73"));
    CHECK(holds(talk.out, "How big is the panel: 600 600"));
    CHECK(holds(flat(talk.out), "number of the draft is '2', but must be"));
    CHECK(holds(flat(talk.out), "'drafts show N', 'drafts resume N' and 'drafts drop N'"));
    CHECK(holds(talk.out, "Dropped: check of dock, begun "));
    CHECK(holds(talk.out, "nothing is unfinished: there is no draft."));
  }

  TEST_CASE("prompt: quit in the middle keeps what was typed, end of input too") {
    for (const char* way : {"quit\n", ""}) {
      const Home home;
      add_dock(home);
      run_program(home, {}, std::string("check\n600 600\n22.74 22.73 22.75\n22.14\n") + way);
      const auto next = run_program(home, {}, "drafts resume 1\n22.13 22.15\n\n525\nyes\ndrafts\nquit\n");
      CHECK(holds(next.out, "Saved as check dock/1."));
      CHECK(holds(next.out, "Nothing is unfinished."));
    }
  }

  TEST_CASE("prompt: where the log cannot be written another file keeps it, and it is said") {
    const Home home;
    const std::string log = home.write("no-folder", "") + "/log.db";
    run_and_kill(home, {"--log", log}, "later\ncheck\n600 600\n22.74\n22.73\n", 6);
    const auto said = run_program(home, {"--log", log}, "later\ncheck\n600 600\n22.74\nquit\n");
    CHECK(holds(flat(said.out), "cannot make the folder"));
    std::string close = said.out;  // a long path is broken at the screen's width
    std::erase_if(close, [](char c) { return c == ' ' || c == '\n'; });
    CAPTURE(said.out);
    CHECK(holds(close, "Whatyoutypeiskeptin'" + home.path() + "/.local/state/quarterturn/drafts-"));
    const auto next = run_program(
        home, {"--log", log}, "later\ndrafts\ndrafts resume 2\n22.75\n22.14 22.13 22.15\n\n525\nyes\nquit\n");
    CHECK(holds(flat(next.out), "the last 22.73; not in the log"));
    CHECK(holds(next.out, "0.17"));
    // Once that log can be made, it is a draft as any other.
    std::remove((home.path() + "/no-folder").c_str());
    const auto other = run_program(home, {"--log", log}, "later\ndrafts resume 1\n22.73\nquit\n");
    CHECK(holds(other.out, "F end, reading 1 of 3: 22.74"));
  }

  TEST_CASE("prompt: answers to other questions than those asked now are shown, not taken") {
    const Home home;
    add_dock(home);
    run_program(home, {}, "check\n600 600\n22.74\n22.73\nquit\n");
    change(home, "UPDATE draft_lines SET question = 'width at F' WHERE answer = '22.73'");
    const auto talk = run_program(home, {}, "drafts resume 1\n22.70\nlater\ndrafts\nquit\n");
    CHECK(holds(flat(talk.out), "From here on other things are asked than then."));
    CHECK(holds(talk.out, "width at F: 22.73"));
    CHECK(holds(talk.out, "2: F end 22.70 mm"));
    CHECK(count_of(talk.out, "\n2  check of dock") == 1);  // the old one is there still
  }

  TEST_CASE("prompt: a draft of a station that is gone, or of a check that is, says so and stays") {
    const Home home;
    add_dock(home);
    run_program(home, {}, "check\n600 600\n22.74\nquit\n");
    change(home, "UPDATE drafts SET station = 'pier'");
    const auto talk = run_program(home, {}, "drafts resume 1\ndrafts\nquit\n");
    CHECK(holds(talk.out, "station is 'pier', but must be dock"));
    CHECK(holds(talk.out, "1  check of pier"));
    change(home, "UPDATE drafts SET station = 'dock', words = 'more', \"check\" = 'gone'");
    CHECK(holds(run_program(home, {}, "drafts resume 1\nquit\n").out, "'gone'"));
  }

  TEST_CASE("prompt: a draft that is open in another window is left to it") {
    const Home home;
    add_dock(home);
    run_program(home, {}, "check\n600 600\n22.74\nquit\n");
    // The first process of the machine is always there; when it began stands in its line.
    std::string start;
    {
      std::FILE* about = std::fopen("/proc/1/stat", "r");
      REQUIRE(about != nullptr);
      char line[1024] = "";
      CHECK(std::fgets(line, sizeof line, about) != nullptr);
      std::fclose(about);
      std::string text = line;
      text = text.substr(text.rfind(')') + 2);
      for (int field = 3; field < 22; ++field) text = text.substr(text.find(' ') + 1);
      start = text.substr(0, text.find(' '));
    }
    char host[256] = "";
    CHECK(::gethostname(host, sizeof host - 1) == 0);
    change(home, "UPDATE drafts SET holder = '" + std::string(host) + ":1:" + start + "'");
    const auto held = run_program(home, {}, "drafts\ndrafts resume 1\nquit\n");
    CHECK(holds(held.out, "open in another window"));
    CHECK(holds(flat(held.out), "Hint: go on there, or close it first"));
    CHECK_FALSE(holds(held.out, "Unfinished: check"));
    // A number that another process has by now.
    change(home, "UPDATE drafts SET holder = '" + std::string(host) + ":1:1" + start + "'");
    CHECK(holds(run_program(home, {}, "quit\n").out, "Unfinished: check"));
  }

  TEST_CASE("prompt: left again at once, a draft loses nothing and asks nothing") {
    const Home home;
    add_dock(home);
    run_program(home, {}, "check\n600 600\n22.74 22.73\nquit\n");
    const auto talk =
        run_program(home, {}, "drafts resume 1\nlater\ndrafts show 1\ndrafts resume 1\n22.75\nquit\n");
    CHECK(!holds(talk.out, "That loses"));
    CHECK(!holds(talk.out, "other things are asked"));
    CHECK(holds(talk.out, "3: F end 22.75 mm"));
    CHECK(count_of(run_program(home, {}, "drafts\nquit\n").out, "check of dock, begun") ==
          2);  // told, and listed
  }

  TEST_CASE("prompt: more goes on from a check as it stands, or not at all") {
    const Home home;
    add_dock(home);
    run_program(home, {}, "check\n600 600\n" + kStrip + "more\n22.74 22.73\nquit\n");
    run_program(home, {"log", "withdraw", "dock/1", "--reason", "wrong panel"});
    const auto talk = run_program(home, {}, "drafts resume 1\n22.75 22.14 22.13 22.15\n\n525\nyes\nquit\n");
    CHECK(!holds(talk.out, "Measured on"));
    CHECK(holds(flat(talk.out), "one that was not withdrawn"));
    CHECK(holds(run_program(home, {}, "drafts show 1\nquit\n").out,
                "strip 2-6, F end, reading 1 of 3: 22.74 22.73"));
    // A check that was not kept is nothing to go on from.
    const Home other;
    add_dock(other);
    const auto file =
        other.write("r.csv",
                    "# station: dock\n# caliper: digital\npanel,from_cut,to_cut,position,width\n"
                    "1,1,5,0,22.74 22.73\n1,1,5,525,22.14 22.15\n");
    const auto none = run_program(other, {}, "check " + file + " --no-log\nmore\n22.74\n");
    CHECK(none.status == 3);
    CHECK(holds(run_program(other, {}, "drafts\nquit\n").out, "Nothing is unfinished."));
  }
}
