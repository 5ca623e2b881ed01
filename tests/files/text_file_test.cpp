// SPDX-License-Identifier: MIT
#include "files/text_file.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <functional>
#include <string>
#include <thread>

#include "support/processor_time.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn::files;
using quarterturn::test::TemporaryFolder;
using quarterturn::units::InputError;

namespace {

std::string error_of(const std::function<void()>& run) {
  try {
    run();
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}
std::string trouble_of(const std::function<void()>& run) {
  try {
    run();
  } catch (const FileTrouble& trouble) {
    return trouble.message;
  }
  return {};
}
std::string text_error(const std::string& bytes) {
  return error_of([&] { (void)text_of(bytes, "r.csv"); });
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a text as it is, without its byte order mark") {
    CHECK(text_of("\xEF\xBB\xBF# note: ½\n", "r.csv").content == "# note: ½\n");
    CHECK(text_of("a", "r.csv").source == "r.csv");
  }

  TEST_CASE("what is no text is refused by name") {
    CHECK(text_error("") ==
          "file is empty, but must be a text with readings or a station in it (r.csv). Hint: was it saved?");
    CHECK(text_error(" \r\n\t\n").find("file is empty") == 0);
    CHECK(text_error("\xEF\xBB\xBF").find("file is empty") == 0);
    const std::string utf16 = std::string("p\0a\0n\0e\0l\0", 10);
    const std::string utf16_big = std::string("\0p\0a\0n\0e\0l", 10);
    for (const std::string& bytes : {"\xFF\xFE" + utf16, "\xFE\xFF" + utf16_big, utf16, utf16_big}) {
      CHECK(text_error(bytes) ==
            "file is 'UTF-16', but must be text in UTF-8 (r.csv). Hint: save it again as 'CSV UTF-8' or with "
            "the encoding "
            "UTF-8");
    }
    CHECK(text_error(std::string("panel,from\n1,\0,2", 16)) ==
          "character is 'NUL', but must be text without NUL bytes (r.csv:2:3). Hint: the file is no text, or "
          "was damaged");
    CHECK(text_error("# note: \xE9t\xE9\n") ==
          "character is '\\xe9', but must be text in UTF-8 (r.csv:1:9). Hint: save the file again with the "
          "encoding UTF-8");
    for (const char* bad :
         {"a\xC0\xAF", "a\xED\xA0\x80", "a\xF4\x90\x80\x80", "a\x80", "a\xE2\x82", "a\xFF"}) {
      CAPTURE(bad);
      CHECK(text_error(bad).find("must be text in UTF-8") != std::string::npos);
    }
  }

  TEST_CASE("100 MB are refused before they are looked at") {
    std::string bytes(100u << 20, '1');
    const double start = quarterturn::test::processor_time();
    CHECK(error_of([&] { (void)text_of(std::move(bytes), "r.csv"); }) ==
          "file is 'more than 64 MB', but must be a text of a size that a person wrote (r.csv). Hint: is "
          "this the readings file?");
    CHECK(quarterturn::test::processor_time() - start < 1);
    const TemporaryFolder folder;
    const std::string path = folder.file("huge.csv");
    std::ofstream(path).put('1');
    std::filesystem::resize_file(path, 100u << 20);  // sparse: takes no room
    CHECK(error_of([&] { (void)read_text(path); }).find("file is 'more than 64 MB'") == 0);
  }

  TEST_CASE("files that can not be read") {
    const TemporaryFolder folder;
    CHECK(error_of([&] { (void)read_text(folder.path()); }) ==
          "file is 'a directory', but must be a file of readings or a station (" + folder.path() +
              "). Hint: name a file in it");
    CHECK(trouble_of([&] { (void)read_text(folder.file("none.csv")); }) ==
          "cannot read '" + folder.file("none.csv") + "': No such file or directory");
    CHECK(trouble_of([&] { (void)read_text(folder.file("a\nb")); }).find('\n') == std::string::npos);
  }

  TEST_CASE("a pipe is read to its end") {
    const TemporaryFolder folder;
    const std::string path = folder.file("pipe");
    REQUIRE(::mkfifo(path.c_str(), 0600) == 0);
    std::string sent = "strip 1-5\n";
    for (int i = 0; i < 20'000; ++i) sent += "20: 22.74 22.73 22.75\n";  // more than a pipe holds at once
    std::thread writer([&] { std::ofstream(path) << sent; });
    const Text text = read_text(path);
    writer.join();
    CHECK(text.content == sent);
    CHECK(text.source == path);
  }

  TEST_CASE("what is written reads back and leaves nothing beside it") {
    const TemporaryFolder folder;
    const std::string path = folder.file("dock.json");
    write_text(path, "first\n");
    CHECK(read_text(path).content == "first\n");
    ::chmod(path.c_str(), 0640);
    write_text(path, "second\n");
    CHECK(read_text(path).content == "second\n");
    struct stat about {};
    REQUIRE(::stat(path.c_str(), &about) == 0);
    CHECK((about.st_mode & 0777u) == 0640u);
    std::filesystem::create_symlink(path, folder.file("link.json"));
    write_text(folder.file("link.json"), "third\n");
    CHECK(read_text(path).content == "third\n");
    CHECK(std::filesystem::is_symlink(folder.file("link.json")));
    std::size_t entries = 0;
    for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder.path())) ++entries;
    CHECK(entries == 2);
  }

  TEST_CASE("what can not be written is said, and the old content stays") {
    const TemporaryFolder folder;
    CHECK(trouble_of([&] { write_text(folder.path(), "x"); }).find("cannot write '" + folder.path() + "'") ==
          0);
    CHECK(trouble_of([&] { write_text(folder.file("none/dock.json"), "x"); }).find("No such file") !=
          std::string::npos);
    write_text("/dev/null", "x");
    CHECK(std::filesystem::is_character_file("/dev/null"));
    if (::access("/dev/full", W_OK) == 0) {
      CHECK(trouble_of([&] { write_text("/dev/full", "x"); }).find("No space left") != std::string::npos);
    }
  }
}
