// SPDX-License-Identifier: MIT
// The stations are invented, in the scenery workshop of the examples.
#include "files/station_folder.hpp"

#include <doctest/doctest.h>

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using files::StationFolder;
using quarterturn::test::TemporaryFolder;
using station::Station;
using units::InputError;
using Names = std::vector<std::string>;

namespace {

Station table(const std::string& name) {
  Station out;
  out.name = name;
  out.grid.pitch = units::Length::from_mm(96);
  out.grid.columns = 9;
  out.grid.rows = 11;
  return out;
}

std::string error_of(const std::function<void()>& run) {
  try {
    run();
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("stations are kept, listed, found and renamed") {
    const TemporaryFolder folder;
    StationFolder store(folder.file("a/b"));
    CHECK(store.list().empty());
    CHECK(error_of([&] { (void)store.find("dock"); }).find("must be described first: there is none yet") !=
          std::string::npos);
    store.save(table("loft"));
    store.save(table("dock"));
    store.save(table("möbel_1"));
    CHECK(store.list() == Names{"dock", "loft", "möbel_1"});
    const Station dock = store.find("dock");
    CHECK(dock.grid.rows == 11);
    CHECK(dock.id.size() == 36);
    CHECK(dock.id[14] == '4');  // RFC 9562: version 4
    CHECK(dock.id != store.find("loft").id);
    CHECK(error_of([&] { (void)store.find("dokc"); }) ==
          "station is 'dokc', but must be dock, loft or möbel_1. Hint: did you mean 'dock'?");
    store.rename("dock", "quay");
    CHECK(store.list() == Names{"loft", "möbel_1", "quay"});
    CHECK(store.find("quay").id == dock.id);
    CHECK(store.find("quay").name == "quay");
    CHECK(error_of([&] {
            store.rename("quay", "loft");
          }).find("station name is 'loft', but must be one that is free") == 0);
    CHECK(error_of([&] { store.rename("none", "x"); }).find("station is 'none'") == 0);
    store.rename("quay", "quay");
    CHECK(store.find("quay").name == "quay");
  }

  TEST_CASE("a station keeps its id when it is saved anew") {
    const TemporaryFolder folder;
    StationFolder store(folder.path());
    store.save(table("dock"));
    const std::string id = store.find("dock").id;
    Station again = table("dock");
    again.grid.rows = 12;
    store.save(again);
    CHECK(store.find("dock").id == id);
    CHECK(store.find("dock").grid.rows == 12);
  }

  TEST_CASE("a name is a file's name") {
    const TemporaryFolder folder;
    StationFolder store(folder.path());
    for (const std::string name : {"", ".", "..", "../dock", "a/b", "a\\b", "a b", ".hidden", "-x", "a\nb",
                                   "dock.json", "a\u00A0b", "\u202Ea", "\xFF", "a*"}) {
      CAPTURE(name);
      CHECK(error_of([&] {
              store.save(table(name));
            }).find("but must be 1 to 40 letters, digits, '-' and '_', not beginning with '-'") !=
            std::string::npos);
    }
    CHECK_FALSE(error_of([&] { store.save(table(std::string(41, 'a'))); }).empty());
    CHECK_FALSE(error_of([&] { store.save(table(std::string("a\0b", 3))); }).empty());
    CHECK(std::filesystem::is_empty(folder.path()));
    store.save(table(std::string(40, 'a')));
    CHECK(store.list().size() == 1);
    CHECK_FALSE(error_of([&] { (void)store.find("../" + std::string(40, 'a')); }).empty());
  }

  TEST_CASE("what could not be read back is not kept") {
    const TemporaryFolder folder;
    StationFolder store(folder.path());
    store.save(table("dock"));
    const std::string before = files::read_text(folder.file("dock.json")).content;
    Station broken = store.find("dock");
    broken.grid.pitch = units::Length::from_mm(-1);
    CHECK(error_of([&] { store.save(broken); }).find("grid.pitch_mm is '-1'") == 0);
    CHECK(files::read_text(folder.file("dock.json")).content == before);
  }

  TEST_CASE("other files in the folder are let be, a foreign name is noticed") {
    const TemporaryFolder folder;
    StationFolder store(folder.path());
    files::write_text(folder.file("notes.txt"), "x");
    files::write_text(folder.file(".json"), "x");
    store.save(table("dock"));
    std::filesystem::copy_file(folder.file("dock.json"), folder.file("copy.json"));
    CHECK(store.list() == Names{"copy", "dock"});
    CHECK(error_of([&] {
            (void)store.find("copy");
          }).find("name is 'dock', but must be 'copy' like its file") == 0);
  }

  TEST_CASE("a folder that is none") {
    const TemporaryFolder folder;
    files::write_text(folder.file("plain"), "x");
    StationFolder store(folder.file("plain"));
    CHECK_THROWS_AS((void)store.list(), files::FileTrouble);
    CHECK_THROWS_AS(store.save(table("dock")), files::FileTrouble);
  }
}
