// SPDX-License-Identifier: MIT
// Who may read what is kept: what README.md says of it is so.
#include <doctest/doctest.h>

#include <sys/stat.h>

#include <string>

#include "files/station_file.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;
using test::Home;
using test::run_program;

namespace {

unsigned rights_of(const std::string& path) {
  struct stat about {};
  REQUIRE(::stat(path.c_str(), &about) == 0);
  return about.st_mode & 0777u;
}

std::string readings_of(const std::string& day) {
  return "# station: dock\n# date: 2026-03-" + day +
         "\n# caliper: digital\npanel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73\n1,1,5,525,22.14\n";
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("a log kept to oneself stays so, and so does a copy of it") {
    const Home home;
    const auto station = home.write("dock.json", files::write_station(test::dock()));
    const std::string log = home.path() + "/own.db", copy = home.path() + "/copy.db";
    REQUIRE(run_program(home, {"station", "add", station, "--log", log}).status == 0);
    const unsigned made = rights_of(log);
    REQUIRE(run_program(home, {"log", "backup", copy + "1", "--log", log}).status == 0);
    CHECK(rights_of(copy + "1") == made);
    for (const unsigned rights : {0600u, 0640u}) {
      CAPTURE(rights);
      REQUIRE(::chmod(log.c_str(), rights) == 0);
      const std::string day = rights == 0600u ? "14" : "15";
      const auto ran = run_program(home, {"check", "-", "--save", "--log", log}, readings_of(day));
      INFO(ran.err);
      REQUIRE(ran.status == 0);
      CHECK(rights_of(log) == rights);
      REQUIRE(run_program(home, {"log", "backup", copy + day, "--log", log}).status == 0);
      CHECK(rights_of(copy + day) == rights);
    }
  }
}
