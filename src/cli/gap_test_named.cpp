// SPDX-License-Identifier: MIT
#include <algorithm>
#include <array>

#include "cli/commands.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

struct WordOfTest {
  const char* word;
  check::TestKind test;
  check::Form form;
};
constexpr std::array<WordOfTest, 5> kWords{{{"turn-over", check::TestKind::turn_over, check::Form::none},
                                            {"pair", check::TestKind::turn_over, check::Form::pair},
                                            {"halves", check::TestKind::turn_over, check::Form::halves},
                                            {"frame", check::TestKind::frame, check::Form::separate},
                                            {"rail", check::TestKind::rail, check::Form::none}}};

const WordOfTest* find_word_of_test(const std::string& typed) {
  const std::string small = units::lowered(typed);
  const auto found =
      std::find_if(kWords.begin(), kWords.end(), [&](const auto& w) { return small == w.word; });
  return found == kWords.end() ? nullptr : found;
}

/// Nothing is given but which test, and how things are shown.
bool without_readings(const Parsed& parsed) {
  constexpr std::array<std::string_view, 8> kKnown{"--test", "--form", "--pieces",     "--plain",
                                                   "--unit", "--log",  "--confidence", "--color"};
  return std::all_of(parsed.options.begin(), parsed.options.end(), [&](const auto& option) {
    return std::find(kKnown.begin(), kKnown.end(), option.first) != kKnown.end();
  });
}

void hold_to_test(const Parsed& parsed, const GapTestNamed& named) {
  const bool apart = named.form == check::Form::pair || named.form == check::Form::halves;
  const bool turn_over = named.test == check::TestKind::turn_over;
  if (named.form == check::Form::shared) {
    throw UsageError(
        "--form is 'shared', but must be separate where the steps are told: every end a cut of its own. A "
        "frame with shared cuts is read from a FILE.");
  }
  if (named.form != check::Form::none && turn_over != apart) {
    throw UsageError("--form is '" + std::string(check::form_word(named.form)) + "', but must be " +
                     (turn_over ? "pair or halves with a turn-over."
                                : "left out: pair and halves are those of a turn-over."));
  }
  if (parsed.has("--pieces") && named.test != check::TestKind::frame)
    throw UsageError("--pieces is given, but only a frame has pieces.");
}

}  // namespace

std::optional<GapTestNamed> gap_test_named(const Parsed& parsed) {
  const bool asked = parsed.has("--test") || parsed.has("--form") || parsed.has("--pieces");
  const auto* word = parsed.arguments.empty() ? nullptr : find_word_of_test(parsed.arguments.front());
  if (!without_readings(parsed) || (parsed.arguments.empty() ? !asked : word == nullptr)) return std::nullopt;
  if (word != nullptr && parsed.has("--test"))
    throw UsageError("the test is named twice, in '" + parsed.arguments.front() +
                     "' and in --test, but must be named once.");
  check::Check made;
  if (word != nullptr) made.test = word->test;
  if (word == nullptr && !parsed.has("--test"))
    made.test = parsed.has("--pieces") ? check::TestKind::frame : check::TestKind::turn_over;
  take_test(parsed, made);
  if (!made.gaps()) return std::nullopt;
  GapTestNamed named{made.test, made.form, made.pieces};
  if (word != nullptr && !parsed.has("--form")) named.form = word->form;
  hold_to_test(parsed, named);
  return named;
}

}  // namespace quarterturn::cli
