// SPDX-License-Identifier: MIT
// Trouble around the program that has more than one part: a folder that is deleted under a running prompt, no
// home, a clock that was set back, as many open files as there may be. All figures are invented.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <nlohmann/json.hpp>

#include "logbook/logbook.hpp"
#include "support/at_dock.hpp"
#include "support/start_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;
using quarterturn::logbook::Logbook;
namespace files = quarterturn::files;

namespace {

std::string log_of(const Home& home) {
  return home.path() + "/quarterturn/log.db";
}

std::string readings(const Home& home) {
  return home.write("in.csv", "# station: dock\n# setup: crosscut\n# date: " + days_ago(3) +
                                  "\n# test: five-cut\n# caliper: digital\n# panel-size: 600 x 600\n"
                                  "panel,from_cut,to_cut,position,width\n1,1,5,0,22.31\n1,1,5,525,22.30\n");
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("a folder that is deleted under a running prompt is told of, and nothing is made in its place") {
    const AtDock at;
    const std::string folder = at.home.path() + "/quarterturn";
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("log event dock knocked\r", kDock);
    std::filesystem::remove_all(folder);
    pty.type("log event dock moved\r", "moved or deleted while it was open");
    pty.expect(kDock);
    CHECK_FALSE(std::filesystem::exists(folder));
    pty.type("units in\r", "Inches");
    pty.type("quit\r");
    CHECK(pty.end() == 0);
    CHECK_FALSE(std::filesystem::exists(folder));
  }

  TEST_CASE("a folder that is deleted while readings are typed is told of before more are typed in vain") {
    const AtDock at;
    Pty pty(at.home);
    pty.expect(kDock);
    begin_check(pty);
    pty.type("22.74\r", "reading 2 of 3 \u25b8 ");
    std::filesystem::remove_all(at.home.path() + "/quarterturn");
    pty.type("22.73\r", "is not where it was");
    pty.expect("\u25b8 ");
    pty.type("\x04");
    const int status = pty.type_until_end("\x04");
    CHECK(status != 70);
    CHECK(status < 128);
    CHECK_FALSE(std::filesystem::exists(log_of(at.home)));
  }

  TEST_CASE("the folder in which a prompt was begun is deleted: what is named from there is not found") {
    const AtDock at;
    const std::string folder = at.home.path() + "/bench";
    std::filesystem::create_directory(folder);
    Pty pty(at.home, {.folder = folder});
    pty.expect(kDock);
    std::filesystem::remove_all(folder);
    pty.type("check in.csv\r", "in.csv");
    pty.expect(kDock);
    pty.type("log event dock knocked\r", kDock);
    pty.type("quit\r");
    CHECK(pty.end() == 0);
    CHECK(Logbook(log_of(at.home)).events().size() == 1);
  }

  TEST_CASE("without a home it computes, says where it looked for a log, and how to name one") {
    const AtDock at;
    const std::string file = readings(at.home), log = at.home.path() + "/named.db";
    const std::string station = QUARTERTURN_ROOT "/examples/stations/dock.json";
    for (const std::vector<std::string>& none :
         {std::vector<std::string>{},
          {"HOME="},
          {"HOME=relative", "XDG_DATA_HOME=also", "XDG_STATE_HOME="}}) {
      CHECK(run_started(at.home, {"check", file, "--station", station}, none).status == 0);
      const auto ran = run_started(at.home, {"check", file, "--station", station, "--save"}, none);
      CHECK(ran.status == 4);
      for (const char* word : {"QUARTERTURN_LOG", "XDG_DATA_HOME", "HOME", "--log FILE"})
        CHECK(holds(ran.out, word));
      std::filesystem::remove(log);
      CHECK(
          run_started(at.home, {"check", file, "--station", station, "--save", "--log", log}, none).status ==
          0);
      CHECK(Logbook(log).checks().size() == 1);
    }
  }

  TEST_CASE("what was recorded after now is told once, and no date runs away") {
    const AtDock at;
    run_program(at.home, {"check", readings(at.home), "--save"});
    CHECK(run_program(at.home, {"history"}).err.empty());
    const std::string later = days_ago(-400);
    {
      Logbook log(log_of(at.home));
      const auto now = log.check("dock/1");
      auto version = now.latest;
      version.id.clear();
      version.check.clear();
      version.date = later;
      version.utc = std::time(nullptr) + 400 * 86400LL;
      version.recorded = later + "T12:00:00.000Z";
      const auto at_date = version.readings.find("# date: ");
      version.readings.replace(at_date, 18, "# date: " + later);
      log.keep(files::CheckRecord{{}, now.made.station, "crosscut", version.recorded}, version);
    }
    const std::string told = "the log was last written on " + later + ", and today is " + days_ago(0);
    for (const std::vector<std::string>& words : {std::vector<std::string>{"history"},
                                                  {"log", "list"},
                                                  {"history", "--json"},
                                                  {"check", at.home.path() + "/in.csv"},
                                                  {"log", "verify"},
                                                  {"find"}}) {
      CAPTURE(words[0]);
      const auto ran = run_program(at.home, words);
      CHECK(ran.status == 0);
      CHECK(count_of(ran.err, told) == 1);
      CHECK(holds(ran.err, "set the clock right"));
    }
    CHECK(run_program(at.home, {"--version"}).err.empty());
    // The next check is due by the last one's date, of which nobody knows that it is wrong.
    const auto history = nlohmann::json::parse(run_program(at.home, {"history", "--json"}).out);
    const std::string due = history.at("due").at("date");
    CHECK(due >= later);
    CHECK(due <= days_ago(-400 - 366));
    Pty pty(at.home);
    pty.expect(kDock);
    pty.type("log list\r", kDock);
    pty.type("history\r", kDock);
    pty.type("quit\r");
    CHECK(pty.end() == 0);
    CHECK(count_of(flat(pty.screen().text()), "the log was last written on " + later) == 1);
  }

  TEST_CASE("with as many files open from elsewhere as there may be it works as ever") {
    rlimit may{};
    ::getrlimit(RLIMIT_NOFILE, &may);
    const rlim_t open = std::min<rlim_t>(32'767, may.rlim_max - 40);
    const AtDock at;
    const auto full = [open, &may] {
      const rlimit wanted{may.rlim_max, may.rlim_max};
      ::setrlimit(RLIMIT_NOFILE, &wanted);
      for (;;) {
        const int fd = ::open("/dev/null", O_RDONLY);
        if (fd < 0) ::_exit(126);
        if (static_cast<rlim_t>(fd) + 1 >= open) return;
      }
    };
    const auto ran = run_started(at.home, {"check", readings(at.home), "--save"},
                                 {"XDG_DATA_HOME=" + at.home.path(), "LC_ALL=C.UTF-8"}, full);
    CHECK(ran.status == 0);
    CHECK(Logbook(log_of(at.home)).checks().size() == 1);
    MESSAGE("open files: " << open);
  }
}
