// SPDX-License-Identifier: MIT
#include "files/find_note.hpp"

#include <doctest/doctest.h>

using namespace quarterturn;
using files::FindNote;
using Kind = files::FindNote::Kind;

namespace {

void comes_back(const FindNote& note, const std::string& text) {
  CAPTURE(text);
  CHECK(files::find_note_text(note) == text);
  const auto read = files::parse_find_note(text);
  REQUIRE(read);
  CHECK(read->kind == note.kind);
  CHECK(read->code == note.code);
  CHECK(read->answer.found == note.answer.found);
  CHECK(read->answer.skipped == note.answer.skipped);
  CHECK(read->answer.mm == note.answer.mm);  // exact
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("notes of a search come back as they were written") {
    comes_back({Kind::answer, "paper-near", {true, 0.22}}, "find: paper-near yes 0.22 mm");
    comes_back({Kind::answer, "paper-near", {true, 0.1 + 0.2}},
               "find: paper-near yes 0.30000000000000004 mm");
    comes_back({Kind::answer, "foil", {true}}, "find: foil yes");
    comes_back({Kind::answer, "foil", {}}, "find: foil no");
    comes_back({Kind::answer, "same-strip", {false, {}, true}}, "find: same-strip skipped");
    comes_back({Kind::taken_back, "foil", {}}, "find: foil taken back");
    comes_back({Kind::happened, "", {}}, "find: happened nothing");
    comes_back({Kind::happened, "other hand", {}}, "find: happened other hand");
    comes_back({Kind::proved, "rail-off-dog", {}}, "find: proved rail-off-dog");
  }

  TEST_CASE("other notes are none of a search") {
    for (const char* text :
         {"the caliper was cold", "find: ", "find: foil", "find: gremlins no", "find: foil yes -1 mm",
          "find: foil yes 1", "find: foil yes mm", "find: foil yes  mm", "find: foil perhaps",
          "find: happened", "find: happened rain", "find: proved gremlins", "Find: foil no",
          "find: foil yes nan mm"}) {
      CAPTURE(text);
      CHECK_FALSE(files::parse_find_note(text));
    }
  }
}
