// SPDX-License-Identifier: MIT
/// \file find_note.hpp
/// What was answered on the way to a cause, as notes of the log about the check that is to be explained, in a
/// fixed form: `find: paper-near yes 0.2 mm`, `find: foil taken back`, `find: happened wet`.
#pragma once

#include <optional>
#include <string>

#include "history/find.hpp"

namespace quarterturn::files {

struct FindNote {
  enum class Kind { answer, taken_back, happened, proved };
  Kind kind = Kind::answer;
  std::string code;        ///< of the test; what happened, empty: nothing; of the cause that was proved
  history::Answer answer;  ///< of an answer
};

std::string find_note_text(const FindNote& note);
/// Nothing of any other text, of a test or cause that is none.
std::optional<FindNote> parse_find_note(const std::string& text);

}  // namespace quarterturn::files
