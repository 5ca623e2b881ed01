// SPDX-License-Identifier: MIT
// Trouble around the program: streams that are closed, a disk that is full, no rights, no home, no more open
// files, many programs on one log. It says so, leaves with 4, and the log is whole. All figures are invented.
// `tests/run.sh --deep trouble` has 100 programs keep 100 checks each.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <set>

#include "logbook/logbook.hpp"
#include "support/at_dock.hpp"
#include "support/sanitized.hpp"
#include "support/start_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

namespace {

std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string log_of(const Home& home) {
  return home.path() + "/quarterturn/log.db";
}

/// \param n  tells these readings from others
std::string readings(const Home& home, const std::string& name, int n = 0) {
  const auto width = [](int hundredths) { return "22." + std::to_string(100 + hundredths).substr(1); };
  return home.write(name + ".csv",
                    "# station: dock\n# setup: crosscut\n# date: " + days_ago(50) +
                        "\n# test: five-cut\n# caliper: digital\n# panel-size: 600 x 600\n# note: " + name +
                        "\npanel,from_cut,to_cut,position,width\n1,1,5,0," + width(n % 100) + "\n1,1,5,525," +
                        width(n / 100) + "\n");
}

Ran run(const Home& home, const std::vector<std::string>& words, const std::function<void()>& before) {
  return run_started(home, words, usual_environment(home), before);
}

void limit(int what, rlim_t to) {
  const rlimit wanted{to, to};
  ::setrlimit(static_cast<__rlimit_resource>(what), &wanted);
}

bool is_whole(const Home& home) {
  return run_program(home, {"log", "verify"}).status == 0;
}

/// So many checks of the same station as another computer kept them, as a document to import.
std::string exported_checks(const Home& home, int count) {
  const Home other;
  const std::string document = home.path() + "/exchange.json";
  std::ofstream(document) << run_program(home, {"log", "export"}).out;
  REQUIRE(run_program(other, {"log", "import", document}).status == 0);
  for (int i = 0; i < count; ++i) {
    const auto ran =
        run_program(other, {"check", readings(other, "import-" + std::to_string(i), 9000 + i), "--save"});
    REQUIRE(ran.status == 0);
  }
  std::ofstream(document) << run_program(other, {"log", "export"}).out;
  return document;
}

/// A program that imports it, and tries again when it is told that the log is in use.
pid_t import_of(const Home& home, const std::string& document) {
  const pid_t child = ::fork();
  if (child != 0) return child;
  int status = 4;
  for (int i = 0; status == 4 && i < 1000; ++i)
    status =
        status_of(start_program(home, {"log", "import", document}, usual_environment(home), {}, "imported"));
  ::_exit(status == 0 ? 0 : 1);
}

/// So many events at a prompt in a terminal, each typed again where it was told that the log is in use.
void type_events(const Home& home, int count) {
  Pty pty(home);
  pty.expect(kDock);
  for (int i = 0; i < count; ++i) {
    const std::string note = "at the prompt " + std::to_string(i);
    const auto is_kept = [&] {
      for (;;) try {
          const auto events = quarterturn::logbook::Logbook(log_of(home)).events();
          return std::ranges::any_of(events, [&](const auto& one) { return one.event.note == note; });
        } catch (const quarterturn::files::FileTrouble&) {
          // In use: asked again.
        }
    };
    do {
      pty.type("log event dock knocked --note \"" + note + "\"\r", "--note");
      pty.expect(kDock);
    } while (!is_kept());
  }
  pty.type("quit\r");
  CHECK(pty.end() == 0);
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE("whichever of the three streams are closed, nothing of what is said gets into the log") {
    for (int closed = 1; closed < 8; ++closed) {
      CAPTURE(closed);
      const AtDock at;
      const std::string name = "kept " + std::to_string(closed);
      const auto ran = run(at.home, {"check", readings(at.home, name), "--save"}, [closed] {
        for (int fd = 0; fd < 3; ++fd)
          if ((closed & 1 << fd) != 0) ::close(fd);
      });
      // An answer that nobody got is no success.
      CHECK(ran.status == ((closed & 2) != 0 ? 4 : 0));
      CHECK(bytes_of(log_of(at.home)).find("error: standard output") == std::string::npos);
      CHECK(is_whole(at.home));
      CHECK(quarterturn::logbook::Logbook(log_of(at.home)).checks().size() == 1);
    }
    const AtDock at;
    const auto ran = run(at.home, {"check", "-"}, [] { ::close(0); });
    CHECK(ran.status == 4);
    CHECK(holds(ran.out, "standard input is closed"));
  }

  TEST_CASE("on a full disk it says so, and what was kept before is whole") {
    const AtDock at;
    run_program(at.home, {"check", readings(at.home, "first"), "--save"});
    const auto size = std::filesystem::file_size(log_of(at.home));
    const std::string more = readings(at.home, "second", 7);
    // At every size at which something of it might be written, and at none.
    for (rlim_t room = 4096; room < size + 8192; room += 4096) {
      CAPTURE(room);
      const auto ran = run(at.home, {"check", more, "--save"}, [room] { limit(RLIMIT_FSIZE, room); });
      CHECK(is_whole(at.home));
      const auto kept = quarterturn::logbook::Logbook(log_of(at.home)).checks().size();
      if (ran.status == 0) {
        CHECK(kept == 2);
        break;
      }
      CHECK(ran.status == 4);
      CHECK(holds(ran.out, "cannot be"));
      CHECK(kept == 1);
    }
    CHECK(quarterturn::logbook::Logbook(log_of(at.home)).checks().size() == 2);
  }

  TEST_CASE("without rights it says so, and the log stays as it was") {
    const AtDock at;
    const std::string folder = at.home.path() + "/quarterturn", more = readings(at.home, "second", 7);
    const std::string before = bytes_of(log_of(at.home));
    ::chmod(at.home.path().c_str(), 0755);
    std::ofstream(at.home.path() + "/said") << "";
    ::chmod((at.home.path() + "/said").c_str(), 0666);
    for (const mode_t mode : {mode_t{0555}, mode_t{0000}}) {
      CAPTURE(mode);
      ::chmod(log_of(at.home).c_str(), mode == 0 ? 0000 : 0444);
      ::chmod(folder.c_str(), mode);
      // Root may do everything: there the program runs as nobody.
      const auto ran = run(at.home, {"check", more, "--save"}, [] {
        if (::geteuid() == 0 && ::setgid(65534) == 0) (void)!::setuid(65534);
      });
      ::chmod(folder.c_str(), 0755);
      ::chmod(log_of(at.home).c_str(), 0644);
      if (ran.status == 127) {
        MESSAGE("left out: the program itself lies where only root may run it");
        break;
      }
      CHECK(ran.status == 4);
      CHECK(holds(ran.out, "error: "));
      CHECK(holds(ran.out, "log.db"));
      CHECK(bytes_of(log_of(at.home)) == before);
    }
  }

  // A program that watches itself opens a pipe to ask what memory is its own, and stops where it cannot; one
  // that counts its lines opens a file for them, and says so where it cannot.
  TEST_CASE("when no more files can be opened it says so, and loses nothing" *
            doctest::skip(kSanitized || std::getenv("QUARTERTURN_COUNTED") != nullptr)) {
    const AtDock at;
    const std::string more = readings(at.home, "second", 7);
    bool kept = false;
    for (rlim_t files = 3; files < 20 && !kept; ++files) {
      CAPTURE(files);
      const auto ran = run(at.home, {"check", more, "--save"}, [files] { limit(RLIMIT_NOFILE, files); });
      kept = ran.status == 0;
      if (!kept) CHECK((ran.status == 4 || ran.status == 3));
      if (!kept) CHECK(holds(ran.out, "error: "));
      CHECK(is_whole(at.home));
      CHECK(quarterturn::logbook::Logbook(log_of(at.home)).checks().size() == (kept ? 1 : 0));
    }
    CHECK(kept);
  }

  TEST_CASE(
      "many programs keep checks in one log at once, a prompt and an import among them: none is lost or "
      "doubled") {
    const char* wanted = std::getenv("QUARTERTURN_WRITERS");
    const char* checks_each = std::getenv("QUARTERTURN_EACH");
    const int writers = wanted == nullptr ? 6 : std::atoi(wanted),
              each = checks_each == nullptr ? 4 : std::atoi(checks_each);
    const AtDock at;
    const std::string document = exported_checks(at.home, each);
    std::vector<pid_t> children{import_of(at.home, document)};
    for (int w = 0; w < writers; ++w) {
      const pid_t child = ::fork();
      if (child == 0) {  // one person, who tries again when it is told that the log is in use
        int refused = 0;
        for (int i = 0; i < each; ++i) {
          const std::string name = "w" + std::to_string(w) + "-" + std::to_string(i);
          const std::string file = readings(at.home, name, w * each + i);
          int status = 4;
          while (status == 4 && refused < 100 * each) {
            status = status_of(
                start_program(at.home, {"check", file, "--save"}, usual_environment(at.home), {}, name));
            refused += status == 4 ? 1 : 0;
          }
          if (status != 0) ::_exit(1);
          std::filesystem::remove(file);
          std::filesystem::remove(at.home.path() + "/" + name);
        }
        ::_exit(0);
      }
      children.push_back(child);
    }
    type_events(at.home, each);
    for (const pid_t child : children) CHECK(status_of(child) == 0);
    const quarterturn::logbook::Logbook log(log_of(at.home));
    std::set<std::string> notes;
    std::set<int> numbers;
    const auto checks = log.checks();
    for (const auto& kept : checks) {
      const auto begin = kept.latest.readings.find("# note: ");
      notes.insert(kept.latest.readings.substr(begin, kept.latest.readings.find('\n', begin) - begin));
      numbers.insert(kept.number);
    }
    CHECK(checks.size() == static_cast<std::size_t>((writers + 1) * each));
    CHECK(log.events().size() == static_cast<std::size_t>(each));
    CHECK(notes.size() == checks.size());
    CHECK(numbers.size() == checks.size());
    CHECK(log.faults().empty());
    MESSAGE("programs: " << writers << ", checks kept by them: " << checks.size());
  }
}
