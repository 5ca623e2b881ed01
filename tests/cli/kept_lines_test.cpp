// SPDX-License-Identifier: MIT
#include "cli/kept_lines.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "support/temporary_folder.hpp"

using namespace quarterturn;
using Lines = std::vector<std::string>;

TEST_SUITE("cli") {
  TEST_CASE("lines are kept, in a folder and a file of one's own") {
    const test::TemporaryFolder folder;
    const std::string path = folder.file("state/quarterturn/history");
    {
      cli::KeptLines lines(path);
      CHECK(lines.read().empty());
      for (const char* line :
           {"check", "  check ", "", "   ", "log list", "bad\x1b[2J", "station show 'café'"})
        lines.add(line);
      CHECK_FALSE(std::filesystem::exists(path));
    }
    CHECK(cli::KeptLines(path).read() == Lines{"check", "log list", "station show 'café'"});
    struct stat found {};
    REQUIRE(::stat(path.c_str(), &found) == 0);
    CHECK((found.st_mode & 0777) == 0600);
    REQUIRE(::stat(std::filesystem::path(path).parent_path().c_str(), &found) == 0);
    CHECK((found.st_mode & 0777) == 0700);
  }

  TEST_CASE("two prompts keep the lines of both") {
    const test::TemporaryFolder folder;
    cli::KeptLines one(folder.file("history")), other(folder.file("history"));
    one.add("one");
    other.add("other");
    one.write();
    other.write();
    one.add("one again");
    one.write();
    one.write();  // nothing twice
    CHECK(other.read() == Lines{"one", "other", "one again"});
    // Nothing is left beside it.
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
  }

  TEST_CASE("the newest five hundred are kept, also of a file that is longer") {
    const test::TemporaryFolder folder;
    {
      std::ofstream out(folder.file("history"));
      for (int i = 0; i < 700; ++i) out << "old " << i << "\n";
    }
    cli::KeptLines lines(folder.file("history"));
    CHECK(lines.read().size() == 500);
    CHECK(lines.read().front() == "old 200");
    lines.add("new");
    lines.write();
    CHECK(lines.read().size() == 500);
    CHECK(lines.read().front() == "old 201");
    CHECK(lines.read().back() == "new");
  }

  TEST_CASE("where it cannot be kept nothing happens, and what is there stays") {
    const test::TemporaryFolder folder;
    std::ofstream(folder.file("file")) << "mine\n";
    std::filesystem::create_directory(folder.file("history"));
    for (const auto& path : {folder.file("file/history"), folder.file("history"), std::string()}) {
      CAPTURE(path);
      cli::KeptLines lines(path);
      lines.add("check");
      lines.write();
      CHECK(lines.read().empty());
    }
    CHECK(cli::KeptLines(folder.file("file")).read() == Lines{"mine"});
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 2);
  }
}
