// SPDX-License-Identifier: MIT
/// An observation file that grows, and what happens to it when something goes wrong.
#include "files/observation_book.hpp"

#include <doctest/doctest.h>

#include <filesystem>

#include "support/keeping.hpp"
#include "support/talk.hpp"
#include "support/temporary_folder.hpp"

using namespace quarterturn;
using files::ObservationBook;
using files::ObservationFile;
using files::ObservationRow;
using test::error_of;
using test::holds;

namespace {

ObservationRow row_of(station::Hole a, station::Hole b, double value = 0) {
  ObservationRow row;
  row.observation = survey::distance(a, b, survey::Taken::outside, value, 0, "pin-1", "pin-2");
  row.measured = value != 0;
  return row;
}

ObservationFile list() {
  ObservationFile file;
  file.station = "dock";
  file.note = "a note";
  file.unmeasured = {row_of({1, 1}, {2, 1}), row_of({2, 1}, {3, 1}), row_of({3, 1}, {4, 1})};
  return file;
}

std::string on_disk(const std::string& path) {
  return files::read_text(path).content;
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a book is begun, filled and read back at every step") {
    const test::TemporaryFolder folder;
    const std::string path = folder.path() + "/holes.csv";
    ObservationBook book(path, list());
    CHECK(book.waiting().size() == 3);
    book.add(row_of({2, 1}, {1, 1}, 116.02));  // the dogs the other way round
    CHECK(book.waiting().size() == 2);
    CHECK(on_disk(path) == files::write_observations(book.file()));
    book.skip({book.waiting().front()});
    CHECK(book.waiting().size() == 1);
    const ObservationBook again(path);
    CHECK(again.file().rows.size() == 1);
    CHECK(again.file().rows[0].observation.value == 116.02);
    CHECK(again.file().unmeasured.size() == 2);
    CHECK(again.waiting().size() == 1);
    CHECK(again.waiting()[0].observation.from == station::Hole{3, 1});
    CHECK(again.file().note == "a note");
    CHECK(files::write_observations(again.file()) == on_disk(path));
  }

  TEST_CASE("undo goes back step by step, on disk too") {
    const test::TemporaryFolder folder;
    const std::string path = folder.path() + "/holes.csv";
    ObservationBook book(path, list());
    const std::string begun = on_disk(path);
    book.add(row_of({1, 1}, {2, 1}, 116.02));
    const std::string first = on_disk(path);
    book.replace(0, row_of({1, 1}, {2, 1}, 116.04));
    book.add(row_of({5, 1}, {6, 1}, 116.1));  // not planned
    CHECK(book.file().rows.size() == 2);
    CHECK(book.waiting().size() == 2);
    CHECK(book.undo());
    CHECK(book.undo());
    CHECK(on_disk(path) == first);
    CHECK(book.undo());
    CHECK(on_disk(path) == begun);
    CHECK(!book.undo());
  }

  TEST_CASE("what somebody else wrote meanwhile is not written over; nor is a file that is there") {
    const test::TemporaryFolder folder;
    const std::string path = folder.path() + "/holes.csv";
    ObservationBook book(path, list());
    CHECK(holds(error_of([&] { ObservationBook(path, list()); }), "nothing is written over"));
    const std::string other = on_disk(path) + "distance,D1,E1,,outside,pin-1,pin-2,116.5,,\n";
    files::write_text(path, other);
    CHECK(holds(error_of([&] { book.add(row_of({1, 1}, {2, 1}, 116.02)); }), "as it was left here"));
    CHECK(on_disk(path) == other);
    CHECK(book.file().rows.empty());
  }

  TEST_CASE("two rows ask for the same") {
    const auto a = row_of({1, 1}, {2, 1}).observation;
    auto turned = row_of({2, 1}, {1, 1}).observation;
    CHECK(files::same_measurement(a, turned));
    turned.dog_from = "other";
    CHECK(!files::same_measurement(a, turned));
    auto inside = a;
    inside.taken = survey::Taken::inside;
    CHECK(!files::same_measurement(a, inside));
    const auto one = survey::compare({1, 1}, {3, 3}, {1, 3}, {3, 1}, 0, 0.03);
    auto two = one;
    two.value = 0.4;
    CHECK(files::same_measurement(one, two));
    two.via[0] = {1, 4};
    CHECK(!files::same_measurement(one, two));
  }
}
