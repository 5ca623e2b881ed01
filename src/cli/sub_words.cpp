// SPDX-License-Identifier: MIT
#include "cli/sub_words.hpp"

#include "cli/said.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::cli {

std::vector<std::string> rest_of(const Parsed& parsed, std::size_t least, std::size_t most,
                                 const std::string& form) {
  const std::size_t given = parsed.arguments.empty() ? 0 : parsed.arguments.size() - 1;
  if (given < least || given > most) {
    throw UsageError("'" + parsed.word + " " + (parsed.arguments.empty() ? "" : parsed.arguments.front()) +
                     "' is with " + std::to_string(given) + (given == 1 ? " argument" : " arguments") +
                     ", but must be written: " + parsed.word + " " + form);
  }
  return {parsed.arguments.begin() + (parsed.arguments.empty() ? 0 : 1), parsed.arguments.end()};
}

void no_such_sub_word(const Parsed& parsed, const std::vector<std::string>& words) {
  if (parsed.arguments.empty()) {
    throw UsageError("'" + parsed.word + "' is alone, but must be followed by " + units::one_of(words) +
                     ". Hint: quarterturn " + parsed.word + " --help");
  }
  const auto& typed = parsed.arguments.front();
  const std::string hint = units::did_you_mean(typed, words);
  throw UsageError("'" + parsed.word + " " + units::inert(typed) + "' is not known, but must be " +
                   units::one_of(words) + "." + (hint.empty() ? "" : " Hint: " + hint));
}

}  // namespace quarterturn::cli
