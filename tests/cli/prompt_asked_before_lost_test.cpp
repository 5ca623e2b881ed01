// SPDX-License-Identifier: MIT
/// What would take typed readings away asks first, and a draft is offered where it belongs: under the new
/// name of its station, at its own log, once. The figures are invented.
#include <doctest/doctest.h>
#include <sqlite3.h>

#include "logbook/page_sums.hpp"
#include "support/add_dock.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using quarterturn::test::add_dock;
using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using quarterturn::test::Home;
using quarterturn::test::run_program;

namespace {

const std::string kReadings = "check\n600 600\n22.74 22.73 22.75 22.14 22.13 22.15\n\n525\n";

/// Holds a log as a program does that writes to it, for as long as it lives.
class Locked {
 public:
  explicit Locked(const std::string& path) {
    REQUIRE(sqlite3_open_v2(path.c_str(), &log_, SQLITE_OPEN_READWRITE,
                            quarterturn::logbook::page_sums_vfs()) == SQLITE_OK);
    REQUIRE(sqlite3_exec(log_, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr) == SQLITE_OK);
  }
  ~Locked() { sqlite3_close(log_); }
  Locked(const Locked&) = delete;
  Locked& operator=(const Locked&) = delete;

 private:
  sqlite3* log_ = nullptr;
};

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("prompt: readings of a test that cannot be trusted are thrown away only by a yes") {
    const Home home;
    add_dock(home);
    const auto kept = run_program(home, {}, kReadings + "no\nx\n\nyes\nquit\n");
    CHECK(holds(kept.out, "Throw its readings away? [no]"));
    CHECK(holds(kept.out, "Saved as check dock/1."));
    const auto thrown = run_program(home, {}, kReadings + "no\nx\nyes\ndrafts\nquit\n");
    CHECK(holds(thrown.out, "Thrown away. Begin again at cut 1"));
    CHECK(!holds(thrown.out, "Saved as"));
    CHECK(holds(thrown.out, "Nothing is unfinished."));
  }

  TEST_CASE("prompt: a draft is dropped by a yes, and the others keep their numbers") {
    const Home home;
    add_dock(home);
    for (const char* reading : {"22.71", "22.72", "22.73"})
      run_program(home, {}, std::string("check\n600 600\n") + reading + "\nquit\n");
    const auto talk = run_program(home, {},
                                  "drafts\ndrafts drop 1\n\ndrafts drop 1\nyes\ndrafts\ndrafts show 1\n"
                                  "drafts show 2\nquit\n");
    const std::string text = flat(talk.out);
    CHECK(count_of(text, "It stays in 'drafts'.") == 1);
    CHECK(count_of(text, "Dropped: check of dock") == 1);
    CHECK(count_of(talk.out, "\n1  check of dock") == 1);  // before it was dropped
    CHECK(count_of(talk.out, "\n2  check of dock") == 2);
    CHECK(holds(text, "draft 1 is not there any more"));
    CHECK(holds(talk.out.substr(talk.out.rfind("How big")), "F end, reading 1 of 3: 22.72"));
  }

  TEST_CASE("prompt: a draft is offered under the new name of its station") {
    const Home home;
    add_dock(home);
    run_program(home, {}, "check\n600 600\n22.74\nquit\n");
    run_program(home, {"station", "rename", "dock", "quay"});
    const auto talk = run_program(home, {}, "drafts resume 1\n22.73\nquit\n");
    CHECK(holds(talk.out, "Unfinished: check of quay, begun "));
    CHECK(holds(talk.out, "2: F end 22.73 mm"));
  }

  TEST_CASE("prompt: what is kept beside one log that cannot be written is not offered at another") {
    const Home home;
    const std::string one = home.write("one", "") + "/log.db", two = home.write("two", "") + "/log.db";
    run_program(home, {"--log", one}, "later\ncheck\n600 600\n22.74\nquit\n");
    const auto other = run_program(home, {"--log", two}, "later\ndrafts\nquit\n");
    CHECK(!holds(other.out, "Unfinished"));
    CHECK(holds(other.out, "Nothing is unfinished."));
    // However the log is named, it is the same one.
    const auto same = run_program(
        home,
        {"--log", home.path() + "/../" + home.path().substr(home.path().rfind('/') + 1) + "/one/log.db"},
        "later\nquit\n");
    CHECK(holds(same.out, "Unfinished: check, begun "));
  }

  TEST_CASE("prompt: what a locked log still holds of a draft kept elsewhere since is not offered again") {
    const Home home;
    add_dock(home);
    run_program(home, {}, kReadings + "yes\ncorrect\n0.15\nquit\n");  // left at where it is widest
    CHECK(holds(run_program(home, {}, "drafts\nquit\n").out, "1  correct of dock"));
    const std::string log = home.path() + "/quarterturn/log.db";
    {
      const Locked held(log);
      const auto talk = run_program(home, {}, "drafts resume 1\nmiddle\n1400\nlater\nquit\n");
      CHECK(holds(flat(talk.out), "is kept in"));
      CHECK(holds(talk.out, "Not saved: "));
      CHECK(holds(flat(talk.out), "What was typed stays in 'drafts'."));
    }
    const auto next = run_program(home, {}, "drafts\nquit\n");
    CHECK(count_of(next.out, "correct of dock, begun") == 2);  // offered, and listed
    const auto done = run_program(home, {}, "drafts resume 1\nlater\ndrafts\nquit\n");
    CHECK(holds(done.out, "Saved as check dock/2."));
    CHECK(holds(done.out, "Nothing is unfinished."));
  }
}
