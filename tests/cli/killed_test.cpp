// SPDX-License-Identifier: MIT
// The program is killed at random moments while it keeps, amends, merges and brings an older log up to date;
// what it said to be kept is there. `tests/run.sh --deep power` kills it 1,000 times. All figures are
// invented.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <random>
#include <set>

#include "logbook/logbook.hpp"
#include "support/at_dock.hpp"
#include "support/older_log.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;
namespace logbook = quarterturn::logbook;
namespace files = quarterturn::files;

namespace {

/// Runs the program with this log and kills it after so many microseconds. \returns whether it ended well
/// before
bool run_for(const std::string& log, std::vector<std::string> words, int microseconds) {
  words.insert(words.begin(), QUARTERTURN_PROGRAM);
  words.insert(words.end(), {"--log", log});
  std::vector<char*> typed;
  for (auto& word : words) typed.push_back(word.data());
  typed.push_back(nullptr);
  const pid_t child = ::fork();
  if (child == 0) {
    const int nothing = ::open("/dev/null", O_RDWR);
    for (int fd = 0; fd < 3; ++fd) ::dup2(nothing, fd);
    ::execv(QUARTERTURN_PROGRAM, typed.data());
    ::_exit(127);
  }
  ::usleep(static_cast<useconds_t>(microseconds));
  ::kill(child, SIGKILL);
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

std::string readings(const Home& home, int n) {
  const std::string mark = std::to_string(n);
  const std::string width = "22." + std::to_string(10 + n % 80);
  return home.write("check.csv",
                    "# station: dock\n# setup: crosscut\n# date: " + days_ago(400 - n % 300) +
                        "\n# test: five-cut\n# caliper: digital\n# panel-size: 600 x 600\n# note: number " +
                        mark + "\npanel,from_cut,to_cut,position,width\n1,1,5,0," + width +
                        " 22.30 22.31\n1,1,5,525,22." + std::to_string(10 + n / 80 % 80) + " 22.30 22.31\n");
}

std::set<std::string> kept_in(const std::string& path) {
  std::set<std::string> found;
  const logbook::Logbook log(path);
  CHECK(log.faults().empty());
  const auto all = log.document();
  for (const auto& version : all.check_versions) {
    const auto at = version.readings.find("# note: ");
    found.insert(version.readings.substr(at, version.readings.find('\n', at) - at));
  }
  for (const auto& check : all.checks) CHECK_FALSE(log.versions(check.id).empty());
  return found;
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("killed at a random moment, it has kept what it said was kept") {
    const char* wanted = std::getenv("QUARTERTURN_KILLS");
    const int kills = wanted == nullptr ? 36 : std::atoi(wanted);
    const AtDock at;
    const std::string own = at.home.path() + "/quarterturn/log.db", older = at.home.path() + "/older.db";
    const auto began = std::chrono::steady_clock::now();
    REQUIRE(run_program(at.home, {"check", readings(at.home, 0), "--save"}).status == 0);
    // As long as it takes here, and half as long again: some end well.
    const auto longest =
        std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - began) * 3 /
        2;
    std::set<std::string> promised{"# note: number 0"};
    std::mt19937_64 draw(20260316);
    int killed = 0, said = 0;
    for (int n = 1; killed < kills; ++n) {
      CAPTURE(n);
      std::string log = own;
      std::vector<std::string> words;
      const std::string note = "number " + std::to_string(n);
      if (n % 4 == 0) {
        words = {"log", "amend", "dock/1", "note", note, "--reason", "a slip"};
      } else if (n % 4 == 1) {  // the older log is brought up to date by it
        std::filesystem::remove(older);
        std::filesystem::remove(older + ".version-4");
        make_older(own, older);
        log = older;
        words = {"check", readings(at.home, n), "--save"};
      } else if (n % 4 == 2) {
        words = {"log", "merge", older};
      } else {
        words = {"check", readings(at.home, n), "--save"};
      }
      if (!std::filesystem::exists(older)) make_older(own, older);
      const bool well =
          run_for(log, words, static_cast<int>(draw() % static_cast<std::uint64_t>(longest.count())));
      killed += well ? 0 : 1;
      said += well ? 1 : 0;
      const auto found = kept_in(log);
      for (const auto& each : promised) CHECK(found.contains(each));
      if (well && n % 4 != 2) {
        CHECK(found.contains("# note: " + note));
        if (log == own) promised.insert("# note: " + note);
      }
      CHECK(run_program(at.home, {"log", "verify", "--log", log}).status == 0);
    }
    CHECK(run_program(at.home, {"log", "verify", "--log", own}).status == 0);
    MESSAGE("kills: " << killed << ", ended well: " << said
                      << ", said to be kept and found: " << promised.size());
  }
}
